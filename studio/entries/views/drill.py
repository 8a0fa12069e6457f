"""Scales key by key with their clean tempos, and sight-reading with a timer."""

from django.contrib import messages
from django.http import Http404
from django.shortcuts import redirect, render
from django.urls import reverse
from django.views.decorators.http import require_POST, require_safe

from studio.accounts.access import NOT_FOUND, STAFF, reach, read_or_404
from studio.accounts.models import Role
from studio.accounts.pages import undo_tag
from studio.entries.bridge import Season
from studio.entries.drill.draw import turn
from studio.entries.drill.forms import TempoForm
from studio.entries.drill.page import Drill, empty, name
from studio.entries.drill.rows import drilled
from studio.entries.drill.sight import SightReading
from studio.entries.drill.tempos import STUDENT, TEACHER
from studio.entries.models import KeyCheck


@require_safe
def drill(request, pk):
    """The next key, and all keys with their clean tempos."""
    page = _drill(request, pk, request.GET)
    return _shown(request, page, _form(page) if page.keys else None)


@require_POST
def drill_tempo(request, pk):
    """Write down today's clean tempo of a key, and go on with the next."""
    page = _drill(request, pk, request.POST)
    if not page.source:
        raise Http404(NOT_FOUND)
    form = _form(page, request.POST)
    if not form.is_valid():
        return _shown(request, page, form, status=422)
    key = form.cleaned_data["logged"]
    check = _write(page, key, form.cleaned_data["tempo"], request.user)
    words = f"{name(key)}: clean at {check.tempo}."
    messages.success(request, words, extra_tags=undo_tag(request))
    return redirect(reverse("drill", args=[pk]) + page.turn.next.query)


def _drill(request, pk, params):
    """Return the Drill of a student whom the asker may see."""
    season = Season(read_or_404(request.who, drilled(request.who), pk=pk))
    checks = list(season.student.key_checks.all())
    return Drill(season, turn(params, season.today), checks, _source(request.who))


def _source(who):
    """Return as whose figures the asker writes clean tempos down; "" for who may only read."""
    if who.role in reach(KeyCheck).changed_by:
        return TEACHER
    return STUDENT if who.role == Role.STUDENT else ""


def _form(page, data=None):
    logged = page.key.code if page.keys else ""
    initial = {"tempo": page.tempo if page.keys else None, "logged": logged}
    return TempoForm(data, initial=initial, asked=page.by_code)


def _shown(request, page, form, status=200):
    frame = _frame(request.who, page.student)
    context = {"drill": page, "form": form, "empty": empty(page, frame["staff"]), **frame}
    return render(request, "entries/drill.html", context, status=status)


def _frame(who, student):
    """Return who reads, and the address of the student's part as they read it."""
    own = who.role == Role.STUDENT
    back = reverse("part") if own else student.get_absolute_url()
    return {"staff": who.role in STAFF, "own": own, "back": back}


def _write(page, key, tempo, user):
    """Save the KeyCheck of today, the one that is there already if there is one; return it."""
    there = page.tempos.on(key, page.source, page.today)
    check, _ = KeyCheck.objects.update_or_create(
        student=page.student,
        sort=key.sort.value,
        tonic=there.tonic if there else key.tonic,
        on=page.today,
        source=page.source,
        defaults={"tempo": tempo, "by": user},
    )
    return check


@require_safe
def sight_reading(request, pk):
    """What to look at before reading at sight, and a timer for the study time."""
    season = Season(read_or_404(request.who, drilled(request.who), pk=pk))
    page = SightReading(season, request.GET.get("seconds", ""))
    context = {"page": page, **_frame(request.who, page.student)}
    return render(request, "entries/sight_reading.html", context)
