"""The recordings of one entry: how they are made, the takes, and what each of them lacks."""

from django.shortcuts import get_object_or_404, redirect, render
from django.urls import reverse

from studio.accounts.access import (
    add_or_404,
    change_or_404,
    may_add,
    read_or_404,
    remove_or_404,
    staff_or_404,
)
from studio.accounts.pages import form_page, remove_page
from studio.entries import recordings as of
from studio.entries.applications_forms import TakeForm
from studio.entries.bridge import Season
from studio.entries.choices import with_entry
from studio.entries.models import Entry, Take
from studio.requirements.recording_rules import in_order


def recordings(request, pk):
    """Each recording of an entry: the pieces in order, its takes, what is missing or too old."""
    who = staff_or_404(request.who)
    season = Season(get_object_or_404(with_entry(who, pk)))
    entry = next(entry for entry in season.entries if entry.pk == pk)
    context = {
        "student": season.student,
        "entry": entry,
        "recordings": of.of(season, entry),
        "left_over": of.left_over(entry),
        "may_add": may_add(who, Take),
    }
    return render(request, "entries/recordings.html", context)


def take_add(request, pk):
    """Write down a take that was made; assistants may."""
    add_or_404(request.who, Take)
    entry = read_or_404(request.who, _entries(), pk=pk)
    rules = in_order(entry.requirement_set.recordings.all()) if entry.requirement_set else []
    if not rules:
        return redirect("recordings", pk)
    wanted = request.GET.get("rules", "")
    chosen = next((row for row in rules if str(row.pk) == wanted), rules[0])
    return form_page(
        request,
        TakeForm,
        Take(entry=entry, rules=chosen, made_on=request.who.studio.today),
        title="Add a take",
        over=str(entry),
        intro=of.SEEN,
        back=reverse("recordings", args=[pk]),
        again=True,
    )


def take_edit(request, pk):
    """Change what is known of a take, or say that it was sent."""
    take = change_or_404(request.who, _takes(), pk=pk)
    return form_page(
        request,
        TakeForm,
        take,
        title=str(take),
        over=str(take.entry),
        intro=of.SEEN,
        back=reverse("recordings", args=[take.entry_id]),
        remove_url=request.who.is_teacher and reverse("take_remove", args=[pk]),
    )


def take_remove(request, pk):
    """Remove a take."""
    take = remove_or_404(request.who, _takes(), pk=pk)
    return remove_page(request, take, back=reverse("recordings", args=[take.entry_id]))


def _entries():
    return Entry.objects.select_related(
        "student", "audition__institution", "requirement_set"
    ).prefetch_related("requirement_set__recordings")


def _takes():
    return Take.objects.select_related(
        "entry__student", "entry__audition__institution", "entry__requirement_set", "rules"
    )
