"""What is stored about a student, in words, as a file, and its erasure."""

from django.contrib import messages
from django.http import HttpResponse
from django.shortcuts import redirect, render
from django.urls import reverse
from django.views.decorators.http import require_POST, require_safe

from studio.accounts.access import (
    STAFF,
    private_or_404,
    readable,
    remove_or_404,
    teacher_or_404,
)
from studio.accounts.models import Erasure, Role
from studio.accounts.pages import undo_tag
from studio.accounts.removal import goes_with
from studio.privacy import erasure, export, holdings
from studio.students.models import Student

SHOWN = 100  # erasures


@require_safe
def privacy(request):
    """What is stored in the studio; a student or a guardian is led to what is theirs."""
    who = request.who
    if who and who.role in {Role.STUDENT, Role.GUARDIAN}:
        return _own(request)
    who = teacher_or_404(who)
    waiting = readable(who, Student).exclude(erase_on=None).order_by("erase_on", "name")
    context = {
        "title": "Privacy",
        "lines": holdings.shown_to(staff=True),
        "usual": holdings.USUAL,
        "elsewhere": holdings.ELSEWHERE,
        "waiting": waiting,
        "erasures": Erasure.objects.filter(studio=who.studio).select_related("by")[:SHOWN],
        "studio": who.studio,
        "grace": erasure.GRACE.days,
        "binned": erasure.BINNED.days,
    }
    return render(request, "privacy/privacy.html", context)


def _own(request):
    mine = list(readable(request.who, Student).order_by("name"))
    if len(mine) == 1:
        return redirect("student_privacy", mine[0].pk)
    return render(request, "privacy/whose.html", {"students": mine, "title": "Whose data?"})


@require_safe
def student_privacy(request, pk):
    """What is stored about one student, and how much of each."""
    student = private_or_404(request.who, Student, pk=pk)
    staff = request.who.role in STAFF
    lines = holdings.shown_to(staff)
    counted = zip(lines, holdings.counts(student, lines), strict=True)
    context = {
        "title": f"What is stored about {student.called}",
        "student": student,
        "lines": list(counted),
        "usual": holdings.USUAL,
        "elsewhere": holdings.ELSEWHERE,
        "grace": erasure.GRACE.days,
        "back": student.get_absolute_url() if request.who.role != Role.STUDENT else reverse("part"),
    }
    return render(request, "privacy/student.html", context)


@require_safe
def student_export(request, pk):
    """All of it as a file."""
    students = Student.objects.select_related("studio", "membership")
    student = private_or_404(request.who, students, pk=pk)
    content = export.archive(request.who, student, student.studio.today)
    response = HttpResponse(content, content_type="application/zip")
    response["Content-Disposition"] = 'attachment; filename="stored.zip"'
    response["Cache-Control"] = "private, no-store"
    return response


def student_erase(request, pk):
    """Ask whether a student is to be erased for good, and put them down for it."""
    student = remove_or_404(request.who, Student.objects.select_related("studio"), pk=pk)
    back = reverse("student_privacy", args=[pk])
    if request.method == "POST":
        if student.erase_on is None:
            erasure.put_down(student, student.studio.today)
        words = f"{student.called} is erased on {student.erase_on:%-d %B %Y}."
        messages.success(request, words, extra_tags=undo_tag(request))
        return redirect(back)
    context = {
        "title": f"Erase {student.name} for good",
        "student": student,
        "on": student.erase_on or student.studio.today + erasure.GRACE,
        "lost": goes_with(student),
        "grace": erasure.GRACE.days,
        "cancel_url": back,
    }
    return render(request, "privacy/erase.html", context)


@require_POST
def student_keep(request, pk):
    """Take a student's erasure back."""
    student = remove_or_404(request.who, Student.objects.select_related("studio"), pk=pk)
    erasure.keep(student)
    messages.success(request, f"{student.called} stays.", extra_tags=undo_tag(request))
    return redirect("student_privacy", pk)
