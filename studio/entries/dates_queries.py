"""How a student is read for the choice of dates: always the same number of queries."""

from django.db.models import Exists, F, OuterRef, Prefetch, Q

from studio.accounts.access import readable
from studio.entries.models import Assignment, Entry, LessonCheck
from studio.institutions.models import OfferedDate
from studio.students.models import Student, StudioDay


def dated(who):
    """Return the students the asker may see with all that `dates.Dating` reads of them.

    Seven queries: students, entries of the season, requirements, assignments, wishes, checks, days
    away. Wrap in `bridge.Season`.
    """
    entries = (
        Entry.objects.filter(audition__season=who.studio.season)
        .select_related(
            "audition__institution__part_of",
            "instrument",
            "requirement_set",
            "chosen_date",
            "day",
            "accompanist",
        )
        .prefetch_related(
            "requirement_set__requirements",
            Prefetch("assignments", Assignment.objects.select_related("piece", "requirement")),
            "date_wishes",
        )
        .order_by("chosen_date__on", "audition__institution__name", "pk")
    )
    students = readable(who, Student).select_related("studio__learned_pace", "instrument")
    checks = LessonCheck.objects.select_related("piece")
    return students.prefetch_related(
        Prefetch("entries", entries), Prefetch("checks", checks), "days_away"
    )


def offered(student):
    """Return the dates of the student's auditions, once for each entry, in order of time.

    With `entry_pk`, `limited` (only some instruments) and `suits` (the entry's is among them).
    """
    only = OfferedDate.instruments.through.objects.filter(offereddate_id=OuterRef("pk"))
    theirs = only.filter(instrument_id=OuterRef("audition__entries__instrument"))
    return (
        OfferedDate.objects.filter(audition__entries__student=student)
        .annotate(entry_pk=F("audition__entries__pk"), limited=Exists(only), suits=Exists(theirs))
        .order_by("on", "starts", "pk")
    )


def concerts(student):
    """Return the studio's concerts that need the student."""
    days = StudioDay.objects.filter(studio=student.studio_id, kind=StudioDay.Kind.CONCERT)
    return days.filter(Q(students=None) | Q(students=student)).distinct()
