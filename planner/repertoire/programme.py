"""The integer programme of some of a case's auditions, and its plan."""

import hashlib
from collections.abc import Iterable, Mapping, Sequence
from dataclasses import dataclass, field, replace

from planner.repertoire import rows
from planner.repertoire.aims import best
from planner.repertoire.case import Case
from planner.repertoire.check import check
from planner.repertoire.handing import hand_out, placed
from planner.repertoire.mip import Model, Relaxed, Solved, cost_of, least, relax, solve
from planner.repertoire.model import Piece, Placed
from planner.repertoire.rows import ON, Layout, Short
from planner.repertoire.signatures import Unit

NODES = 1000  # for the preferences; a count, not a time, so that every run ends alike
SHARE = 10  # of the time, one part in so many is for the preferences at most
WEIGHTS = 997

Shorts = Mapping[Unit, Short]


@dataclass(frozen=True)
class Cover:
    """A plan for some of the auditions.

    auditions: the keys of those covered. pieces: keys in the problem's order, pins among them.
    placed, minutes, bound, proven, settled: as of `Plan`. unmet: pieces and parts that
    AT_LEAST and groups ask for in vain, over: seconds by which limits of length are missed.
    seconds: how long the solvers took.
    """

    auditions: frozenset[str]
    pieces: tuple[str, ...]
    placed: tuple[Placed, ...]
    minutes: int
    bound: int
    proven: bool
    settled: bool
    unmet: int = 0
    over: int = 0
    seconds: float = field(default=0.0, compare=False)

    @property
    def complete(self) -> bool:
        """Whether nothing is lacking."""
        return not (self.unmet or self.over or any(place.lacking for place in self.placed))


class Programme:
    """The integer programme of the auditions `kept` of a case.

    lacking: by how much units may fall short. worth: None to cover all of `kept`; else only so
    many of them that they are worth this much to the student. roots: by audition, ON or the
    column that says whether it is covered.
    """

    def __init__(self, case: Case, kept: frozenset[str], lacking: Shorts, worth: int | None = None):
        self.case, self.model, self.infeasible = case, Model(), False
        units = case.of(kept)
        self._chosen = {p: self.model.column(1, int(p in case.pinned)) for p in enough(case, units)}
        self.model.deciding = len(self._chosen)
        self.roots = dict.fromkeys(sorted(kept), ON)
        self._worths = {}
        if worth is not None:
            self.roots = {key: self.model.column(1) for key in self.roots}
            self._worths = {c: case.auditions[key].worth for key, c in self.roots.items()}
            self.model.row(list(self._worths.items()), least=worth)
        self._layouts = self._laid_out(units, lacking)

    def _laid_out(self, units: Iterable[Unit], lacking: Shorts) -> dict[Unit, Layout]:
        # Units of one shape are filled alike, so their rows are needed once.
        layouts, known = {}, {}
        for unit in units:
            short, root = lacking.get(unit, Short()), self.roots[unit.audition]
            shape = unit.shape, root
            if shape not in known:
                known[shape] = rows.add(self.model, unit, self._chosen, short, root)
            layouts[unit] = known[shape]
        return layouts

    @property
    def _minutes(self) -> dict[int, int]:
        return {c: self.case.pieces[p].prep for p, c in self._chosen.items()}

    def relaxed(self) -> Relaxed | None:
        """Return the linear relaxation in minutes; None if there is no plan."""
        return relax(self.model, self._minutes)

    def fewer(self, relaxed: Relaxed, seconds: float, below: int) -> Solved:
        """Return what is found of plans that take fewer minutes than `below`.

        relaxed: as `relaxed` gives it. If nothing is, the bound says how many a plan takes at
        least.
        """
        return least(self.model, self._minutes, relaxed, seconds, below)

    def plan(self, seconds: float, hours_only: bool = False) -> Cover | None:
        """Return the best plan; None if none was found. See `cover` for the arguments.

        Sets `infeasible` if there is none.
        """
        aims = [self._minutes]
        if self._worths:
            aims.append({column: -worth for column, worth in self._worths.items()})
        if not hours_only:
            aims.append(dict.fromkeys(self._chosen.values(), 1))
        found = best(self.model, aims, seconds)
        self.infeasible = found.infeasible
        if found.values is None:
            return None
        values, settled, taken = found.values, False, found.seconds
        if found.proven and not hours_only:
            ties = self._ties()
            left = max(min(seconds - taken, max(seconds / SHARE, 1.0)), 0.001)
            among = solve(found.equals, ties, left, NODES)
            taken += among.seconds
            # What the clock cut short would be another plan on another run.
            if among.values is not None and among.seconds < left:
                values, settled = among.values, among.bound == cost_of(ties, among.values)
        cover = self.cover(values, found.bound, found.proven, settled)
        return replace(cover, seconds=taken)

    def _ties(self) -> dict[int, int]:
        # Preferred pieces first; then by a number that hangs on the key alone, so that what has
        # nothing to do with a piece neither brings it in nor throws it out.
        preferred = {self.case.index.get(key) for key in self.case.problem.preferred}
        first = len(self._chosen) * WEIGHTS
        return {
            column: weight(self.case.pieces[p]) - (first if p in preferred else 0)
            for p, column in self._chosen.items()
        }

    def cover(self, values: Sequence[int], bound: int, proven=False, settled=False) -> Cover:
        """Return the checked plan of `values`, by column."""
        case, keys = self.case, [piece.key for piece in self.case.pieces]
        on = frozenset(key for key, root in self.roots.items() if root == ON or values[root])
        prepared = frozenset(p for p, column in self._chosen.items() if values[column])
        places, unmet, over = [], 0, 0
        for unit, layout in self._layouts.items():
            if unit.audition in on:
                seats = hand_out(unit, layout, values, prepared)
                places += placed(unit, seats, layout, values, keys)
                unmet += sum(values[column] for column in layout.unmet.values())
                over += sum(values[column] for column in layout.over.values())
        return covered(case, on, places, bound, (proven, settled), (unmet, over))


