"""Trial lessons: the teacher's list of them, and the student's own words about each."""

from django.shortcuts import render
from django.urls import reverse
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
from studio.accounts.pages import form_page, remove_page
from studio.entries import trial_lessons as of
from studio.entries.applications_forms import TrialLessonForm, TrialLessonWordsForm
from studio.entries.models import TrialLesson
from studio.students.models import Student

INTRO = "Times are those of the place. What the student writes stands apart."


def trial_lessons(request, pk):
    """All of a student's trial lessons: asked, answered, held, and what came of them."""
    who = staff_or_404(request.who)
    student = read_or_404(who, Student.objects.select_related("studio"), pk=pk)
    today = timezone.localdate(timezone=zone(student.home_zone))
    context = {
        "student": student,
        "lessons": of.Lessons(
            of.lessons(who, student), today, student.home_zone, who.studio.currency
        ),
        "may_edit": may_add(who, TrialLesson),
        "ask": of.ASK,
    }
    return render(request, "entries/trial_lessons.html", context)


def trial_lesson_add(request, pk):
    """Write down a teacher who is asked for a lesson."""
    teacher_or_404(request.who)
    student = change_or_404(request.who, Student, pk=pk)
    return form_page(
        request,
        TrialLessonForm,
        TrialLesson(student=student),
        title="Add a trial lesson",
        over=student.name,
        intro=INTRO,
        back=reverse("trial_lessons", args=[pk]),
        again=True,
    )


def trial_lesson_edit(request, pk):
    """Change what is known of a trial lesson; the student's words stay theirs."""
    teacher_or_404(request.who)
    row = change_or_404(request.who, _named(), pk=pk)
    return form_page(
        request,
        TrialLessonForm,
        row,
        title=f"Trial lesson with {row.teacher}",
        over=row.student.name,
        intro=INTRO,
        back=reverse("trial_lessons", args=[row.student_id]),
        remove_url=reverse("trial_lesson_remove", args=[pk]),
    )


def trial_lesson_remove(request, pk):
    """Remove a trial lesson with all that was written about it."""
    row = remove_or_404(request.who, _named(), pk=pk)
    return remove_page(request, row, back=reverse("trial_lessons", args=[row.student_id]))


def trial_lesson_words(request, pk):
    """The student's questions and impressions: nothing else can be changed here."""
    row = change_or_404(request.who, _named(), pk=pk)
    if request.who.is_teacher:
        back = reverse("trial_lessons", args=[row.student_id])
    else:
        back = reverse("part") + "#trial-lessons"
    return form_page(
        request,
        TrialLessonWordsForm,
        row,
        title=f"Trial lesson with {row.teacher}",
        over=row.institution.name,
        back=back,
    )


def _named():
    return TrialLesson.objects.select_related("institution", "student")
