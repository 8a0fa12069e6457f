"""How students are read for their scales and sight-reading: the same number of queries for each."""

from django.db.models import Prefetch

from studio.accounts.access import readable
from studio.entries.models import Assignment, Entry
from studio.students.models import Student


def drilled(who):
    """Return the students the asker may see with what the auditions of the season ask of them.

    Four queries: students, entries, requirements, assignments. Wrap in `bridge.Season`.
    """
    entries = (
        Entry.objects.filter(audition__season=who and who.studio.season)
        .select_related(
            "audition__institution", "instrument", "requirement_set__instrument", "chosen_date"
        )
        .prefetch_related(
            "requirement_set__requirements",
            Prefetch("assignments", Assignment.objects.select_related("piece", "requirement")),
        )
        .order_by("chosen_date__on", "audition__institution__name", "pk")
    )
    students = readable(who, Student).select_related("studio", "instrument")
    return students.prefetch_related(Prefetch("entries", entries))
