"""The audition days of the season, one day, and the minutes a studio usually allows."""

from django.contrib import messages
from django.shortcuts import redirect, render
from django.utils import timezone

from planner.zones import zone
from studio.accounts.access import (
    change_or_404,
    may_add,
    read_or_404,
    remove_or_404,
    staff_or_404,
    teacher_or_404,
)
from studio.accounts.pages import remove_page, undo_tag
from studio.days import queries
from studio.days.contexts import Day, Days
from studio.days.forms import AuditionDayForm, MinutesForm, new_day
from studio.days.models import AuditionDay
from studio.entries.models import Entry


def days(request):
    """Every date of the season ahead: who plays where, when, and what is still to ask."""
    who = staff_or_404(request.who)
    today = timezone.localdate(timezone=zone(who.studio.time_zone))
    context = {
        "title": "Days",
        "days": Days(who, today),
        "may_edit": may_add(who, AuditionDay),
    }
    return render(request, "days/days.html", context)


def day(request, pk):
    """One student's day, counted back from the call."""
    entry = read_or_404(request.who, queries.day_entries(), pk=pk)
    if entry.chosen_date is None:
        return no_date(request, entry)
    context = {"day": Day(entry), "may_edit": may_add(request.who, AuditionDay)}
    return render(request, "days/day.html", context)


def no_date(request, entry):
    """Say that a day hangs on a date, and where to choose one."""
    status = 409 if request.method == "POST" else 200
    return render(request, "days/no_date.html", {"entry": entry}, status=status)


def day_edit(request, pk):
    """Write down what is known of the day."""
    entry = change_or_404(request.who, queries.day_entries(), pk=pk)
    if entry.chosen_date is None:
        return no_date(request, entry)
    row = getattr(entry, "day", None)
    form = AuditionDayForm(
        request.POST or None,
        instance=row or new_day(entry),
        who=request.who,
        others=queries.same_date(entry),
    )
    if request.method == "POST" and form.is_valid():
        form.save()
        messages.success(request, f"{entry}: the day is saved.", extra_tags=undo_tag(request))
        return redirect("day", entry.pk)
    context = {"form": form, "entry": entry, "has_day": row is not None}
    return render(request, "days/day_edit.html", context, status=422 if form.errors else 200)


def day_remove(request, pk):
    """Forget what is known of a day; the entry and its date stay."""
    entry = read_or_404(request.who, Entry, pk=pk)
    row = remove_or_404(request.who, AuditionDay, entry=entry)
    return remove_page(request, row, back=row.get_absolute_url())


def day_settings(request):
    """The minutes a studio usually allows for each step of a day."""
    who = teacher_or_404(request.who)
    form = MinutesForm(request.POST or None, studio=who.studio)
    if request.method == "POST" and form.is_valid():
        form.save()
        messages.success(request, "The usual minutes are saved.")
        return redirect("day_settings")
    context = {"form": form, "title": "Usual minutes of a day"}
    return render(request, "days/day_settings.html", context, status=422 if form.errors else 200)
