"""What the lists of students and instruments show."""

from django.urls import reverse
from django.utils.formats import date_format

from studio.accounts.access import may_add, readable
from studio.accounts.pages import Row
from studio.accounts.words import counted
from studio.students.models import Instrument, Student
from studio.students.sounding import sounding

STUDENT_COLUMNS = ("Name", "Instrument", "School year", "Next audition", "Auditions")
INSTRUMENT_COLUMNS = ("Instrument", "Sounds", "Written range", "Students")


def family(student):
    """The heading under which a student stands in score order."""
    return student.instrument.get_family_display()


def student_row(student):
    """Return the line of a student of `queries.roster`."""
    next_on = date_format(student.next_on, "j F Y") if student.next_on else ""
    cells = (
        student.name,
        student.instrument.name,
        student.school_year,
        next_on,
        counted(student.going_for, "audition"),
    )
    return Row(student.get_absolute_url(), cells)


def no_students(who):
    """Say what to do while there are no students."""
    if not may_add(who, Student):
        return {"title": "No students yet", "text": "The studio's teacher adds them."}
    if not readable(who, Instrument).exists():
        return {
            "title": "No students yet",
            "text": "Begin with the list of instruments, then add the first student. "
            "Or load a whole season from the workbook.",
            "url": reverse("instruments"),
            "label": "List the instruments",
        }
    return {
        "title": "No students yet",
        "text": "Add the first one, or load a whole season from the workbook.",
        "url": reverse("student_add"),
        "label": "Add a student",
    }


def instrument_row(instrument, editable):
    """Return the line of an instrument of `queries.instruments`."""
    url = reverse("instrument_edit", args=[instrument.pk]) if editable else ""
    cells = (
        instrument.name,
        sounding(instrument.semitones),
        written_range(instrument),
        counted(instrument.players, "student"),
    )
    return Row(url, cells)


def written_range(instrument):
    """Return "F♯2 to C6", or what is known of it."""
    low, high = in_type(instrument.lowest), in_type(instrument.highest)
    if low and high:
        return f"{low} to {high}"
    return f"from {low}" if low else f"to {high}" if high else ""


def in_type(pitch):
    """Return a pitch with the signs of music for sharp and flat: B♭4."""
    return pitch.replace("#", "♯").replace("b", "♭")
