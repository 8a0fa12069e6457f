"""How students, their company and instruments are read, beginning with who is asking."""

from django.db.models import Count, F, Min, OuterRef, Q

from studio.accounts.access import readable
from studio.gathered import gathered
from studio.students.models import (
    Accompanist,
    Guardian,
    Instrument,
    Recommender,
    Student,
    StudioDay,
)


def roster(who, today):
    """Return the students with `going_for` (entries of the season) and `next_on` (a date or None).

    One query. Entries are a floor above: they are reached by name only.
    """
    season = Q(entries__audition__season=who.studio.season)
    ahead = season & Q(entries__chosen_date__on__gte=today) & ~Q(entries__result="withdrawn")
    return (
        readable(who, Student)
        .select_related("instrument")
        .annotate(
            going_for=Count("entries", filter=season),
            next_on=Min("entries__chosen_date__on", filter=ahead),
        )
        .order_by(*Student._meta.ordering)
    )


def find(students, text):
    """Keep the students whose name, instrument or school year contains `text`."""
    text = text.strip()
    if not text:
        return students
    return students.filter(
        Q(name__icontains=text)
        | Q(known_as__icontains=text)
        | Q(instrument__name__icontains=text)
        | Q(school_year__icontains=text)
    )


def instruments(who):
    """Return the studio's instruments in score order, with `players`: how many students."""
    counted = readable(who, Instrument).annotate(players=Count("students"))
    return counted.order_by(*Instrument._meta.ordering)


def last_position(who):
    """Return the lowest place in score order that is taken."""
    last = readable(who, Instrument).order_by("-position").values_list("position", flat=True)
    return last.first() or 0


def with_company(students):
    """Return `students` with `letters_by`, who writes for each, and `looked_after_by`, guardians.

    Both are dicts in no order, or None.
    """
    writers = Recommender.objects.filter(student=OuterRef("pk"))
    guardians = Guardian.students.through.objects.filter(student=OuterRef("pk"))
    of_guardian = {name: F(f"guardian__{name}") for name in ("name", "email", "phone", "ticks")}
    return students.annotate(
        letters_by=gathered(writers, "student", ("id", "name", "role", "is_ours")),
        looked_after_by=gathered(guardians, "student", (), id=F("guardian_id"), **of_guardian),
    )


def accompanists(who):
    """Return the accompanists, with `plays_for`: how many auditions of the season."""
    season = Q(entries__audition__season=who.studio.season) & ~Q(entries__result="withdrawn")
    counted = readable(who, Accompanist).annotate(plays_for=Count("entries", filter=season))
    return counted.order_by(*Accompanist._meta.ordering)


def own_days(who):
    """Return the studio's own days as a list in the order of time; two queries."""
    rows = readable(who, StudioDay).select_related("accompanist").prefetch_related("students")
    return list(rows.order_by(*StudioDay._meta.ordering))
