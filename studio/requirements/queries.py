"""How pieces and requirements are read, always beginning with who is asking.

Entries are a floor above: they are reached by the registry's names.
"""

from collections import defaultdict

from django.apps import apps
from django.db.models import Case, Count, IntegerField, Max, Min, Prefetch, Q, Value, When

from studio.accounts.access import readable
from studio.requirements.models import (
    Erratum,
    Kind,
    Piece,
    RecordingRules,
    Requirement,
    RequirementSet,
)

IN_ORDER = Case(
    *(When(kind=kind, then=Value(place)) for place, kind in enumerate(Kind.values)),
    output_field=IntegerField(),
)


def pieces(who, order="composer"):
    """Return the repertoire with `players`: how many students play each this season."""
    season = Q(assignments__entry__audition__season=who.studio.season)
    players = Count("assignments__entry__student", filter=season, distinct=True)
    by = Piece._meta.ordering if order == "composer" else [IN_ORDER, *Piece._meta.ordering]
    return readable(who, Piece).annotate(players=players).order_by(*by)


def find(rows, text):
    """Keep the pieces with `text` in composer, work, section, book, genre, period or character."""
    text = text.strip()
    if not text:
        return rows
    fields = ("composer", "work", "section", "book", "genre", "period", "character")
    found = Q()
    for field in fields:
        found |= Q(**{f"{field}__icontains": text})
    return rows.filter(found)


def played_pieces():
    """Return pieces with who plays each, for which audition."""
    assignments = apps.get_model("entries", "Assignment").objects.select_related(
        "requirement", "entry__student", "entry__audition__institution", "entry__chosen_date"
    )
    by = ("-entry__audition__season", "entry__student__name", "entry__chosen_date__on", "pk")
    return Piece.objects.select_related("instrument").prefetch_related(
        Prefetch("assignments", assignments.order_by(*by))
    )


def requirement_sets(who):
    """Return the sets by institution, this season's first, with `asked` and `entered` counted."""
    return (
        readable(who, RequirementSet)
        .select_related("institution", "instrument")
        .annotate(
            asked=Count("requirements", distinct=True), entered=Count("entries", distinct=True)
        )
        .order_by("institution__name", "-season", "instrument__position", "level", "degree")
    )


def whole_sets():
    """Return sets with all that their page shows: the tree, errata, and who is entered under it."""
    entries = apps.get_model("entries", "Entry").objects
    given = apps.get_model("entries", "Assignment").objects
    entered = entries.select_related(
        "student", "instrument", "audition__institution", "chosen_date"
    ).prefetch_related(Prefetch("assignments", given.select_related("piece")))
    return RequirementSet.objects.select_related(
        "institution", "instrument", "copied_from__institution", "copied_from__instrument"
    ).prefetch_related(
        "requirements__judgements",
        "recordings",
        Prefetch("errata", Erratum.objects.select_related("requirement")),
        Prefetch("entries", entered),
    )


def heard(entries):
    """Return the day of the teacher's first check by piece key, by student key."""
    check = apps.get_model("entries", "LessonCheck")
    found = defaultdict(dict)
    days = (
        check.objects.filter(student__in={entry.student_id for entry in entries}, source="teacher")
        .values_list("student_id", "piece_id")
        .annotate(first=Min("on"))
        .order_by()
    )
    for student, piece, first in days:
        found[student][piece] = first
    return found


def library(who):
    """Return the studio's pieces, each with its instrument."""
    return readable(who, Piece).select_related("instrument")


def compared_sets():
    """Return sets with what `changes` compares."""
    return named_sets().prefetch_related("requirements", "recordings")


def named_sets():
    """Return sets with what their names are made of."""
    return RequirementSet.objects.select_related("institution", "instrument")


def named_requirements():
    """Return requirements with what the names of their sets are made of."""
    return Requirement.objects.select_related(
        "requirement_set__institution", "requirement_set__instrument"
    )


def named_errata():
    """Return errata with what the names of their sets are made of."""
    return Erratum.objects.select_related(
        "requirement_set__institution", "requirement_set__instrument"
    )


def named_recordings():
    """Return recording rules with what the names of their sets are made of."""
    return RecordingRules.objects.select_related(
        "requirement_set__institution", "requirement_set__instrument"
    )


def whole_requirements():
    """Return requirements with all that their page shows: the set's tree, and what is judged."""
    return (
        named_requirements()
        .select_related("parent")
        .prefetch_related("judgements__piece", "requirement_set__requirements")
    )


def next_position(requirement_set):
    """Return the place after the set's last requirement."""
    return (requirement_set.requirements.aggregate(last=Max("position"))["last"] or 0) + 1


def planned_sets():
    """Return sets with all that `bridge.hearings` reads: requirements and judgements."""
    return named_sets().prefetch_related("requirements__judgements")


def copied_sets():
    """Return sets with all that `copying` takes along."""
    sets = RequirementSet.objects.select_related("institution__studio", "instrument")
    return sets.prefetch_related("requirements__judgements__piece", "recordings")


def written_sets():
    """Return sets with what the editor shows: each requirement, `chosen` pieces counted."""
    rows = Requirement.objects.annotate(chosen=Count("assignments"))
    sets = RequirementSet.objects.select_related("institution__studio", "instrument")
    return sets.prefetch_related(Prefetch("requirements", rows))
