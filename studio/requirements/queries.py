"""How pieces and requirements are read, always beginning with who is asking.

Entries are a floor above: they are reached by the registry's names.
"""

from django.apps import apps
from django.db.models import Case, Count, IntegerField, Max, Prefetch, Q, Value, When

from studio.accounts.access import readable
from studio.requirements.models import Kind, Piece, Requirement, RequirementSet

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
    """Keep the pieces with `text` in composer, work, section, period or character."""
    text = text.strip()
    if not text:
        return rows
    fields = ("composer", "work", "section", "period", "character")
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
    """Return sets with their requirements and with who is entered under each."""
    entries = apps.get_model("entries", "Entry").objects
    return RequirementSet.objects.select_related("institution", "instrument").prefetch_related(
        "requirements", Prefetch("entries", entries.select_related("student", "audition"))
    )


def named_sets():
    """Return sets with what their names are made of."""
    return RequirementSet.objects.select_related("institution", "instrument")


def named_requirements():
    """Return requirements with what the names of their sets are made of."""
    return Requirement.objects.select_related(
        "requirement_set__institution", "requirement_set__instrument"
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
    return sets.prefetch_related("requirements__judgements__piece")


def written_sets():
    """Return sets with what the editor shows: each requirement, `chosen` pieces counted."""
    rows = Requirement.objects.annotate(chosen=Count("assignments"))
    sets = RequirementSet.objects.select_related("institution__studio", "instrument")
    return sets.prefetch_related(Prefetch("requirements", rows))
