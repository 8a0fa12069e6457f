"""The studio's rules: which task each kind of deadline brings, and how long before."""

from django.contrib import messages
from django.shortcuts import redirect, render
from django.urls import reverse
from django.views.decorators.http import require_POST

from studio.accounts.access import (
    add_or_404,
    change_or_404,
    may_add,
    readable,
    remove_or_404,
    staff_or_404,
)
from studio.accounts.pages import Row, form_page, grouped, remove_page, undo_tag
from studio.entries import words
from studio.entries.models import DAY_CHOICE, LeadTime
from studio.entries.opening import add_usual_lead_times, missing_lead_times, untied_lead_times
from studio.entries.task_forms import LeadTimeForm
from studio.institutions.models import Deadline

INTRO = "It holds for tasks drawn up from now on. Work is counted back from the day it is due."
# In the order in which a season asks for them.
KINDS = [*Deadline.Kind.values, DAY_CHOICE[0]]
COLUMNS = ("Task", "Due", "Who does it", "Work", "Waits for", "Holds for")


def lead_times(request):
    """The rules by kind of deadline."""
    who = staff_or_404(request.who)
    editable = may_add(who, LeadTime)
    rules = sorted(readable(who, LeadTime), key=lambda rule: KINDS.index(rule.kind))
    context = {
        "title": "Lead times",
        "intro": "Which task each kind of deadline and the audition day bring, how long before, "
        "and what each waits for.",
        "columns": COLUMNS,
        "groups": grouped(rules, LeadTime.get_kind_display, lambda rule: _row(rule, editable)),
        "lacks_usual": bool(missing_lead_times(rules) or untied_lead_times(rules)),
        "add_url": editable and reverse("lead_time_add"),
        "add_label": "Add a rule",
        "editable": editable,
    }
    return render(request, "entries/lead_times.html", context)


def _row(rule, editable):
    url = reverse("lead_time_edit", args=[rule.pk]) if editable else ""
    cells = (rule.name, words.due(rule), rule.get_doer_display(), words.work(rule))
    return Row(url, (*cells, words.waits(rule), words.where(rule)))


@require_POST
def lead_times_usual(request):
    """Add the usual rules that the list lacks, and what its rules of usual names wait for."""
    add_or_404(request.who, LeadTime)
    added = add_usual_lead_times(request.who.studio)
    text = f"{len(added)} rules added or completed." if added else "The usual ones are all there."
    messages.success(request, text, extra_tags=undo_tag(request))
    return redirect("lead_times")


def lead_time_add(request):
    """Add a rule."""
    add_or_404(request.who, LeadTime)
    return form_page(
        request,
        LeadTimeForm,
        LeadTime(studio=request.who.studio),
        title="Add a lead time",
        intro=INTRO,
        back=reverse("lead_times"),
        again=True,
    )


def lead_time_edit(request, pk):
    """Change a rule; tasks that are drawn up already stay as they are."""
    rule = change_or_404(request.who, LeadTime, pk=pk)
    return form_page(
        request,
        LeadTimeForm,
        rule,
        title=rule.name,
        over=rule.get_kind_display(),
        intro=INTRO,
        back=reverse("lead_times"),
        remove_url=reverse("lead_time_remove", args=[pk]),
    )


def lead_time_remove(request, pk):
    """Remove a rule; its tasks stay."""
    rule = remove_or_404(request.who, LeadTime, pk=pk)
    return remove_page(request, rule, back=reverse("lead_times"))
