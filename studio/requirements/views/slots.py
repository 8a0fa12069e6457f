"""One requirement of a set: a slot or a group of slots, and which pieces fit it."""

from django.contrib import messages
from django.shortcuts import redirect, render
from django.urls import reverse
from django.views.decorators.http import require_POST

from studio.accounts.access import change_or_404, may_add, read_or_404, remove_or_404, staff_or_404
from studio.accounts.pages import form_page, remove_page, undo_tag
from studio.requirements import queries
from studio.requirements.forms import JudgementForm, RequirementForm
from studio.requirements.models import Judgement, Requirement
from studio.requirements.slot_page import SlotPage


def requirement(request, pk):
    """One requirement, and which pieces of the library fit, may fit or do not."""
    who = staff_or_404(request.who)
    row = read_or_404(who, queries.whole_requirements(), pk=pk)
    pieces = queries.library(who) if row.is_music else ()
    page = SlotPage(row, pieces, every="all" in request.GET)
    context = {"page": page, "row": row, "may_edit": may_add(who, Requirement)}
    return render(request, "requirements/requirement.html", context)


def requirement_add(request, pk):
    """Add a requirement to a set."""
    row = change_or_404(request.who, queries.named_sets(), pk=pk)
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
    row = change_or_404(request.who, queries.named_requirements(), pk=pk)
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
    """Remove a requirement with what it holds and the pieces chosen for it."""
    row = remove_or_404(request.who, queries.named_requirements(), pk=pk)
    return remove_page(request, row, back=row.requirement_set.get_absolute_url())


@require_POST
def requirement_judge(request, pk):
    """Record the teacher's word on a piece, or change it."""
    row = change_or_404(request.who, Requirement, pk=pk)
    piece = request.POST.get("piece", "")
    said = next((each for each in row.judgements.all() if str(each.piece_id) == piece), None)
    form = JudgementForm(request.POST, instance=said or Judgement(requirement=row), who=request.who)
    if form.is_valid():
        saved = form.save()
        messages.success(request, f"{saved}.", extra_tags=undo_tag(request))
    else:
        wrong = " ".join(error for errors in form.errors.values() for error in errors)
        messages.error(request, f"Your word is not saved. {wrong}")
    return redirect("requirement", pk)


@require_POST
def judgement_remove(request, pk):
    """Take the teacher's word on a piece back: the rules hold again."""
    row = remove_or_404(request.who, Judgement.objects.select_related("piece"), pk=pk)
    row.delete()
    messages.success(
        request, f"{row.piece}: your word is taken back.", extra_tags=undo_tag(request)
    )
    return redirect("requirement", row.requirement_id)
