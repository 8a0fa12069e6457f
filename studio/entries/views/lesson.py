"""The lesson page, made for a few seconds during a lesson; and all checks of a student."""

from django.contrib import messages
from django.shortcuts import redirect, render
from django.urls import reverse
from django.utils.dateparse import parse_date

from studio.accounts.access import change_or_404, read_or_404, remove_or_404, staff_or_404
from studio.accounts.pages import form_page, remove_page, undo_tag
from studio.entries import lessons
from studio.entries.bridge import Season
from studio.entries.checks import Checks, checked_students
from studio.entries.forms import CheckForm
from studio.entries.models import LessonCheck
from studio.entries.practice.rows import with_practice
from studio.entries.queries import whole_season
from studio.entries.views.practice import today_for


def lesson(request, pk):
    """One student, all current pieces: tempo, marks, memory and a note; saved all at once."""
    who = staff_or_404(request.who)
    season = Season(read_or_404(who, with_practice(whole_season(who)), pk=pk))
    page = lessons.Lesson(season, _shown(request), request.POST or None)
    if request.method == "POST" and page.is_valid():
        return _save(request, page)
    was = request.session.pop("lesson", None) if request.method == "GET" else None
    result = lessons.Result(season, was) if was and was["student"] == pk else None
    if request.method == "GET" and result is None:
        page.begin()
    context = {
        "lesson": page,
        "student": season.student,
        "result": result,
        "today": result and today_for(who, season),
    }
    status = 422 if any(page.problems) else 200
    return render(request, "entries/lesson.html", context, status=status)


def _shown(request):
    """Return the day asked for in the address, or today; never one that is still to come."""
    today = request.who.studio.today
    try:
        asked = parse_date(request.GET.get("on", ""))
    except ValueError:
        asked = None
    return min(asked or today, today)


def _save(request, page):
    checks = page.save(request.user)
    if checks:
        request.session["lesson"] = lessons.before(page.season, checks)
        words = f"{page.student.called}’s lesson of {checks[0].on:%-d %B}: saved."
        messages.success(request, words, extra_tags=undo_tag(request))
    else:
        messages.info(request, "Nothing was changed, so nothing is saved.")
    on = page.form.cleaned_data["on"]
    later = "" if on == page.today else f"?on={on.isoformat()}"
    return redirect(reverse("lesson", args=[page.student.pk]) + later)


def checks(request, pk):
    """All checks of a student by piece, newest first; the student's own stand apart."""
    who = staff_or_404(request.who)
    student = read_or_404(who, checked_students(who), pk=pk)
    context = {"student": student, "checks": Checks(student, who)}
    return render(request, "entries/checks.html", context)


def check_edit(request, pk):
    """Change one check after the lesson."""
    who = staff_or_404(request.who)
    check = change_or_404(who, LessonCheck.objects.select_related("piece", "student"), pk=pk)
    teachers = who.is_teacher
    return form_page(
        request,
        CheckForm,
        check,
        title=check.piece.title,
        over=f"{check.student}, {check.get_source_display().lower()}",
        back=reverse("checks", args=[check.student_id]),
        remove_url=teachers and reverse("check_remove", args=[pk]),
    )


def check_remove(request, pk):
    """Remove one check."""
    check = remove_or_404(request.who, LessonCheck.objects.select_related("piece"), pk=pk)
    return remove_page(request, check, back=reverse("checks", args=[check.student_id]))
