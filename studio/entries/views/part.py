"""The part: what one student sees and works from, and the cues ticked in it."""

from django.contrib import messages
from django.http import Http404
from django.shortcuts import get_object_or_404, redirect, render
from django.views.decorators.http import require_POST
from django_htmx.http import trigger_client_event

from studio.accounts.access import NOT_FOUND, tickable
from studio.accounts.pages import next_url, undo_tag
from studio.entries.bridge import Season
from studio.entries.models import Task
from studio.entries.queries import whole_season


@require_POST
def task_tick(request, pk):
    """Mark a task done, or open again; what somebody else did meanwhile stays as it is."""
    get_object_or_404(tickable(request.who).exclude(state=Task.State.DROPPED), pk=pk)
    student = get_object_or_404(whole_season(request.who), entries__tasks=pk)
    cue = Season(student).cue(pk)
    if cue is None:
        raise Http404(NOT_FOUND)
    task = cue.task
    if request.POST.get("was", task.state) == task.state:
        task.tick(request.user, Season(student).today)
    if request.htmx:
        return _ticked(request, student, pk)
    state = "done" if task.state == Task.State.DONE else "open again"
    words = f"{cue.place}, {task.name}: {state}."
    messages.success(request, words, extra_tags=undo_tag(request))
    return redirect(next_url(request, "part"))


def _ticked(request, student, pk):
    """Return the cue as it stands now; `ticked` tells the rest of the page."""
    context = {
        "cue": Season(student).cue(pk),
        "student": student if request.POST.get("named") else None,
        "next": next_url(request, "/"),
    }
    response = render(request, "entries/cue.html", context)
    return trigger_client_event(response, "ticked", after="settle")


def part(request):
    raise Http404


def student(request, pk):
    raise Http404
