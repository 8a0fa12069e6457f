"""The least music that covers the auditions kept."""

import hashlib
from collections.abc import Mapping
from dataclasses import dataclass

from planner.repertoire import rows
from planner.repertoire.case import Case
from planner.repertoire.check import check
from planner.repertoire.handing import hand_out, placed
from planner.repertoire.mip import Model, relaxed, solve
from planner.repertoire.model import Placed
from planner.repertoire.rows import ON, Layout, Short
from planner.repertoire.signatures import Unit

Shorts = Mapping[Unit, Short]

LARGEST = 10**8  # of a combined objective: above that the solver's tolerances begin to tell


@dataclass(frozen=True)
class Cover:
    """A plan for some of the auditions.

    auditions: the keys of those covered. pieces: keys in the problem's order, pins among them.
    placed, minutes, bound, proven, settled: as of `Plan`. over: seconds by which limits of length
    are missed, in all.
    """

    auditions: frozenset[str]
    pieces: tuple[str, ...]
    placed: tuple[Placed, ...]
    minutes: int
    bound: int
    proven: bool
    settled: bool
    over: int = 0

    @property
    def complete(self) -> bool:
        """Whether nothing is lacking."""
        return not self.over and not any(place.lacking for place in self.placed)


def cover(
    case: Case,
    kept: frozenset[str] | None = None,
    *,
    seconds: float,
    lacking: Shorts | None = None,
    hours_only: bool = False,
    worth: int | None = None,
) -> Cover:
    """Return the plan of the fewest minutes that covers the auditions `kept` (None: the case's).

    Then the fewest pieces and the most preferred ones, unless `hours_only`. lacking: as of
    `shortfalls`, which is asked if None. worth: only so many of the auditions are kept that they
    are worth this much to the student; among plans of the same minutes those worth most.
    seconds: time limit of each solve. Raises Unsound if the plan found breaks the problem.
    """
    kept = case.kept if kept is None else kept
    lacking = shortfalls(case, kept, seconds=seconds) if lacking is None else lacking
    built = _Built(case, kept, lacking, worth)
    return built.solved(seconds, hours_only)


def shortfalls(case: Case, kept: frozenset[str] | None = None, *, seconds: float = 10.0) -> Shorts:
    """Return by how much each unit of the auditions `kept` that cannot be covered falls short.

    First the fewest pieces missing, then the fewest seconds over. Whether a unit can be covered
    hangs on nothing but itself: to prepare more music never hurts.
    """
    kept = case.kept if kept is None else kept
    found = ((unit, _short(unit, seconds)) for unit in case.of(kept))
    return {unit: short for unit, short in found if short != Short()}


def _short(unit: Unit, seconds: float) -> Short:
    model = Model()
    every = {p: model.column(1, 1) for alike in unit.alikes for p in alike.pieces}
    layout = rows.add(model, unit, every, None, ON)
    solved = solve(model, dict.fromkeys(layout.missing.values(), 1), seconds)
    missing = sum(solved.values[column] for column in layout.missing.values())
    if not layout.over:
        return Short(missing)
    model.row([(column, 1) for column in layout.missing.values()], most=missing)
    solved = solve(model, dict.fromkeys(layout.over, 1), seconds)
    return Short(missing, sum(solved.values[column] for column in layout.over))


def relaxation(
    case: Case,
    kept: frozenset[str] | None = None,
    *,
    seconds: float = 10.0,
    lacking: Shorts | None = None,
) -> int:
    """Return minutes that no plan for the auditions `kept` goes below (linear relaxation)."""
    kept = case.kept if kept is None else kept
    lacking = shortfalls(case, kept, seconds=seconds) if lacking is None else lacking
    built = _Built(case, kept, lacking, None)
    return relaxed(built.model, built.minutes) or 0


