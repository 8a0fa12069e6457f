"""What a plan lacks, with where to mend it: a piece to add, a fact to record, a judgement."""

from dataclasses import dataclass

from django.urls import reverse
from django.utils.http import urlencode

from studio.accounts.words import counted
from studio.entries.models import Entry
from studio.requirements.models import Piece, Requirement

NEAREST = 3  # pieces shown at a slot


@dataclass(frozen=True)
class Near:
    """A piece that comes close to a slot. may: only a fact about it is not recorded."""

    piece: Piece
    may: bool
    why: str


@dataclass(frozen=True)
class Way:
    """A way out: pieces to add for a requirement. wanted: how many and what it asks, in words."""

    requirement: Requirement
    wanted: str
    add_url: str
    nearest: tuple[Near, ...]


@dataclass(frozen=True)
class Missing:
    """An audition that cannot be covered."""

    entry: Entry
    sentence: str
    ways: tuple[Way, ...]


@dataclass(frozen=True)
class Fact:
    """A fact that is recorded for none of some pieces. words: "3 pieces might fit if …"."""

    words: str
    pieces: tuple[Piece, ...]


def missing(planning):
    """Return a Missing for each audition of a plan.Planning that cannot be covered."""
    entries = {str(entry.pk): entry for entry in planning.asked}
    return [_missing(planning, entries[why.audition], why) for why in planning.answer.impossible]


def _missing(planning, entry, why):
    rows = {str(row.pk): row for row in entry.requirement_set.requirements.all()}
    return Missing(
        entry=entry,
        sentence=why.sentence,
        ways=tuple(_way(planning, entry, rows[way.slot], way) for way in why.ways_out),
    )


def _way(planning, entry, requirement, way):
    wanted = counted(way.missing, "more piece", "more pieces")
    return Way(
        requirement=requirement,
        wanted=f"{wanted}: {way.asks}" if way.asks else wanted,
        add_url=_add_url(entry, requirement),
        nearest=tuple(
            Near(planning.library[int(near.piece)], near.may, "; ".join(near.reasons))
            for near in way.nearest[:NEAREST]
        ),
    )


def _add_url(entry, requirement):
    """Return where a piece of that kind, for that instrument, is added."""
    asked = {
        "kind": requirement.kind,
        "instrument": entry.instrument_id,
        "next": reverse("plan", args=[entry.student_id]),
    }
    return f"{reverse('piece_add')}?{urlencode(asked)}"


def unknown(planning):
    """Return a Fact for each kind of fact that is not recorded, that of most pieces first."""
    found = {}
    for each in planning.answer.unknown:
        found.setdefault(each.fact, {})[int(each.piece)] = None
    facts = [
        Fact(_if_known(fact, len(pks)), tuple(planning.library[pk] for pk in pks))
        for fact, pks in found.items()
    ]
    return sorted(facts, key=lambda fact: (-len(fact.pieces), fact.words))


def _if_known(fact, count):
    its = "its" if count == 1 else "their"
    return f"{counted(count, 'piece')} might fit if {its} {fact} were recorded"
