"""Sets copied: one to a new place, another's slots into an empty one, all to a new season."""

from django.contrib import messages
from django.shortcuts import redirect, render
from django.views.decorators.http import require_POST

from studio.accounts.access import (
    change_or_404,
    changeable,
    read_or_404,
    teacher_or_404,
)
from studio.accounts.pages import undo_tag
from studio.accounts.words import counted
from studio.requirements import copying, queries
from studio.requirements.contexts import seasons
from studio.requirements.forms import CopyForm, FillForm, RollForm
from studio.requirements.models import RequirementSet

AS_COPY = "A copy is not verified until somebody reads the institution’s own page again."


def requirement_set_copy(request, pk):
    """Copy a set, with all it asks for, to another institution, season, instrument or level."""
    source = change_or_404(request.who, queries.copied_sets(), pk=pk)
    season = request.who.studio.season
    begun = RequirementSet(
        institution=source.institution,
        season=copying.next_season(season) if source.season == season else season,
        instrument=source.instrument,
        level=source.level,
        degree=source.degree,
    )
    form = CopyForm(request.POST or None, instance=begun, who=request.who)
    if request.method == "POST" and form.is_valid():
        made = copying.copy(source, begun, judgements=form.cleaned_data["judgements"])
        messages.success(request, f"{made}: copied.", extra_tags=undo_tag(request))
        return redirect(made)
    context = {"form": form, "title": "Copy this set", "over": str(source), "intro": AS_COPY}
    context |= {"submit_label": "Copy", "cancel_url": source.get_absolute_url()}
    status = 422 if form.errors else 200
    return render(request, "partials/form_page.html", context, status=status)


@require_POST
def requirement_set_fill(request, pk):
    """Copy the slots of another set into one that has none yet."""
    row = change_or_404(request.who, queries.copied_sets(), pk=pk)
    form = FillForm(request.POST, who=request.who, target=row)
    if row.requirements.all():
        messages.error(request, "Nothing is copied: this set has slots already.")
    elif not form.is_valid():
        messages.error(request, "Nothing is copied. Choose the set whose slots to take over.")
    else:
        chosen = form.cleaned_data["source"]
        source = read_or_404(request.who, queries.copied_sets(), pk=chosen.pk)
        copying.fill(row, source, judgements=form.cleaned_data["judgements"])
        messages.success(request, f"Copied from {source}.", extra_tags=undo_tag(request))
    return redirect(row)


def requirement_sets_roll(request):
    """Copy the sets of one season to a new one, all of them or some, as not verified."""
    who = teacher_or_404(request.who)
    rows = changeable(who, RequirementSet)
    current = who.studio.season
    old, choices = seasons(rows, request.GET.get("season"), current)
    form = RollForm(
        request.POST or None,
        sets=rows.filter(season=old).select_related("institution", "instrument"),
        old=old,
        initial={"season": current if old != current else copying.next_season(old)},
    )
    if request.method == "POST" and form.is_valid():
        return _roll(request, form.cleaned_data)
    context = {"form": form, "old": old, "seasons": choices}
    status = 422 if form.errors else 200
    return render(request, "requirements/roll.html", context, status=status)


def _roll(request, values):
    """Copy what was ticked, and say what was not copied, since it is there already."""
    sources = queries.copied_sets().filter(pk__in=values["sets"])
    rolled = copying.roll(list(sources), values["season"], judgements=values["judgements"])
    made = counted(len(rolled.made), "set") or "Nothing"
    words = f"{made} copied to {values['season']}, not verified yet."
    if rolled.skipped:
        names = "; ".join(str(row) for row in rolled.skipped)
        words += f" Left out, there already: {names}."
    messages.success(request, words, extra_tags=undo_tag(request))
    return redirect("requirement_sets")
