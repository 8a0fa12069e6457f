"""Giving somebody a seat: the page that shows its one-time link once."""

from django.contrib import messages
from django.shortcuts import redirect, render
from django.urls import reverse
from django.views.decorators.cache import never_cache
from django.views.decorators.http import require_POST

from studio.accounts.access import change_or_404
from studio.students import invitations
from studio.students.models import Accompanist, Guardian, Student


@require_POST
@never_cache
def student_invite(request, pk):
    """Let a student sign in to their part."""
    student = change_or_404(request.who, _seated(Student), pk=pk)
    return _invite(request, student, student.get_absolute_url(), "student_edit")


@require_POST
@never_cache
def guardian_invite(request, pk):
    """Let a guardian sign in to the parts of their children."""
    guardian = change_or_404(request.who, _seated(Guardian), pk=pk)
    return _invite(request, guardian, reverse("guardian_edit", args=[pk]), "guardian_edit")


@require_POST
@never_cache
def accompanist_invite(request, pk):
    """Let an accompanist sign in to the days on which they play."""
    accompanist = change_or_404(request.who, _seated(Accompanist), pk=pk)
    return _invite(request, accompanist, reverse("accompanists"), "accompanist_edit")


def _seated(model):
    return model.objects.select_related("membership", "studio")


def _invite(request, person, back, edit):
    if problem := invitations.problem(person):
        messages.error(request, problem)
        mend = f"{reverse(edit, args=[person.pk])}#id_email"
        return redirect(back if person.email else mend)
    context = {**invitations.invite(person, request), "back": back}
    return render(request, "students/invite.html", context)
