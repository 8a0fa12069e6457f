"""How the studio's days are read: everybody's dates in a constant number of queries."""

from django.db.models import Exists, F, OuterRef, Prefetch, Q, prefetch_related_objects

from studio.accounts.access import readable
from studio.entries.models import Assignment, Entry, LessonCheck, Task
from studio.institutions.models import OfferedDate
from studio.students.models import Student, StudioDay


def entries(who):
    """Return the season's entries with dates, days, people and tasks, but without their music.

    Three queries: entries, tasks, the dates that tasks may be counted from. Of tasks all are read,
    though letters alone are shown: when a letter is due depends on what waits for it.
    """
    found = (
        Entry.objects.filter(audition__season=who.studio.season)
        .exclude(result=Entry.Result.WITHDRAWN)
        .select_related(
            "audition__institution__part_of",
            "instrument",
            "requirement_set",
            "chosen_date",
            "day",
            "accompanist",
        )
        .order_by("chosen_date__on", "day__call", "pk")
    )
    tasks = Task.objects.select_related("deadline__opens_after", "recommender")
    offers = OfferedDate.objects.filter(full=False).annotate(only=F("instruments"))
    return found.prefetch_related(
        Prefetch("tasks", tasks), Prefetch("audition__dates", offers, to_attr="offers")
    )


def booked(who):
    """Return the asker's students with all that stands on the studio's days.

    Seven queries: students, entries, tasks, dates, days away, the studio's own days and whom they
    are about. No music is read: when a letter is due hangs on none.
    """
    rows = entries(who).prefetch_related(Prefetch("assignments", Assignment.objects.none()))
    found = _of_studio(who, rows, LessonCheck.objects.none())
    return found.prefetch_related("days_away")


def with_music(who):
    """Return the asker's students with letters and with what a letter can tell of their season.

    Nine queries: students, entries, tasks, dates, requirements, assignments, checks, and the
    studio's own days and whom they are about.
    """
    rows = entries(who).prefetch_related(
        "requirement_set__requirements",
        Prefetch("assignments", Assignment.objects.select_related("piece", "requirement")),
    )
    return _of_studio(who, rows, LessonCheck.objects.select_related("piece"))


def _of_studio(who, rows, checks):
    return (
        readable(who, Student)
        .select_related("instrument")
        .prefetch_related(Prefetch("entries", rows), Prefetch("checks", checks))
    )


def of_one_studio(who, students):
    """Return loaded students as a list, their studio the asker's with all its own days: 2 queries.

    The days are then read once for all, however many students.
    """
    own = StudioDay.objects.select_related("accompanist")
    needed = Prefetch("students", Student.objects.only("pk"))
    days = Prefetch("own_days", own.prefetch_related(needed))
    prefetch_related_objects([who.studio], days)
    found = list(students)
    for student in found:
        student.studio = who.studio
    return found


def offered(who):
    """Return the dates of all students' auditions, once for each entry, in order of time.

    As dates_queries.offered gives them for one student, besides with `student_pk`.
    """
    only = OfferedDate.instruments.through.objects.filter(offereddate_id=OuterRef("pk"))
    theirs = only.filter(instrument_id=OuterRef("audition__entries__instrument"))
    held = Q(audition__season=who.studio.season, audition__entries__student__studio=who.studio_id)
    return (
        OfferedDate.objects.filter(held)
        .annotate(
            entry_pk=F("audition__entries__pk"),
            student_pk=F("audition__entries__student"),
            limited=Exists(only),
            suits=Exists(theirs),
        )
        .order_by("on", "starts", "pk")
    )


def own_days(who):
    """Return the studio's own days, each once for everybody it is about, in `only`; None: all."""
    return readable(who, StudioDay).annotate(only=F("students"))
