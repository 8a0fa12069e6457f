"""The repertoire, and what institutions ask for."""

from django.contrib import messages
from django.shortcuts import redirect, render
from django.urls import reverse
from django.views.decorators.http import require_POST

from studio.accounts.access import (
    add_or_404,
    change_or_404,
    may_add,
    read_or_404,
    remove_or_404,
    staff_or_404,
)
from studio.accounts.pages import (
    form_page,
    grouped,
    orders,
    quick_row,
    remove_page,
    undo_tag,
)
from studio.institutions.models import Institution
from studio.requirements import contexts, queries
from studio.requirements.forms import PieceForm, RequirementForm, RequirementSetForm
from studio.requirements.models import Piece, Requirement, RequirementSet


def pieces(request):
    """The studio's repertoire, by composer or by kind, with a row for adding to it."""
    who = staff_or_404(request.who)
    q = request.GET.get("q", "").strip()
    links, order = orders(request, {"composer": "By composer", "kind": "By kind"})
    found = queries.find(queries.pieces(who, order), q)
    context = {
        "title": "Repertoire",
        "columns": contexts.PIECE_COLUMNS,
        "filtered": True,
        "q": q,
        "orders": links,
        "empty": contexts.no_pieces(who),
        "quick": may_add(who, Piece) and _quick_piece(request),
        "add_url": may_add(who, Piece) and reverse("piece_add"),
        "add_label": "Add with all details",
        "other_url": reverse("requirement_sets"),
        "other_label": "What institutions ask for",
    }
    if order == "kind":
        context["groups"] = grouped(found, Piece.get_kind_display, contexts.piece_row)
    else:
        context["rows"] = [contexts.piece_row(row) for row in found]
    return render(request, "requirements/pieces.html", context)


def _quick_piece(request):
    return quick_row(
        request,
        PieceForm,
        Piece(studio=request.who.studio),
        what="a piece",
        name="piece",
        action=reverse("piece_add"),
    )


def piece(request, pk):
    """One piece: what it is, and who plays it for which audition."""
    who = staff_or_404(request.who)
    row = read_or_404(who, queries.played_pieces(), pk=pk)
    context = {
        "piece": row,
        "assignments": row.assignments.all(),
        "may_edit": may_add(who, Piece),
    }
    return render(request, "requirements/piece.html", context)


def piece_add(request):
    """Add a piece to the repertoire."""
    add_or_404(request.who, Piece)
    return form_page(
        request,
        PieceForm,
        Piece(studio=request.who.studio),
        title="Add a piece",
        back=reverse("pieces"),
        again=True,
    )


def piece_edit(request, pk):
    """Change what is known of a piece."""
    row = change_or_404(request.who, Piece, pk=pk)
    return form_page(
        request,
        PieceForm,
        row,
        title=row.title,
        over=row.composer,
        back=row.get_absolute_url(),
        remove_url=reverse("piece_remove", args=[pk]),
    )


def piece_remove(request, pk):
    """Remove a piece that nobody plays."""
    return remove_page(request, remove_or_404(request.who, Piece, pk=pk), back=reverse("pieces"))


def requirement_sets(request):
    """All that is asked for, institution by institution, and whether it has been checked."""
    who = staff_or_404(request.who)
    found = queries.requirement_sets(who)
    context = {
        "title": "Requirements",
        "intro": "Verify with the institution itself: the commonest disaster is last year’s list.",
        "columns": contexts.SET_COLUMNS,
        "groups": grouped(found, lambda row: row.institution.name, contexts.set_row),
        "empty": {
            "title": "No requirements yet",
            "text": "They are written down on the page of the institution that asks for them.",
            "url": reverse("institutions"),
            "label": "Choose the institution",
        },
    }
    return render(request, "partials/list_page.html", context)


def requirement_set(request, pk):
    """One set: where it comes from, who checked it, what it asks for, and a row for adding."""
    who = staff_or_404(request.who)
    row = read_or_404(who, queries.whole_sets(), pk=pk)
    context = {"page": contexts.SetPage(row), "set": row}
    if may_add(who, RequirementSet):
        context |= {
            "may_edit": True,
            "quick": quick_row(
                request,
                RequirementForm,
                Requirement(requirement_set=row),
                what="a requirement",
                name="requirement",
                action=reverse("requirement_add", args=[pk]),
            ),
        }
    return render(request, "requirements/requirement_set.html", context)


def requirement_set_add(request, pk):
    """Begin a set of requirements of an institution."""
    place = change_or_404(request.who, Institution, pk=pk)
    return form_page(
        request,
        RequirementSetForm,
        RequirementSet(institution=place, season=request.who.studio.season),
        title="Add requirements",
        over=place.name,
        intro="For one instrument at one level. What is asked comes next.",
        back=place.get_absolute_url(),
        then=RequirementSet.get_absolute_url,
    )


def requirement_set_edit(request, pk):
    """Change what a set is for, its source or its check."""
    row = change_or_404(request.who, _sets(), pk=pk)
    return form_page(
        request,
        RequirementSetForm,
        row,
        title=contexts.asked_of(row),
        over=row.institution.name,
        back=row.get_absolute_url(),
        remove_url=reverse("requirement_set_remove", args=[pk]),
    )


@require_POST
def requirement_set_verify(request, pk):
    """Record that the asker has read the institution's own page today."""
    row = change_or_404(request.who, _sets(), pk=pk)
    row.checked_by, row.checked_on = request.who.name[:80], request.who.studio.today
    row.save()
    messages.success(request, "Checked today, by you.", extra_tags=undo_tag(request))
    return redirect(row)


def requirement_set_remove(request, pk):
    """Remove a set that no entry uses."""
    row = remove_or_404(request.who, _sets(), pk=pk)
    return remove_page(request, row, back=row.institution.get_absolute_url())


def requirement_add(request, pk):
    """Add a requirement to a set."""
    row = change_or_404(request.who, _sets(), pk=pk)
    return form_page(
        request,
        RequirementForm,
        Requirement(requirement_set=row, position=queries.next_position(row)),
        title="Add a requirement",
        over=str(row),
        back=row.get_absolute_url(),
        again=True,
    )


def requirement_edit(request, pk):
    """Change a requirement."""
    row = change_or_404(request.who, _requirements(), pk=pk)
    return form_page(
        request,
        RequirementForm,
        row,
        title=row.name,
        over=str(row.requirement_set),
        back=row.requirement_set.get_absolute_url(),
        remove_url=reverse("requirement_remove", args=[pk]),
    )


def requirement_remove(request, pk):
    """Remove a requirement with the pieces chosen for it."""
    row = remove_or_404(request.who, _requirements(), pk=pk)
    return remove_page(request, row, back=row.requirement_set.get_absolute_url())


def _sets():
    return RequirementSet.objects.select_related("institution", "instrument")


def _requirements():
    return Requirement.objects.select_related(
        "requirement_set__institution", "requirement_set__instrument"
    )
