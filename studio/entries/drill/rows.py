"""How students are read for their scales and sight-reading: the same number of queries for each."""

from django.db.models import Prefetch

from studio.accounts.access import readable
from studio.entries.compare_queries import asking_entries
from studio.students.models import Student


def drilled(who):
    """Return the students the asker may see with what the auditions of the season ask of them.

    Four queries: students, entries, requirements, assignments. Wrap in `bridge.Season`.
    """
    students = readable(who, Student).select_related("studio", "instrument")
    return students.prefetch_related(Prefetch("entries", asking_entries(who)))
