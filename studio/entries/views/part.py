"""The part: what one student sees and works from, and the cues ticked in it."""

from django.contrib import messages
from django.http import Http404
from django.shortcuts import get_object_or_404, redirect, render
from django.urls import reverse
from django.views.decorators.http import require_POST, require_safe
from django_htmx.http import trigger_client_event

from studio.accounts.access import NOT_FOUND, STAFF, readable, staff_or_404, tickable
from studio.accounts.models import Role
from studio.accounts.pages import next_url, undo_tag
from studio.entries.bridge import Season
from studio.entries.choices import with_entry
from studio.entries.logs import LogForm
from studio.entries.models import Task
from studio.entries.parts import Part
from studio.entries.queries import parts
from studio.entries.views.practice import today_for
from studio.students.models import Student
from studio.students.queries import with_company


@require_safe
def part(request):
    """The asker's own part, or their children's; staff go to the score."""
    who = request.who
    if who and who.role in STAFF:
        return redirect("score")
    if who and who.role == Role.GUARDIAN:
        return _children(request)
    return _own_page(request, _own_season(request))


def _children(request):
    """Lead a guardian to the part of their child, or let them choose between several."""
    children = list(readable(request.who, Student).select_related("instrument"))
    if len(children) == 1:
        return redirect(children[0])
    return render(request, "entries/children.html", {"children": children})


@require_safe
def student(request, pk):
    """One student's part for staff, with the ways to work on it, or as a guardian reads it."""
    if request.who and request.who.role == Role.GUARDIAN:
        return _child_page(request, pk)
    who = staff_or_404(request.who)
    season = Season(get_object_or_404(with_company(parts(who)), pk=pk))
    context = _context(request, Part(season, staff=True))
    return render(request, "entries/part.html", context)


def _child_page(request, pk):
    season = Season(get_object_or_404(parts(request.who), pk=pk))
    may_tick = tickable(request.who).filter(entry__student=pk).exists()
    context = _context(request, Part(season, guardian=True, may_tick=may_tick))
    return render(request, "entries/part.html", context)


def _own_season(request):
    if request.who is None or request.who.role != Role.STUDENT:
        raise Http404(NOT_FOUND)
    return Season(get_object_or_404(parts(request.who), membership=request.who))


def _own_page(request, season, wrong=None):
    """Render a student's own part; wrong: the log that could not be saved."""
    forms = {piece.pk: LogForm(None, season=season, piece=piece) for piece in season.pieces}
    if wrong:
        forms[wrong.instance.piece_id] = wrong
    context = _context(request, Part(season), forms)
    return render(request, "entries/part.html", context, status=422 if wrong else 200)


def _context(request, shown, forms=()):
    """Return what the template needs: the part, and beside each piece its form, if any."""
    forms = dict(forms)
    return {
        "part": shown,
        "music": [(line, forms.get(line.piece.pk)) for line in shown.music],
        "today": shown.ahead and today_for(request.who, shown.season),
        "here": reverse("part") if shown.is_own else shown.student.get_absolute_url(),
    }


@require_POST
def check_log(request, pk):
    """Write down the student's own clean tempo of today; the figure stays the teacher's."""
    season = _own_season(request)
    piece = next((piece for piece in season.pieces if piece.pk == pk), None)
    if piece is None:
        raise Http404(NOT_FOUND)
    form = LogForm(request.POST, season=season, piece=piece)
    if not form.is_valid():
        return _own_page(request, season, wrong=form)
    form.instance.by = request.user
    log = form.save()
    words = f"{piece.title}: {log.tempo} is in your log of today."
    messages.success(request, words, extra_tags=undo_tag(request))
    return redirect("part")


@require_POST
def task_tick(request, pk):
    """Mark a task done, or open again; what somebody else did meanwhile stays as it is."""
    task = get_object_or_404(tickable(request.who).exclude(state=Task.State.DROPPED), pk=pk)
    owner = get_object_or_404(with_entry(request.who, task.entry_id))
    cue = Season(owner).cue(pk)
    if request.POST.get("was", cue.task.state) == cue.task.state:
        # The tasks of one errand have one student and one doer: who may tick one may tick all.
        for task, _ in cue.members:
            task.tick(request.user, Season(owner).today)
    if request.htmx:
        return _ticked(request, owner, pk)
    state = "done" if cue.done else "open again"
    words = f"{cue.place}, {cue.name}: {state}."
    messages.success(request, words, extra_tags=undo_tag(request))
    return redirect(next_url(request, "part"))


def _ticked(request, owner, pk):
    """Return the cue as it stands now; `ticked` tells the rest of the page."""
    context = {
        "cue": Season(owner).cue(pk),
        "student": owner if request.POST.get("named") else None,
        "short": request.POST.get("named") == "short",
        "next": next_url(request, "/"),
    }
    response = render(request, "entries/cue.html", context)
    return trigger_client_event(response, "ticked", after="settle")
