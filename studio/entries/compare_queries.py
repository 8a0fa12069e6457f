"""How students are read for comparing their music: always the same number of queries."""

from django.db.models import Count, Prefetch, Q

from studio.accounts.access import readable
from studio.entries.models import Assignment, Entry, LessonCheck
from studio.requirements.models import RequirementSet
from studio.students.models import Student


def compared(who):
    """Return the students the asker may see with all that `compare.Comparison` reads.

    Seven queries: students, entries of the season, requirements, judgements, errata, assignments,
    checks. Wrap in `bridge.Season`.
    """
    entries = asking_entries(who).prefetch_related(
        "requirement_set__requirements__judgements", "requirement_set__errata"
    )
    return _students(who, entries)


def entered(who, requirement_set):
    """Return the students entered under a set, and the others of its instrument.

    Five queries: students, entries of the season, requirements, assignments, checks.
    """
    theirs = Q(instrument=requirement_set.instrument_id) | Q(
        pk__in=Entry.objects.filter(requirement_set=requirement_set).values("student")
    )
    return _students(who, asking_entries(who)).filter(theirs)


def sets_of(who, instrument):
    """Return the season's sets of an instrument with `entered`: how many entries go by each."""
    return (
        readable(who, RequirementSet)
        .filter(instrument=instrument, season=who.studio.season)
        .select_related("institution", "instrument")
        .annotate(entered=Count("entries"))
        .order_by("institution__name", "level", "degree")
    )


def _students(who, entries):
    checks = LessonCheck.objects.select_related("piece")
    students = readable(who, Student).select_related("studio__learned_pace", "instrument")
    return students.prefetch_related(Prefetch("entries", entries), Prefetch("checks", checks))


def asking_entries(who):
    """Return the entries of the asker's season with what is asked there, and what is assigned.

    Three queries: entries, requirements, assignments.
    """
    return (
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
