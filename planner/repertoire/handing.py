"""From numbers to pieces: who sits where, once the model has said how many.

Pieces that are alike are handed out in the order of their index, so the same numbers always give
the same places.
"""

from collections.abc import Sequence

from planner.repertoire.model import Again, Placed
from planner.repertoire.rows import ON, Layout, parts
from planner.repertoire.signatures import Unit


def hand_out(
    unit: Unit, layout: Layout, values: Sequence[int], prepared: frozenset[int]
) -> dict[int, list[int]]:
    """Return the pieces (indices, rising) of each seat that is played.

    values: of all columns. prepared: the pieces that the plan prepares.
    """
    seats = {i: [] for i, switch in layout.played.items() if switch == ON or values[switch]}
    for a, alike in enumerate(unit.alikes):
        pool = [p for p in alike.pieces if p in prepared]
        for h, hearing in enumerate(unit.hearings):
            hand = _Hand(a, layout, values, seats)
            at = frozenset(i for i in alike.seats if unit.seats[i].hearing == h)
            used = hand.share(at, pool) if hearing.reuse else hand.deal(at, pool)
            if unit.again is Again.MUST_NOT:
                pool = pool[used:]
    return {i: sorted(found) for i, found in seats.items()}


class _Hand:
    """The pieces of one Alike on their way to the seats."""

    def __init__(self, a, layout, values, seats):
        self._a, self._layout, self._values, self._seats = a, layout, values, seats

    def deal(self, at: frozenset[int], pool: list[int]) -> int:
        """Give each piece to one seat; return how many are used."""
        used = 0
        for i in sorted(at):
            number = self._number(frozenset({i}))
            self._seat(i, pool[used : used + number])
            used += number
        return used

    def share(self, at: frozenset[int], pool: list[int]) -> int:
        """Give pieces to several seats where that saves some; return how many are used."""
        used = 0
        for part in parts(self._layout, at, self._a):
            own = pool[: self._number(part)]
            self._pass_on(part, own)
            used = max(used, len(own))
        return used

    def _pass_on(self, scope: frozenset[int], own: list[int]) -> None:
        # Round and round, so that the scopes inside use every piece between them.
        if (scope, self._a) not in self._layout.distinct:
            (i,) = scope
            self._seat(i, own)
            return
        start = 0
        for part in parts(self._layout, scope, self._a, inside=True):
            number = self._number(part)
            self._pass_on(part, (own[start:] + own[:start])[:number])
            start = (start + number) % max(len(own), 1)

    def _number(self, scope: frozenset[int]) -> int:
        if (scope, self._a) in self._layout.distinct:
            return self._values[self._layout.distinct[scope, self._a]]
        (i,) = scope
        return self._values[self._layout.z[i, self._a]]

    def _seat(self, i: int, pieces: list[int]) -> None:
        if pieces:
            self._seats[i].extend(pieces)


def placed(
    unit: Unit,
    seats: dict[int, list[int]],
    layout: Layout,
    values: Sequence[int],
    keys: Sequence[str],
) -> list[Placed]:
    """Return what is played in each slot of `unit`; `keys`: of the pieces, by index."""
    return [
        Placed(
            unit.audition,
            unit.hearings[unit.seats[i].hearing].key,
            unit.seats[i].slot.key,
            tuple(keys[p] for p in found),
            values[layout.missing[i]] if i in layout.missing else 0,
        )
        for i, found in seats.items()
    ]
