"""The students of a studio and their days away; and its instruments."""

from django.contrib import messages
from django.shortcuts import redirect, render
from django.urls import reverse
from django.views.decorators.http import require_POST

from studio.accounts.access import (
    add_or_404,
    change_or_404,
    may_add,
    remove_or_404,
    staff_or_404,
)
from studio.accounts.pages import form_page, grouped, orders, remove_page, undo_tag
from studio.students import contexts, queries
from studio.students.forms import DayAwayForm, InstrumentForm, StudentForm
from studio.students.models import DayAway, Instrument, Student
from studio.students.usual import add_usual_instruments


def students(request):
    """The studio's students, in score order or by name."""
    who = staff_or_404(request.who)
    q = request.GET.get("q", "").strip()
    links, order = orders(request, {"score": "Score order", "name": "By name"})
    found = queries.find(queries.roster(who, who.studio.today), q)
    context = {
        "title": "Students",
        "columns": contexts.STUDENT_COLUMNS,
        "filtered": True,
        "q": q,
        "orders": links,
        "add_url": may_add(who, Student) and reverse("student_add"),
        "add_label": "Add a student",
        "others": [
            ("Instruments", reverse("instruments")),
            ("Accompanists", reverse("accompanists")),
            ("Own days", reverse("own_days")),
        ],
    }
    if order == "name":
        context["rows"] = [contexts.student_row(row) for row in found.order_by("name")]
    else:
        context["groups"] = grouped(found, contexts.family, contexts.student_row)
    if not q:
        context["empty"] = contexts.no_students(who)
    return render(request, "partials/list_page.html", context)


def student_add(request):
    """Write down a new student; the list of instruments has to be there first."""
    add_or_404(request.who, Student)
    if not queries.instruments(request.who).exists():
        messages.warning(request, "A student plays an instrument: start with the list of these.")
        return redirect("instruments")
    return form_page(
        request,
        StudentForm,
        Student(studio=request.who.studio),
        title="Add a student",
        back=reverse("students"),
        then=Student.get_absolute_url,
        again=True,
    )


def student_edit(request, pk):
    """Change what is known of a student."""
    student = change_or_404(request.who, Student, pk=pk)
    return form_page(
        request,
        StudentForm,
        student,
        title=student.name,
        back=student.get_absolute_url(),
        remove_url=reverse("student_remove", args=[pk]),
    )


def student_remove(request, pk):
    """Remove a student with everything that is only theirs."""
    student = remove_or_404(request.who, Student, pk=pk)
    return remove_page(request, student, back=reverse("students"))


def away_add(request, pk):
    """Write down days on which a student is away."""
    student = change_or_404(request.who, Student, pk=pk)
    return form_page(
        request,
        DayAwayForm,
        DayAway(student=student),
        title="Add days away",
        over=student.name,
        intro="No audition is planned on these days.",
        back=student.get_absolute_url(),
        again=True,
    )


def away_edit(request, pk):
    """Change days away."""
    away = change_or_404(request.who, DayAway.objects.select_related("student"), pk=pk)
    return form_page(
        request,
        DayAwayForm,
        away,
        title="Days away",
        over=away.student.name,
        back=away.student.get_absolute_url(),
        remove_url=reverse("away_remove", args=[pk]),
    )


def away_remove(request, pk):
    """Remove days away."""
    away = remove_or_404(request.who, DayAway.objects.select_related("student"), pk=pk)
    return remove_page(request, away, back=away.student.get_absolute_url())


def instruments(request):
    """The studio's instruments in score order."""
    who = staff_or_404(request.who)
    editable = may_add(who, Instrument)
    groups = grouped(
        queries.instruments(who),
        Instrument.get_family_display,
        lambda row: contexts.instrument_row(row, editable),
    )
    context = {
        "title": "Instruments",
        "intro": "In score order: students stand on the score in the order of this list.",
        "columns": contexts.INSTRUMENT_COLUMNS,
        "groups": groups,
        "add_url": editable and reverse("instrument_add"),
        "add_label": "Add an instrument",
        "editable": editable,
    }
    return render(request, "students/instruments.html", context)


@require_POST
def instruments_usual(request):
    """Add the usual instruments of orchestra and band that the list lacks."""
    add_or_404(request.who, Instrument)
    added = add_usual_instruments(request.who.studio)
    words = f"{len(added)} instruments added." if added else "The usual ones are all there."
    messages.success(request, words, extra_tags=undo_tag(request))
    return redirect("instruments")


def instrument_add(request):
    """Add an instrument to the list."""
    add_or_404(request.who, Instrument)
    place = queries.last_position(request.who) + 10
    return form_page(
        request,
        InstrumentForm,
        Instrument(studio=request.who.studio, position=place),
        title="Add an instrument",
        back=reverse("instruments"),
        again=True,
    )


def instrument_edit(request, pk):
    """Change an instrument."""
    instrument = change_or_404(request.who, Instrument, pk=pk)
    return form_page(
        request,
        InstrumentForm,
        instrument,
        title=instrument.name,
        back=reverse("instruments"),
        remove_url=reverse("instrument_remove", args=[pk]),
    )


def instrument_remove(request, pk):
    """Remove an instrument that nobody plays."""
    instrument = remove_or_404(request.who, Instrument, pk=pk)
    return remove_page(request, instrument, back=reverse("instruments"))