def covered(
    case: Case,
    auditions: frozenset[str],
    places: Iterable[Placed],
    bound: int,
    sure: tuple[bool, bool] = (False, False),
    missed: tuple[int, int] = (0, 0),
) -> Cover:
    """Return the checked plan that plays `places`. sure: proven, settled. missed: unmet, over.

    Raises Unsound if it breaks the problem.
    """
    by_slot = {(place.audition, place.hearing, place.slot): place for place in places}
    placed = tuple(by_slot[where] for where in case.slots if where in by_slot)
    used = {key for place in placed for key in place.pieces} | set(case.problem.pinned)
    pieces = tuple(piece.key for piece in case.problem.pieces if piece.key in used)
    unmet, over = missed
    minutes = check(case.problem, auditions, placed, pieces, over, unmet)
    return Cover(auditions, pieces, placed, minutes, min(bound, minutes), *sure, *missed)


def enough(case: Case, units: Sequence[Unit]) -> list[int]:
    """Return the pieces that are worth a thought, rising.

    Of pieces that are alike in every unit no more are wanted than the unit with the most room
    for them takes: the shortest to prepare, the preferred ones first.
    """
    alike, room = {}, {}
    for u, unit in enumerate(units):
        for a, one in enumerate(unit.alikes):
            takes = unit.takes(one)
            for p in one.pieces:
                alike.setdefault(p, []).append((u, a))
                room[p] = max(room.get(p, 0), takes)
    preferred = set(case.problem.preferred)

    def order(p: int) -> tuple:
        piece = case.pieces[p]
        return piece.prep, piece.key not in preferred, weight(piece), p

    classes = {}
    for p in sorted(alike.keys() - case.pinned, key=order):
        found = classes.setdefault(tuple(alike[p]), [])
        if len(found) < room[p]:
            found.append(p)
    return sorted(case.pinned | {p for found in classes.values() for p in found})


def weight(piece: Piece) -> int:
    """Return a number from 1 to WEIGHTS that hangs on the key of `piece` alone."""
    return int.from_bytes(hashlib.sha256(piece.key.encode()).digest()[:8], "big") % WEIGHTS + 1
