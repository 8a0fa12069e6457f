"""The studio's week, the letters to write, and everybody's dates."""

from django.contrib import messages
from django.shortcuts import redirect, render
from django.urls import reverse
from django.utils import timezone
from django.views.decorators.http import require_POST, require_safe

from studio.accounts.access import add_or_404, staff_or_404
from studio.accounts.pages import undo_tag
from studio.accounts.words import counted
from studio.entries.dates_accept import accept
from studio.entries.models import Entry
from studio.week import queries
from studio.week.book import Book
from studio.week.calendar import WeekPage
from studio.week.letters import LettersPage
from studio.week.together import Chosen, Together
from studio.week.together_page import TogetherPage
from studio.workers import Unsolved

OTHER_PLAN = "Nothing was taken over: the plan is another by now. Look at it again."
OTHER_DAY = "Call and rooms were written down for another date, check the day: {}."


@require_safe
def week(request, on=None):
    """One week, day by day, and the weeks ahead; `on`: any day of it."""
    who = staff_or_404(request.who)
    return render(request, "week/week.html", {"page": WeekPage(Book(who), on)})


@require_safe
def letters(request):
    """The letters that the teacher writes, week by week."""
    who = staff_or_404(request.who)
    students = queries.of_one_studio(who, queries.with_music(who))
    page = LettersPage(students, who.studio.today, timezone.now())
    return render(request, "week/letters.html", {"page": page})


@require_safe
def together(request):
    """Everybody's dates where somebody is shared; with `?plan=1` planned all at once."""
    who = staff_or_404(request.who)
    page = TogetherPage(Together.load(who), who, "plan" in request.GET)
    return render(request, "week/together.html", {"page": page})


@require_POST
def together_accept(request):
    """Choose the dates of the plan: everybody's, or one student's; if the plan is still the same.

    Posted: `plan`, the digest of the plan that was shown; `student`, a key, or nothing.
    """
    add_or_404(request.who, Entry)
    planned = Together.load(request.who)
    back = redirect(reverse("together") + "?plan=1")
    try:
        same = planned.datings and request.POST.get("plan") == planned.digest
    except Unsolved as error:
        messages.error(request, f"Nothing was taken over. {error}")
        return back
    if not same:
        messages.warning(request, OTHER_PLAN)
        return back
    taken = accept(Chosen(planned.turns(request.POST.get("student", ""))))
    text = f"Taken over: {counted(len(taken), 'date')}." if taken else "Nothing has changed."
    messages.success(request, text, extra_tags=undo_tag(request))
    if moved := [str(entry) for entry in taken if hasattr(entry, "day")]:
        messages.warning(request, OTHER_DAY.format(", ".join(moved)))
    return back
