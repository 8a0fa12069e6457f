"""The plan of a student's music: read by staff; wished for, weighed and taken over by teachers."""

from django.contrib import messages
from django.shortcuts import redirect, render
from django.urls import reverse
from django.utils.http import urlencode
from django.views.decorators.http import require_POST, require_safe

from studio.accounts.access import add_or_404, change_or_404, read_or_404, staff_or_404
from studio.accounts.history import bulk_update
from studio.accounts.pages import undo_tag
from studio.accounts.words import counted
from studio.answers import why_not
from studio.entries import choices
from studio.entries.bridge import Season
from studio.entries.models import Assignment, Entry, Wish
from studio.entries.plan import Planning
from studio.entries.plan_accept import accept
from studio.entries.plan_forms import KeptForm, KeysForm, WishForm, WorthForm
from studio.entries.plan_frontier import Frontier
from studio.entries.plan_page import PlanPage
from studio.entries.plan_queries import planned
from studio.students.models import Student
from studio.workers import Unsolved

OTHER_PLAN = "Nothing was taken over: the plan is another by now. Look at it again."
NOT_SAVED = "Nothing was saved: choose among what the page offers."


@require_safe
def plan(request, pk):
    """What a student could prepare, beside what is assigned now."""
    who = staff_or_404(request.who)
    page = PlanPage(_planning(request, pk), who, request.GET.get("open", ""))
    return render(request, "entries/plan.html", {"page": page, "student": page.student})


def _planning(request, pk, lookup=read_or_404):
    student = lookup(request.who, planned(request.who), pk=pk)
    return Planning(Season(student), list(choices.pieces(request.who)))


def _back(request, pk, place="plan"):
    opened = {"open": request.POST["open"]} if request.POST.get("open") else {}
    query = f"?{urlencode(opened)}" if opened else ""
    return redirect(f"{reverse('plan', args=[pk])}{query}#{place}")


@require_POST
def plan_wish(request, pk):
    """Write down what the teacher wishes of one piece for this student."""
    add_or_404(request.who, Wish)
    student = change_or_404(request.who, Student, pk=pk)
    form = WishForm(request.POST, who=request.who, student=student)
    if not form.is_valid():
        messages.error(request, NOT_SAVED)
        return _back(request, pk)
    messages.success(request, f"{form.save()}.", extra_tags=undo_tag(request))
    return _back(request, pk, f"piece-{form.cleaned_data['piece'].pk}")


@require_POST
def plan_entry(request, pk):
    """Take an audition into the plan or out of it, or say what it is worth to the student."""
    entries = Entry.objects.select_related("student__studio", "audition__institution")
    entry = change_or_404(request.who, entries, pk=pk)
    weighed = "worth" in request.POST
    form = (WorthForm if weighed else KeptForm)(request.POST, instance=entry, who=request.who)
    if form.is_valid():
        form.save()
        said = "in the plan" if entry.kept else "left out of the plan"
        said = f"worth {entry.worth} of 10" if weighed else said
        text = f"{entry.audition.institution.short}: {said}."
        messages.success(request, text, extra_tags=undo_tag(request))
    else:
        messages.error(request, NOT_SAVED)
    return _back(request, entry.student_id, f"audition-{pk}")


@require_POST
def plan_accept(request, pk):
    """Assign what the plan says: all of it, one audition's, or one piece; if it is still the same.

    Posted: `plan`, the digest of the plan that was shown; `entry` or `piece`, a key, or neither.
    """
    add_or_404(request.who, Assignment)
    planning = _planning(request, pk, change_or_404)
    scope = {name: request.POST.get(name, "") for name in ("entry", "piece")}
    try:
        same = request.POST.get("plan") == planning.digest
    except Unsolved as error:
        messages.error(request, f"Nothing was taken over. {error}")
        return _back(request, pk)
    if not same:
        messages.warning(request, OTHER_PLAN)
        return _back(request, pk)
    text = _accepted(*accept(planning, **scope))
    messages.success(request, text, extra_tags=undo_tag(request))
    return _back(request, pk)


def _accepted(added, removed):
    done = (
        f"{len(added)} assigned" if added else "",
        f"{len(removed)} taken away" if removed else "",
    )
    words = ", ".join(filter(None, done))
    return f"Taken over: {words}." if words else "That is assigned already: nothing has changed."


def plan_frontier(request, pk):
    """Hours against auditions; choosing a point plans for its auditions."""
    if request.method == "POST":
        return _choose(request, pk)
    staff_or_404(request.who)
    frontier = Frontier(_planning(request, pk))
    student, trouble = frontier.planning.student, why_not(frontier)
    context = {"frontier": frontier, "student": student, "trouble": trouble}
    return render(request, "entries/plan_frontier.html", context)


def _choose(request, pk):
    planning = _planning(request, pk, change_or_404)
    form = KeysForm(request.POST)
    keys = form.cleaned_data["auditions"] if form.is_valid() else None
    if keys is None or not keys <= {entry.pk for entry in planning.asked}:
        messages.error(request, NOT_SAVED)
        return _back(request, pk)
    for entry in planning.asked:
        entry.kept = entry.pk in keys
    bulk_update(planning.asked, ["kept"])
    text = f"{counted(len(keys), 'audition') or 'No audition'} in the plan."
    messages.success(request, text, extra_tags=undo_tag(request))
    return _back(request, pk)
