"""How a student is read for the plan of their music: always the same number of queries."""

from django.db.models import Prefetch

from studio.accounts.access import readable
from studio.entries.models import Assignment, Entry, LessonCheck
from studio.students.models import Student


def planned(who):
    """Return the students the asker may see with all that `plan.Planning` reads.

    Seven queries: students, entries of the season, requirements, judgements, assignments, checks,
    wishes. Wrap in `bridge.Season`.
    """
    entries = (
        Entry.objects.filter(audition__season=who.studio.season)
        .select_related("audition__institution", "instrument", "requirement_set", "chosen_date")
        .prefetch_related(
            "requirement_set__requirements__judgements",
            Prefetch("assignments", Assignment.objects.select_related("piece", "requirement")),
        )
        .order_by("chosen_date__on", "audition__institution__name", "pk")
    )
    students = readable(who, Student).select_related("studio__learned_pace", "instrument")
    checks = LessonCheck.objects.select_related("piece")
    return students.prefetch_related(
        Prefetch("entries", entries), Prefetch("checks", checks), "wishes"
    )
