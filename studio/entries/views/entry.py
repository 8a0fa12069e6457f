"""One student going for one audition: entering, the date, the music, the tasks, the result."""

from django.contrib import messages
from django.db.models import Max
from django.shortcuts import redirect, render
from django.urls import reverse
from django.views.decorators.http import require_POST

from studio.accounts.access import (
    add_or_404,
    change_or_404,
    read_or_404,
    remove_or_404,
    staff_or_404,
    teacher_or_404,
)
from studio.accounts.pages import form_page, next_url, remove_page, undo_tag
from studio.entries import choices
from studio.entries.bridge import Season
from studio.entries.forms import AssignForm, DateForm, EntryAddForm, EntryForm, ResultForm
from studio.entries.models import Assignment, Entry, Task
from studio.entries.programme import Programme, no_auditions
from studio.entries.task_forms import TaskForm
from studio.requirements.models import Erratum
from studio.students.models import Student

OTHER_DAY = "Call and rooms were written down for another date: check the day."


def entry(request, pk):
    """One student for one audition: what is settled, what is not, and what to look at twice."""
    staff_or_404(request.who)
    return _page(request, pk)


def _page(request, pk, status=200, **forms):
    """Render the entry's page; forms: one that was posted and is wrong."""
    student = read_or_404(request.who, choices.with_entry(request.who, pk))
    programme = Programme(Season(student), pk, request.who, **forms)
    context = {"programme": programme, "student": student}
    return render(request, "entries/entry.html", context, status=status)


def entry_add(request, pk):
    """Enter a student for an audition of the current season."""
    add_or_404(request.who, Entry)
    student = change_or_404(request.who, Student.objects.select_related("studio"), pk=pk)
    if not choices.auditions(request.who).exists():
        return render(request, "entries/entry_none.html", no_auditions(student))
    return form_page(
        request,
        EntryAddForm,
        Entry(student=student, instrument=student.instrument),
        title="Enter for an audition",
        over=student.name,
        intro="The tasks that its deadlines bring are drawn up at once.",
        back=student.get_absolute_url(),
        then=Entry.get_absolute_url,
        again=True,
    )


def entry_edit(request, pk):
    """Change what an entry goes by, who comes along, and the journey."""
    row = _entry_to_change(request, pk)
    return form_page(
        request,
        EntryForm,
        row,
        title=str(row.audition),
        over=row.student.name,
        back=row.get_absolute_url(),
        remove_url=reverse("entry_remove", args=[pk]),
    )


def entry_remove(request, pk):
    """Remove an entry with its music and tasks; the checks stay with the student."""
    row = remove_or_404(request.who, Entry, pk=pk)
    return remove_page(request, row, back=row.student.get_absolute_url())


def _entry_to_change(request, pk):
    entries = Entry.objects.select_related("student__studio", "audition__institution", "instrument")
    return change_or_404(request.who, entries, pk=pk)


@require_POST
def entry_date(request, pk):
    """Choose one of the offered dates, or none, and say how sure it is."""
    form = DateForm(request.POST, instance=_entry_to_change(request, pk), who=request.who)
    return _settle(request, pk, date=form)


@require_POST
def entry_result(request, pk):
    """Write down what came of it."""
    form = ResultForm(request.POST, instance=_entry_to_change(request, pk), who=request.who)
    return _settle(request, pk, result=form)


@require_POST
def entry_errata(request, pk):
    """Note that the student knows of the corrections that are written down by now.

    Up to the latest of them, not up to today: one found later may have been published before.
    """
    row = _entry_to_change(request, pk)
    errata = Erratum.objects.filter(requirement_set=row.requirement_set_id)
    known = errata.filter(on__lte=request.who.studio.today).aggregate(latest=Max("on"))
    row.errata_told = known["latest"] or row.errata_told
    row.save()
    text = f"{row.audition.institution.short}: the corrections are passed on."
    messages.success(request, text, extra_tags=undo_tag(request))
    return redirect(row.get_absolute_url() + "#music")


@require_POST
def assign(request, pk):
    """Choose a piece for one of the requirements."""
    row = _entry_to_change(request, pk)
    form = AssignForm(request.POST, instance=Assignment(entry=row), who=request.who)
    return _settle(request, pk, assign=form)


def _settle(request, pk, **named):
    """Save the one form of the entry's page that was posted, or show it again."""
    ((name, form),) = named.items()
    if not form.is_valid():
        return _page(request, pk, status=422, **named)
    saved = form.save()
    words = {
        "date": "the date is saved",
        "result": "the result is saved",
        "assign": f"{saved} is chosen",
    }
    place = form.instance.entry if name == "assign" else saved
    text = f"{place.audition.institution.short}: {words[name]}."
    messages.success(request, text, extra_tags=undo_tag(request))
    if "chosen_date" in form.changed_data and hasattr(saved, "day"):
        messages.warning(request, OTHER_DAY)
    return redirect(reverse("entry", args=[pk]) + f"#{'music' if name == 'assign' else name}")


@require_POST
def unassign(request, pk):
    """Take a piece away from a requirement; its checks stay."""
    row = remove_or_404(request.who, Assignment.objects.select_related("entry"), pk=pk)
    label = str(row)
    row.delete()
    messages.success(request, f"{label}: taken away.", extra_tags=undo_tag(request))
    return redirect(reverse("entry", args=[row.entry_id]) + "#music")


def task_add(request, pk):
    """Add a task of the teacher's own to an entry."""
    teacher_or_404(request.who)
    row = _entry_to_change(request, pk)
    return form_page(
        request,
        TaskForm,
        Task(entry=row),
        title="Add a task",
        over=str(row),
        intro="Give it a day of its own, or a deadline or the audition day to count back from. "
        "With days of work it is started so much earlier.",
        back=row.get_absolute_url(),
        again=True,
    )


def _task_to_change(request, pk):
    teacher_or_404(request.who)
    tasks = Task.objects.select_related(
        "entry__student__studio", "entry__audition__institution", "deadline"
    )
    return change_or_404(request.who, tasks, pk=pk)


def task_edit(request, pk):
    """Change a task."""
    task = _task_to_change(request, pk)
    return form_page(
        request,
        TaskForm,
        task,
        title=task.name,
        over=str(task.entry),
        back=task.entry.get_absolute_url(),
        remove_url=None if task.deadline_id or task.of_day else reverse("task_remove", args=[pk]),
    )


@require_POST
def task_drop(request, pk):
    """Mark a task as not needed, or as needed again."""
    task = _task_to_change(request, pk)
    task.drop()
    state = "not needed" if task.state == Task.State.DROPPED else "needed again"
    messages.success(request, f"{task.name}: {state}.", extra_tags=undo_tag(request))
    return redirect(next_url(request, task.entry.get_absolute_url() + "#tasks"))


def task_remove(request, pk):
    """Remove a task."""
    task = remove_or_404(request.who, Task.objects.select_related("entry"), pk=pk)
    return remove_page(request, task, back=task.entry.get_absolute_url())
