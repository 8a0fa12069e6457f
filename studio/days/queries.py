"""How audition days are read: whatever a page shows, in a constant number of queries."""

from django.db.models import Prefetch, Q

from studio.accounts.access import readable
from studio.entries.models import Assignment, Entry

LIVE = (Entry.Result.WAITING, Entry.Result.THROUGH)


def day_entries():
    """Return entries with all that their day is made of: three queries."""
    return (
        Entry.objects.select_related(
            "student__studio",
            "student__instrument",
            "instrument",
            "audition__institution__part_of",
            "requirement_set",
            "chosen_date",
            "day",
        )
        .prefetch_related(
            "requirement_set__requirements",
            Prefetch("assignments", Assignment.objects.select_related("piece")),
        )
        .order_by("chosen_date__on", "day__call", "student__name", "pk")
    )


def live_entries(who):
    """Return the asker's entries of the season that are still to be played, without their music."""
    season = Q(audition__season=who.studio.season, result__in=LIVE)
    ids = readable(who, Entry).filter(season).values("pk")
    return day_entries().prefetch_related(None).filter(pk__in=ids)


def entries_on(who, on):
    """Return the asker's entries still to be played on one date, in order of their call."""
    ids = readable(who, Entry).filter(chosen_date__on=on, result__in=LIVE).values("pk")
    entries = day_entries().filter(pk__in=ids)
    return sorted(entries, key=lambda entry: (_call(entry) is None, _call(entry), str(entry)))


def _call(entry):
    day = getattr(entry, "day", None)
    return day and day.call


def same_date(entry):
    """Return the other students' entries still to be played on the entry's offered date."""
    others = day_entries().prefetch_related(None).exclude(pk=entry.pk)
    return others.filter(chosen_date=entry.chosen_date_id, result__in=LIVE)
