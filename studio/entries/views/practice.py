"""A student's practice: the plan, the minutes they write down, and how the studio practises."""

from django.contrib import messages
from django.shortcuts import redirect, render
from django.urls import reverse
from django.views.decorators.http import require_POST, require_safe

from studio.accounts.access import add_for_or_404, may_add_for, read_or_404, teacher_or_404
from studio.accounts.models import Role
from studio.accounts.pages import next_url, settings_page, undo_tag
from studio.entries.bridge import Season
from studio.entries.models import PracticeDay, PracticeLog
from studio.entries.practice.forms import DayForm, posted_log
from studio.entries.practice.moving import Practice
from studio.entries.practice.page import PracticePage
from studio.entries.practice.rows import with_practice
from studio.entries.practice.settings import PracticeSettingsForm
from studio.entries.practice.today import Today
from studio.entries.queries import whole_season


@require_safe
def practice(request, pk):
    """The coming weeks of one student's practice; their own page too."""
    return _page(request, _season(request, pk))


@require_POST
def practice_log(request, pk):
    """Write down the minutes of one thing on one day."""
    season = _season(request, pk)
    add_for_or_404(request.who, PracticeLog, season.student)
    form = posted_log(request.POST, season)
    if not form.is_valid():
        return _page(request, season, wrong=form)
    log = form.save(request.user)
    much = f"{log.minutes} min are" if log.minutes else "nothing is"
    words = f"{form.name}: {much} logged for {log.on:%-d %B}."
    messages.success(request, words, extra_tags=undo_tag(request))
    return redirect(next_url(request, reverse("practice", args=[pk])))


@require_POST
def practice_day(request, pk):
    """Give one day other minutes than its weekday has."""
    season = _season(request, pk)
    add_for_or_404(request.who, PracticeDay, season.student)
    form = DayForm(request.POST, season=season, auto_id="practice-day-%s")
    if not form.is_valid():
        return _page(request, season, wrong=form)
    day = form.save()
    words = f"{day.on:%A %-d %B} has {day.minutes} minutes: the plan goes by that."
    messages.success(request, words, extra_tags=undo_tag(request))
    return redirect(next_url(request, reverse("practice", args=[pk])))


def _season(request, pk):
    return Season(read_or_404(request.who, with_practice(whole_season(request.who)), pk=pk))


def today_for(who, season, wrong=None):
    """Return the practice.today.Today of a Season as `who` may see and write it."""
    return Today(
        Practice(season),
        is_own=who.role == Role.STUDENT,
        may_log=may_add_for(who, PracticeLog, season.student),
        wrong=wrong,
    )


def _page(request, season, wrong=None):
    """Render the page; wrong: a form that could not be saved."""
    today = today_for(request.who, season, wrong)
    context = {
        "today": today,
        "practice": PracticePage(today.practice),
        "student": season.student,
        "back": reverse("part") if today.is_own else season.student.get_absolute_url(),
        "here": reverse("practice", args=[season.student.pk]),
        "is_page": True,
    }
    return render(request, "entries/practice.html", context, status=422 if wrong else 200)


def practice_settings(request):
    """How the studio's practice is planned."""
    who = teacher_or_404(request.who)
    form = PracticeSettingsForm(request.POST or None, studio=who.studio)
    page, saved = "entries/practice_settings.html", "The rules of practice are saved."
    return settings_page(request, form, page, title="Practice", saved=saved)
