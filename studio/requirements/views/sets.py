"""Sets of requirements: what an institution asks of one instrument, level and degree."""

from django.contrib import messages
from django.shortcuts import redirect, render
from django.urls import reverse
from django.views.decorators.http import require_POST

from studio.accounts.access import (
    change_or_404,
    may_add,
    read_or_404,
    remove_or_404,
    staff_or_404,
)
from studio.accounts.pages import form_page, grouped, quick_row, remove_page, undo_tag
from studio.institutions.models import Institution
from studio.requirements import contexts, queries
from studio.requirements.forms import RequirementForm, RequirementSetForm
from studio.requirements.models import Requirement, RequirementSet


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
    row = change_or_404(request.who, queries.named_sets(), pk=pk)
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
    row = change_or_404(request.who, queries.named_sets(), pk=pk)
    row.checked_by, row.checked_on = request.who.name[:80], request.who.studio.today
    row.save()
    messages.success(request, "Checked today, by you.", extra_tags=undo_tag(request))
    return redirect(row)


def requirement_set_remove(request, pk):
    """Remove a set that no entry uses."""
    row = remove_or_404(request.who, queries.named_sets(), pk=pk)
    return remove_page(request, row, back=row.institution.get_absolute_url())
