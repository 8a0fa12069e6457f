"""What the lists of accompanists and of the studio's own days show."""

from django.urls import reverse
from django.utils.formats import date_format

from studio.accounts.access import may_add
from studio.accounts.pages import Group, Row
from studio.accounts.words import counted
from studio.students.models import Accompanist, StudioDay

ACCOMPANIST_COLUMNS = ("Name", "E-mail", "Phone", "Players a day", "This season")
OWN_DAY_COLUMNS = ("What", "When", "Kind", "Who", "Notes")
NAMED = 3
KINDS = {
    StudioDay.Kind.OFF: "day off",
    StudioDay.Kind.CONCERT: "concert",
    StudioDay.Kind.TEACHER: "teacher away",
    StudioDay.Kind.ACCOMPANIST: "accompanist away",
}


def accompanist_row(row, editable):
    """Return the line of an accompanist of `queries.accompanists`."""
    url = reverse("accompanist_edit", args=[row.pk]) if editable else ""
    plays = counted(row.plays_for, "audition")
    return Row(url, (row.name, row.email, row.phone, f"{row.most} at most", plays))


def no_accompanists(who):
    """Say what to do while there are no accompanists."""
    if not may_add(who, Accompanist):
        return {"title": "No accompanists yet", "text": "The studio’s teacher adds them."}
    return {
        "title": "No accompanists yet",
        "text": "Add whoever plays for more than one of your students, then say in each entry who "
        "comes along. Dates on which one of them is wanted in two places are pointed out.",
        "url": reverse("accompanist_add"),
        "label": "Add an accompanist",
    }


def own_day_groups(rows, today, editable):
    """Return the Groups of lines of the studio's own days: ahead, then over, the latest first."""
    ahead = [own_day_row(row, editable) for row in rows if row.last >= today]
    over = [own_day_row(row, editable) for row in reversed(rows) if row.last < today]
    groups = (Group("Ahead", tuple(ahead)), Group("Over", tuple(over)))
    return [group for group in groups if group.rows]


def own_day_row(row, editable):
    """Return the line of one of the studio's own days."""
    url = reverse("own_day_edit", args=[row.pk]) if editable else ""
    return Row(url, (row.name, when(row), KINDS[row.kind], whom(row), row.notes))


def when(row):
    """Return "Saturday 13 February 2027, 18:00 to 20:30", or from the first day to the last."""
    first = date_format(row.first, "l j F Y")
    last = "" if row.last == row.first else f" to {date_format(row.last, 'l j F Y')}"
    hours = [row.starts and f"from {row.starts:%H:%M}", row.ends and f"to {row.ends:%H:%M}"]
    words = " ".join(filter(None, hours))
    return f"{first}{last}, {words}" if words else f"{first}{last}"


def whom(row):
    """Return whom a day concerns: an accompanist, some students by name, or everybody."""
    if row.accompanist:
        return row.accompanist.name
    if row.kind != StudioDay.Kind.CONCERT:
        return ""
    names = [student.called for student in row.students.all()]
    more = f" and {len(names) - NAMED} more" if len(names) > NAMED else ""
    return ", ".join(names[:NAMED]) + more if names else "everybody"


def no_own_days(who):
    """Say what to do while the studio has no days of its own."""
    if not may_add(who, StudioDay):
        return {"title": "No days of your own yet", "text": "The studio’s teacher adds them."}
    return {
        "title": "No days of your own yet",
        "text": "Add the concerts at which your students play, the days off, and when you or an "
        "accompanist are away. Auditions that fall on them are pointed out.",
        "url": reverse("own_day_add"),
        "label": "Add a day",
    }