class _Built:
    """The model of some of the auditions."""

    def __init__(self, case: Case, kept: frozenset[str], lacking: Shorts, worth: int | None):
        self.case, self.kept, self.lacking = case, kept, lacking
        self.model = Model()
        self.units = case.of(kept)
        used = {p for unit in self.units for alike in unit.alikes for p in alike.pieces}
        self.chosen = {
            p: self.model.column(1, int(p in case.pinned)) for p in sorted(used | case.pinned)
        }
        self.minutes = {
            column: case.pieces[p].prep for p, column in self.chosen.items() if case.pieces[p].prep
        }
        self.roots = dict.fromkeys(kept, ON)
        if worth is not None:
            self.roots = {key: self.model.column(1) for key in sorted(kept)}
            self.worths = {c: case.auditions[key].worth for key, c in self.roots.items()}
            self.model.row(list(self.worths.items()), least=worth)
        self.layouts: dict[Unit, Layout] = {
            unit: rows.add(
                self.model,
                unit,
                self.chosen,
                lacking.get(unit, Short()),
                self.roots[unit.audition],
            )
            for unit in self.units
        }
        self.worth = worth

    def solved(self, seconds: float, hours_only: bool) -> Cover:
        """Return the best plan."""
        levels = [self.minutes]
        if self.worth is not None:
            levels.append({column: -worth for column, worth in self.worths.items()})
        if not hours_only:
            levels.append(dict.fromkeys(self.chosen.values(), 1))
        cost = _combined(levels, self._ranges(levels))
        solved = solve(self.model, cost, seconds)
        values = solved.values
        settled = False
        bound = self._bound(solved, levels)
        minutes = _worth(self.minutes, values)
        proven = solved.bound == _worth(cost, values)
        if proven and not hours_only:
            for level in levels:
                self.model.row(list(level.items()), most=_worth(level, values))
            tie = self._ties()
            again = solve(self.model, tie, seconds)
            if again.values is not None:
                values = again.values
                settled = again.bound == _worth(tie, values)
        return self._cover(values, minutes if proven else bound, proven, settled)

    def _ranges(self, levels) -> list[int]:
        return [sum(abs(price) for price in level.values()) for level in levels]

    def _bound(self, solved, levels) -> int:
        below = 1
        for level in levels[1:]:
            below *= sum(abs(price) for price in level.values()) + 1
        return -(-solved.bound // below) if len(levels) > 1 else solved.bound

    def _ties(self) -> dict[int, int]:
        preferred = {self.case.index[key] for key in self.case.problem.preferred}
        weights = {p: _weight(self.case.pieces[p].key) for p in self.chosen}
        large = sum(weights.values()) + 1
        return {
            column: weights[p] - (large if p in preferred else 0)
            for p, column in self.chosen.items()
        }

    def _cover(self, values, bound: int, proven: bool, settled: bool) -> Cover:
        case = self.case
        on = frozenset(k for k, root in self.roots.items() if root == ON or values[root])
        prepared = frozenset(p for p, column in self.chosen.items() if values[column])
        keys = [piece.key for piece in case.pieces]
        places = []
        for unit, layout in self.layouts.items():
            if unit.audition in on:
                seats = hand_out(unit, layout, values, prepared)
                places += placed(unit, seats, layout, values, keys)
        used = {key for place in places for key in place.pieces} | set(case.problem.pinned)
        pieces = tuple(piece.key for piece in case.problem.pieces if piece.key in used)
        over = sum(values[c] for layout in self.layouts.values() for c in layout.over)
        minutes = check(case.problem, on, _ordered(case, places), pieces, over)
        return Cover(
            on, pieces, _ordered(case, places), minutes, min(bound, minutes), proven, settled, over
        )


def _ordered(case: Case, places: list[Placed]) -> tuple[Placed, ...]:
    by_slot = {(place.audition, place.hearing, place.slot): place for place in places}
    return tuple(
        by_slot[where]
        for audition in case.problem.auditions
        for hearing in audition.hearings
        for slot in hearing.slots
        if (where := (audition.key, hearing.key, slot.key)) in by_slot
    )


def _combined(levels, ranges) -> dict[int, int]:
    cost: dict[int, int] = {}
    weight = 1
    for level, reach in zip(reversed(levels), reversed(ranges), strict=True):
        for column, price in level.items():
            cost[column] = cost.get(column, 0) + weight * price
        weight *= reach + 1
    return cost


def _worth(cost: dict[int, int], values) -> int:
    return sum(price * values[column] for column, price in cost.items())


def _weight(key: str) -> int:
    return int.from_bytes(hashlib.sha256(key.encode()).digest()[:8], "big") % 997 + 1
