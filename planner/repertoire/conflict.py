"""The smallest set of slots and constraints that cannot be met together."""

from collections.abc import Callable, Mapping
from dataclasses import dataclass, replace
from functools import cached_property
from itertools import combinations
from math import comb

from planner.repertoire import rows
from planner.repertoire.mip import Model, solve
from planner.repertoire.model import Again, Group, Hearing, Piece, Slot, Together
from planner.repertoire.rows import ON, Short
from planner.repertoire.seating import Seating, Undecided
from planner.repertoire.signatures import Unit, most, unit

TRIES = 400  # sets that are tried to find a smaller one
SECONDS = 10.0


@dataclass(frozen=True)
class Demand:
    """One thing that a unit asks: a slot, how many parts of a group, a constraint.

    hearing: its index within the unit. thing: None for what `again` asks of the hearings.
    """

    hearing: int
    thing: Slot | Group | Together | None


class Tangle:
    """The demands of one unit, any of which can be let go.

    fitting: by (hearing, slot), the pieces that fit. pieces: those of the case.
    """

    def __init__(
        self, whole: Unit, pieces: tuple[Piece, ...], fitting: Mapping[tuple[str, str], frozenset]
    ):
        self.unit, self._pieces, self._fitting = whole, pieces, fitting

    @cached_property
    def demands(self) -> tuple[Demand, ...]:
        """All of them, in the order of the problem; "all of" is no demand: its parts are."""
        found = []
        for h, hearing in enumerate(self.unit.hearings):
            found += (Demand(h, slot) for slot in hearing.slots if slot.least)
            found += (Demand(h, group) for group in hearing.groups if chosen(hearing, group))
            found += (Demand(h, together) for together in hearing.together)
        if self.unit.again is not Again.MAY:
            found.append(Demand(0, None))
        return tuple(found)

    def conflict(self) -> tuple[Demand, ...]:
        """Return the fewest demands that cannot be met together, () if all can be.

        Whichever of them is let go, the rest can be met. There are no fewer than these where
        the sets to try are not too many.
        """
        if self.possible(self.demands):
            return ()
        left = _irreducible(self.demands, self.possible)
        for number in range(1, len(left)):
            if comb(len(self.demands), number) > TRIES:
                break
            for some in combinations(self.demands, number):
                if not self.possible(some):
                    return some
        return left

    def possible(self, some: tuple[Demand, ...]) -> bool:
        """Return whether these demands can be met by the whole library, the others let go."""
        hearings = tuple(_only(h, hearing, some) for h, hearing in enumerate(self.unit.hearings))
        again = self.unit.again if any(d.thing is None for d in some) else Again.MAY
        return can_be_filled(unit(self.unit.audition, again, hearings, self._pieces, self._fitting))


def _irreducible(demands: tuple[Demand, ...], possible: Callable) -> tuple[Demand, ...]:
    left = list(demands)
    for demand in reversed(demands):
        rest = [other for other in left if other is not demand]
        if not possible(tuple(rest)):
            left = rest
    return tuple(left)


def chosen(hearing: Hearing, group: Group) -> bool:
    """Return whether `group` leaves a choice: not all of its parts are played."""
    if group.least is None:
        return False
    nodes = (*hearing.slots, *hearing.groups)
    return group.least != sum(node.inside == group.key for node in nodes)


def _only(h: int, hearing: Hearing, some: tuple[Demand, ...]) -> Hearing:
    """Return `hearing` with nothing but some of its demands.

    A slot that is let go may stay empty, a group may have as many parts as it likes.
    """
    kept = {id(demand.thing) for demand in some if demand.hearing == h}
    slots = (
        slot if id(slot) in kept else replace(slot, least=0, most=most(slot))
        for slot in hearing.slots
    )
    nodes = (*hearing.slots, *hearing.groups)
    groups = (
        replace(group, least=0, most=len(nodes))
        if chosen(hearing, group) and id(group) not in kept
        else group
        for group in hearing.groups
    )
    together = tuple(one for one in hearing.together if id(one) in kept)
    return replace(hearing, slots=tuple(slots), groups=tuple(groups), together=together)


def can_be_filled(one: Unit) -> bool:
    """Return whether the whole library fills the unit."""
    everything = [p for alike in one.alikes for p in alike.pieces]
    try:
        return Seating(one).fill(everything) is not None
    except Undecided:
        model = Model()
        every = {p: model.column(1, 1) for p in everything}
        rows.add(model, one, every, Short(), ON)
        return solve(model, {}, SECONDS).values is not None
