"""How a student's whole season is read: in a constant number of queries, however many students."""

from django.db.models import Exists, OuterRef, Prefetch, Q

from studio.accounts.access import readable
from studio.entries.hearings.bridge import with_hearings
from studio.entries.models import Assignment, Entry, LessonCheck, Task
from studio.entries.practice.rows import with_practice
from studio.entries.recordings import with_takes
from studio.entries.trial_lessons import with_lessons
from studio.gathered import gathered
from studio.institutions.models import Deadline, OfferedDate
from studio.students.models import Student, StudioDay
from studio.students.queries import find as find


def season_entries(season):
    """Return the entries of one season (its name, or a query for it) with all that hangs on them.

    Five queries: entries, requirements, errata, assignments, tasks. The dates that the entry's
    instrument can have are in `offered`, the rounds of applications in `rounds`, what was heard of
    its programme in `hearing_rows`.
    """
    entries = (
        Entry.objects.filter(audition__season=season)
        .select_related(
            "audition__institution__part_of",
            "instrument",
            "requirement_set__instrument",
            "chosen_date",
            "day",
        )
        .prefetch_related(
            "requirement_set__requirements",
            "requirement_set__errata",
            Prefetch("assignments", Assignment.objects.select_related("piece", "requirement")),
            Prefetch("tasks", Task.objects.select_related("deadline__opens_after", "recommender")),
        )
        .annotate(
            offered=gathered(_open_dates(), "audition", ("on", "book_by")),
            rounds=gathered(_in_rounds(), "audition", ("round",)),
        )
        .order_by("chosen_date__on", "audition__institution__name", "pk")
    )
    return with_hearings(entries)


def _open_dates():
    """The dates of an entry's audition that are not full, for its instrument."""
    suits = Q(instruments=None) | Q(instruments=OuterRef("instrument"))
    return OfferedDate.objects.filter(suits, audition=OuterRef("audition"), full=False)


def _in_rounds():
    """The deadlines of an entry's audition that hold for one round of applications only."""
    return Deadline.objects.filter(audition=OuterRef("audition")).exclude(round="")


def season_checks(entries):
    """Return the checks of the pieces that `entries` assign to their students, however old."""
    given = Assignment.objects.filter(
        entry__in=entries.order_by().values("pk"),
        entry__student=OuterRef("student"),
        piece=OuterRef("piece"),
    )
    return LessonCheck.objects.filter(Exists(given))


def with_seasons(students, entries, checks=None):
    """Return `students` with these entries and their checks; wrap in `bridge.Season`.

    checks: those to read, `season_checks` if None. A Season knows their pieces without a join: a
    studio of some years has tens of thousands of checks. The studio's own days off are in `off`.
    """
    off = StudioDay.objects.filter(studio=OuterRef("studio"), kind=StudioDay.Kind.OFF)
    students = students.annotate(off=gathered(off, "studio", ("first", "last")))
    return students.select_related(
        "studio__learned_pace", "instrument", "membership"
    ).prefetch_related(
        Prefetch("entries", entries),
        Prefetch("checks", season_checks(entries) if checks is None else checks),
    )


def _season(who):
    """The season the asker is in; somebody without a seat sees none."""
    return who.studio.season if who else None


def whole_season(who):
    """Return the students the asker may see, each with all of the current season loaded.

    Eight queries: students, entries, requirements, errata, assignments, tasks, checks, days away.
    """
    students = with_seasons(readable(who, Student), season_entries(_season(who)))
    return students.prefetch_related("days_away")


def scored(who):
    """Return `whole_season` without the students' own checks, which no overview shows."""
    entries = season_entries(_season(who))
    checks = season_checks(entries).filter(source=LessonCheck.Source.TEACHER)
    return with_seasons(readable(who, Student), entries, checks).prefetch_related("days_away")


def parts(who):
    """Return `whole_season` with what a part shows besides: recordings, trial lessons, deadlines.

    One query more, for the deadlines of its auditions.
    """
    entries = with_takes(season_entries(_season(who)))
    students = with_lessons(with_seasons(readable(who, Student), entries))
    students = with_practice(students)
    return students.prefetch_related("days_away", "entries__audition__deadlines")
