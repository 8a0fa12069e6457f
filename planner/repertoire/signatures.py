"""Pieces that are alike for an audition, so that the model need not tell them apart.

A unit is one hearing, or those hearings of an audition that hang together (`Again`): nothing
binds one unit to another but the pieces that are prepared. Within a unit two pieces are alike
when the same slots take them and no constraint can tell one from the other; each set of pieces
that are alike is one `Alike`, and any of its pieces may stand for another.
"""

from collections import Counter
from collections.abc import Iterable, Mapping
from dataclasses import dataclass
from functools import cached_property

from planner.repertoire.model import Again, Audition, Binding, Hearing, Piece, Slot, Together
from planner.repertoire.rules import obeys, plain

APART = (Binding.COMPOSERS, Binding.WORKS, Binding.CONTRASTING)


@dataclass(frozen=True)
class Seat:
    """A slot of a unit. hearing: its index within the unit. usable: pieces, by their index, that
    fit the slot and of which every constraint above it can be judged.
    """

    hearing: int
    slot: Slot
    usable: frozenset[int]


@dataclass(frozen=True)
class Alike:
    """Pieces that are alike. pieces: their indices, rising. seats: the seats that take them.

    traits: for each constraint of the unit what it sees in them: the seconds for LENGTH, True or
    False for AT_LEAST and AT_MOST, a set of words or names that no two pieces may share for the
    others; None where the constraint does not see them.
    """

    pieces: tuple[int, ...]
    seats: tuple[int, ...]
    traits: tuple[object, ...]


@dataclass(frozen=True)
class Bond:
    """A constraint of a unit. hearing: index within the unit. seats: those in its scope.

    room: how many pieces the scope can hold.
    """

    hearing: int
    together: Together
    seats: tuple[int, ...]
    room: int


@dataclass(frozen=True, eq=False)
class Unit:
    """One hearing, or the hearings of one audition that hang together.

    bonds: the constraints that can be broken at all.
    """

    audition: str
    hearings: tuple[Hearing, ...]
    again: Again
    seats: tuple[Seat, ...]
    bonds: tuple[Bond, ...]
    alikes: tuple[Alike, ...]

    @cached_property
    def shape(self) -> tuple:
        """All that matters for who can sit where: units of one shape are filled alike."""
        trees = tuple(_tree(hearing) for hearing in self.hearings)
        seats = tuple((seat.hearing, seat.usable) for seat in self.seats)
        bonds = tuple(
            (bond.hearing, bond.together.binding, bond.together.least, bond.together.most)
            + (bond.seats, _place(self.hearings[bond.hearing], bond.together.scope))
            for bond in self.bonds
        )
        return self.again, trees, seats, bonds, self.alikes

    def takes(self, alike: Alike) -> int:
        """Return how many of the pieces of `alike` the unit can use at most."""
        return min(len(alike.pieces), sum(most(self.seats[i].slot) for i in alike.seats))


def _tree(hearing: Hearing) -> tuple:
    nodes = (*hearing.groups, *hearing.slots)
    tree = tuple((node.least, node.most, _place(hearing, node.inside)) for node in nodes)
    return hearing.reuse, len(hearing.groups), tree


def _place(hearing: Hearing, key: str | None) -> int | None:
    keys = [node.key for node in (*hearing.groups, *hearing.slots)]
    return None if key is None else keys.index(key)


def units(audition: Audition) -> tuple[tuple[Again, tuple[Hearing, ...]], ...]:
    """Return the hearings of `audition` in sets that hang together."""
    hearings = audition.hearings
    if audition.again is Again.MUST_NOT and len(hearings) > 1:
        return ((Again.MUST_NOT, hearings),)
    if audition.again is Again.MUST and len(hearings) > 1:
        rest = tuple((Again.MAY, (hearing,)) for hearing in hearings[2:])
        return ((Again.MUST, hearings[:2]), *rest)
    return tuple((Again.MAY, (hearing,)) for hearing in hearings)


def below(hearing: Hearing, scope: str | None) -> frozenset[str]:
    """Return the keys of the slots of `hearing` in `scope` (a slot, a group or None: all)."""
    inside = {node.key: node.inside for node in (*hearing.slots, *hearing.groups)}
    return frozenset(slot.key for slot in hearing.slots if scope in _way_up(slot.key, inside))


def _way_up(key: str | None, inside: Mapping[str, str | None]) -> list[str | None]:
    way = [key]
    while key is not None:
        key = inside[key]
        way.append(key)
    return way


def most(slot: Slot) -> int:
    """Return the most pieces that `slot` takes."""
    return slot.least if slot.most is None else slot.most


