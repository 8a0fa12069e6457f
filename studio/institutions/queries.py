"""How institutions are read, always beginning with who is asking.

Entries and requirement sets are floors above: they are reached by the registry's names.
"""

from django.apps import apps
from django.db.models import Count, Prefetch, Q

from studio.accounts.access import readable
from studio.institutions.models import Audition, Deadline, Institution, OfferedDate


def institutions(who):
    """Return the institutions with their auditions and entries of the season, counted."""
    season = who.studio.season
    return (
        readable(who, Institution)
        .annotate(
            held=Count("auditions", filter=Q(auditions__season=season), distinct=True),
            entered=Count("auditions__entries", filter=Q(auditions__season=season), distinct=True),
        )
        .order_by(*Institution._meta.ordering)
    )


def find(rows, text):
    """Keep the institutions whose name or town contains `text`."""
    text = text.strip()
    if not text:
        return rows
    named = Q(name__icontains=text) | Q(short_name__icontains=text)
    return rows.filter(named | Q(town__icontains=text))


def whole_institutions():
    """Return institutions with their auditions of all seasons and their requirement sets."""
    sets = apps.get_model("requirements", "RequirementSet").objects
    return Institution.objects.select_related("part_of").prefetch_related(
        "schools",
        Prefetch("auditions", whole_auditions().order_by("-season", "name")),
        Prefetch(
            "requirement_sets",
            sets.select_related("instrument").order_by(
                "-season", "instrument__position", "level", "degree"
            ),
        ),
    )


def whole_auditions():
    """Return auditions with deadlines, dates and entries, in five queries."""
    entries = apps.get_model("entries", "Entry").objects
    return Audition.objects.select_related("institution__part_of").prefetch_related(
        Prefetch("deadlines", Deadline.objects.select_related("opens_after")),
        Prefetch("dates", OfferedDate.objects.prefetch_related("instruments")),
        Prefetch("entries", entries.select_related("student", "instrument", "chosen_date")),
    )


def zones_used(who):
    """Return the time zones that the studio's institutions stand in."""
    zones = readable(who, Institution).exclude(time_zone="").order_by("time_zone")
    return zones.values_list("time_zone", flat=True).distinct()
