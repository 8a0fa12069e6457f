"""How one entry is read, and what can be chosen for it: dates, requirements, pieces."""

from django.db.models import Case, Exists, OuterRef, Q, Subquery, Value, When

from studio.accounts.access import readable
from studio.entries.queries import season_entries, with_seasons
from studio.entries.recordings import with_takes
from studio.institutions.models import Audition, OfferedDate
from studio.requirements.models import Piece, RequirementSet
from studio.students.models import DayAway, Student


def with_entry(who, pk):
    """Return the student the asker may see who has this entry, with all of the entry's season.

    All of it, because what one audition asks of a piece (memory) counts for the others too: the
    part and this entry's page must say the same. Seven queries; wrap in `bridge.Season`.
    """
    season = Audition.objects.filter(entries__pk=pk).values("season")[:1]
    entries = with_takes(season_entries(season)).select_related("requirement_set__institution")
    return with_seasons(readable(who, Student).filter(entries__pk=pk), entries)


def dates(who, entry):
    """Return the dates the entry's audition offers, with `limited` (only some instruments),
    `suits` (the entry's is among them) and `away` (the student is, with the reason; None: not)."""
    only = OfferedDate.instruments.through.objects.filter(offereddate_id=OuterRef("pk"))
    away = DayAway.objects.filter(
        student=entry.student_id, first__lte=OuterRef("on"), last__gte=OuterRef("on")
    )
    return (
        readable(who, OfferedDate)
        .filter(audition=entry.audition_id)
        .annotate(
            limited=Exists(only),
            suits=Exists(only.filter(instrument_id=entry.instrument_id)),
            away=Subquery(away.values("reason")[:1]),
        )
    )


def pieces(who):
    """Return the studio's pieces by composer and title."""
    return readable(who, Piece).select_related("instrument")


def auditions(who):
    """Return the auditions of the current season, by institution."""
    found = readable(who, Audition).filter(season=who.studio.season)
    return found.select_related("institution")


def requirement_sets(who, entry):
    """Return the sets an entry can go by: its institution's, its university's, its schools'.

    First those of the entry's instrument and the audition's season.
    """
    place = entry.audition.institution
    theirs = Q(institution=place.pk) | Q(institution__part_of=place.pk)
    if place.part_of_id:
        theirs |= Q(institution=place.part_of_id)
    found = readable(who, RequirementSet).filter(theirs)
    return found.select_related("institution", "instrument").order_by(
        Case(When(instrument=entry.instrument_id, then=Value(0)), default=Value(1)),
        Case(When(season=entry.audition.season, then=Value(0)), default=Value(1)),
        *RequirementSet._meta.ordering,
    )


def fitting(who, entry):
    """Return the one set that fits the entry's instrument and season; None if not exactly one."""
    fits = requirement_sets(who, entry).filter(
        instrument=entry.instrument_id, season=entry.audition.season
    )
    found = list(fits[:2])
    return found[0] if len(found) == 1 else None
