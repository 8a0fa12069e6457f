"""Hearings of the whole programme: mock auditions and recordings, scored by the rubric."""

from django.contrib import messages
from django.shortcuts import redirect, render
from django.urls import reverse

from planner.rubric import said
from studio.accounts.access import add_or_404, change_or_404, may_add, read_or_404, remove_or_404
from studio.accounts.pages import form_page, remove_page, undo_tag
from studio.entries import choices
from studio.entries.bridge import Season
from studio.entries.hearings.bridge import Heard, scoring
from studio.entries.hearings.forms import HearingForm
from studio.entries.hearings.page import HearingsPage
from studio.entries.models import Hearing
from studio.entries.recordings import takes_of


def hearings(request, pk):
    """All hearings of an entry with what changed; a form to add one for those who listen."""
    who = request.who
    season = Season(read_or_404(who, choices.with_entry(who, pk)))
    page, form = HearingsPage(season, pk, who), None
    if request.method == "POST":
        add_or_404(who, Hearing)
    if may_add(who, Hearing):
        row = Hearing(entry=page.entry, on=who.studio.today, by=request.user)
        chosen = _of_take(row, request.GET.get("take", ""))
        form = HearingForm(request.POST or None, instance=row, who=who, initial=chosen)
        if form.is_valid():
            return _saved(request, form.save())
    context = {"page": page, "student": season.student, "entry": page.entry, "form": form}
    status = 422 if form and form.errors else 200
    return render(request, "entries/hearings.html", context, status=status)


def _of_take(row, wanted):
    """Return what a form begins with that scores the take of the address; {} without one."""
    for take, pieces in takes_of(row.entry):
        if str(take.pk) == wanted:
            kind = Hearing.Kind.RECORDING
            return {"kind": kind, "take": take.pk, "pieces": pieces, "on": take.made_on}
    return {}


def _saved(request, row):
    score = Heard(row, (), scoring(row.entry, request.who.studio)).score
    messages.success(request, f"{row}: saved. {said(score)}", extra_tags=undo_tag(request))
    return redirect("hearings", row.entry_id)


def hearing_edit(request, pk):
    """Change what was given."""
    row = change_or_404(request.who, _hearings(), pk=pk)
    return form_page(
        request,
        HearingForm,
        row,
        title=str(row),
        over=str(row.entry),
        back=reverse("hearings", args=[row.entry_id]),
        remove_url=request.who.is_teacher and reverse("hearing_remove", args=[pk]),
    )


def hearing_remove(request, pk):
    """Remove a hearing; the figures of readiness go back with it."""
    row = remove_or_404(request.who, _hearings(), pk=pk)
    return remove_page(request, row, back=reverse("hearings", args=[row.entry_id]))


def _hearings():
    return Hearing.objects.select_related(
        "entry__student", "entry__audition__institution", "entry__requirement_set"
    )