def room(hearing: Hearing, scope: str | None) -> int:
    """Return how many pieces `scope` (a slot, a group or None: all) can hold."""
    for slot in hearing.slots:
        if slot.key == scope:
            return most(slot)
    inside = sorted(
        (
            room(hearing, node.key)
            for node in (*hearing.slots, *hearing.groups)
            if node.inside == scope
        ),
        reverse=True,
    )
    for group in hearing.groups:
        if group.key == scope and group.least is not None:
            return sum(inside[: group.least if group.most is None else group.most])
    return sum(inside)


def name(text: str) -> str:
    """Return the words of `text` as names are compared (rules.py), "" if there are none."""
    return " ".join(sorted(set(plain(text).split())))


def trait(together: Together, piece: Piece) -> object:
    """Return what `together` sees in `piece` (see Alike), None if the fact is not known."""
    match together.binding:
        case Binding.LENGTH:
            return piece.seconds
        case Binding.COMPOSERS:
            return frozenset({name(piece.composer)} - {""}) or None
        case Binding.WORKS:
            names = (name(piece.composer), name(piece.work))
            return frozenset({names}) if all(names) else None
        case Binding.CONTRASTING:
            return frozenset(name(word) for word in piece.character) - {""} or None
    return all_obeyed(together, piece)


def all_obeyed(together: Together, piece: Piece) -> bool | None:
    """Return whether `piece` obeys every rule of `together`; None if that is not known."""
    said = [obeys(piece, rule) for rule in together.rules]
    if False in said:
        return False
    return None if None in said else True


def unit(
    audition: str,
    again: Again,
    hearings: tuple[Hearing, ...],
    pieces: tuple[Piece, ...],
    fitting: Mapping[tuple[str, str], Iterable[int]],
) -> Unit:
    """Return the unit of `hearings`; `fitting`: by hearing and slot, the pieces that fit."""
    traits = _Traits(pieces)
    slots = [(h, slot) for h, hearing in enumerate(hearings) for slot in hearing.slots]
    bonds = []
    for h, hearing in enumerate(hearings):
        for together in hearing.together:
            keys = below(hearing, together.scope)
            seats = [i for i, (at, slot) in enumerate(slots) if at == h and slot.key in keys]
            bonds.append(Bond(h, together, tuple(seats), room(hearing, together.scope)))
    seats = []
    for i, (h, slot) in enumerate(slots):
        above = [bond.together for bond in bonds if i in bond.seats]
        usable = (
            p
            for p in fitting[hearings[h].key, slot.key]
            if all(traits.of(together, p) is not None for together in above)
        )
        seats.append(Seat(h, slot, frozenset(usable)))
    bonds = [bond for bond in bonds if _binds(bond, seats, traits)]
    return Unit(
        audition, hearings, again, tuple(seats), tuple(bonds), _alikes(seats, bonds, traits)
    )


def _binds(bond: Bond, seats: list[Seat], traits: "_Traits") -> bool:
    """Return whether any pieces in the scope can break the constraint."""
    together = bond.together
    if together.least:
        return True
    if together.binding in APART:
        return bond.room > 1
    if together.binding is not Binding.LENGTH:
        return together.most is not None and together.most < bond.room
    longest = sum(
        most(seats[i].slot) * max((traits.of(together, p) for p in seats[i].usable), default=0)
        for i in bond.seats
    )
    return together.most is not None and together.most < longest


class _Traits:
    """Traits of pieces, each found out once."""

    def __init__(self, pieces):
        self._pieces = pieces
        self._known = {}

    def of(self, together, p):
        known = self._known.setdefault(id(together), {})
        if p not in known:
            known[p] = trait(together, self._pieces[p])
        return known[p]


def _alikes(seats: list[Seat], bonds: list[Bond], traits: _Traits) -> tuple[Alike, ...]:
    where = {}
    for i, seat in enumerate(seats):
        for p in seat.usable:
            where.setdefault(p, []).append(i)
    shared = [_shared(bond, seats, traits) for bond in bonds]
    alikes = {}
    for p in sorted(where):
        seen = tuple(
            _seen(bond, words, p, where[p], traits)
            for bond, words in zip(bonds, shared, strict=True)
        )
        alikes.setdefault((tuple(where[p]), seen), []).append(p)
    return tuple(Alike(tuple(found), at, seen) for (at, seen), found in alikes.items())


def _shared(bond: Bond, seats: list[Seat], traits: _Traits) -> frozenset:
    # A word that one piece alone has cannot clash.
    if bond.together.binding not in APART:
        return frozenset()
    found = {p for i in bond.seats for p in seats[i].usable}
    counted = Counter(word for p in found for word in traits.of(bond.together, p))
    return frozenset(word for word, times in counted.items() if times > 1)


def _seen(bond: Bond, shared: frozenset, p: int, where: list[int], traits: _Traits) -> object:
    if not set(bond.seats) & set(where):
        return None
    seen = traits.of(bond.together, p)
    return seen & shared if isinstance(seen, frozenset) else seen
