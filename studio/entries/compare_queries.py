"""How a student is read for comparing their music: always the same number of queries."""

from django.db.models import Prefetch

from studio.accounts.access import readable
from studio.entries.models import Assignment, Entry, LessonCheck
from studio.students.models import Student


def compared(who):
    """Return the students the asker may see with all that `compare.Comparison` reads.

    Seven queries: students, entries of the season, requirements, judgements, errata, assignments,
    checks. Wrap in `bridge.Season`.
    """
    checks = LessonCheck.objects.select_related("piece")
    students = readable(who, Student).select_related("studio", "instrument")
    return students.prefetch_related(
        Prefetch("entries", _entries(who.studio.season)), Prefetch("checks", checks)
    )


def _entries(season):
    return (
        Entry.objects.filter(audition__season=season)
        .select_related(
            "audition__institution", "instrument", "requirement_set__instrument", "chosen_date"
        )
        .prefetch_related(
            "requirement_set__requirements__judgements",
            "requirement_set__errata",
            Prefetch("assignments", Assignment.objects.select_related("piece", "requirement")),
        )
        .order_by("chosen_date__on", "audition__institution__name", "pk")
    )
