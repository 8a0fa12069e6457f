"""The trade of hours against auditions: with so many hours these, worth so much to the student."""

from collections.abc import Iterable
from dataclasses import replace

from planner.repertoire.case import Case
from planner.repertoire.cover import Cover, OutOfTime, cover, shortfalls
from planner.repertoire.mip import PRICES
from planner.repertoire.model import Point
from planner.repertoire.programme import Programme

LATTICE = 20  # auditions: of so many there are a million sets
SHARE = 4  # above that each solve is given this part of the time that is left
NEVER = 10**9


def frontier(case: Case, seconds: float) -> tuple[Point, ...]:
    """Return the sets of auditions that no other set beats in minutes and worth.

    Of the auditions kept that can be covered, by rising minutes; pins count. seconds: for all of
    it, as the solvers count it. What is found after that is a point, but not proven to be one of
    the frontier, and others may be missing there.
    """
    lacking = {unit.audition for unit in shortfalls(case, seconds=seconds)}
    keys = [a.key for a in case.problem.auditions if a.kept and a.key not in lacking]
    if not keys:
        return ()
    method = _Lattice if len(keys) <= LATTICE else _Steps
    found = method(case, keys, seconds)
    points = found.points()
    if not found.finished:
        points += _thinned(case, keys, seconds)
    return _unbeaten(points)


def _unbeaten(points: Iterable[Point]) -> tuple[Point, ...]:
    kept: list[Point] = []
    for point in sorted(points, key=lambda p: (p.minutes, -p.worth, not p.proven)):
        if point.worth > (kept[-1].worth if kept else 0):
            kept.append(point)
    return tuple(kept)


class _Lattice:
    """Every set of some auditions, from the least worth upwards, the most promising first.

    A set is a number with a bit for each audition. For all of them a bound is kept, in units of
    1 / PRICES: what is reckoned for one set bounds the others, so that few need be looked at.
    """

    def __init__(self, case: Case, keys: list[str], seconds: float):
        self.keys, self.seconds, self.finished = keys, seconds, True
        self.programme = Programme(case, frozenset(keys), {}, worth=0)
        self.model = self.programme.model
        self.roots = [self.programme.roots[key] for key in keys]
        self.worths = _sums([case.auditions[key].worth for key in keys])
        self.low = _sums([0] * len(keys))
        self.least: dict[int, int] = {}
        self.alone: list[int] = [NEVER] * len(keys)

    def points(self) -> list[Point]:
        """Return the points that are found in the time."""
        everything = len(self.low) - 1
        for n in range(len(self.keys)):
            self.alone[n] = self._fewest(1 << n, NEVER)
        self._fewest(everything, NEVER)
        points, worth = [], 0
        while worth < self.worths[everything]:
            self.low[self.worths <= worth] = NEVER * PRICES
            found = self._next()
            if found is None:
                self.finished = False
                break
            worth = int(self.worths[found])
            auditions = tuple(key for n, key in enumerate(self.keys) if found >> n & 1)
            points.append(Point(self.least[found], worth, auditions, True))
        return points

    def _next(self) -> int | None:
        """Return the set with the fewest minutes of those that are left, None without time."""
        left = (some for some in self.least if self.low[some] < NEVER * PRICES)
        order = sorted(left, key=lambda some: (self.least[some], -self.worths[some], some))
        best = order[0] if order else None
        while best is not None and self.seconds > 0:
            some = int(self.low.argmin())
            if self.low[some] > (self.least[best] - 1) * PRICES:
                return best
            if self._fewest(some, self.least[best]) < self.least[best]:
                best = some
        return None

    def _fewest(self, some: int, below: int) -> int:
        """Return the minutes of a set if fewer than `below`, else `below`; learn from it."""
        if self.seconds <= 0:
            return below
        lower, upper = list(self.model.lower), list(self.model.upper)
        for n, root in enumerate(self.roots):
            lower[root] = upper[root] = some >> n & 1
        self.programme.model = replace(self.model, lower=lower, upper=upper)
        relaxed = self.programme.relaxed()
        self.seconds -= relaxed.seconds
        # Its prices hold whichever auditions are kept.
        more = [relaxed.extra[root] for root in self.roots]
        self._learn(relaxed.bound, some, more)
        if relaxed.floor >= below:
            return below
        solved = self.programme.fewer(relaxed, max(self.seconds, 0.1), below)
        self.seconds -= solved.seconds
        minutes = below
        if solved.values is not None:
            minutes = min(below, self.programme.cover(solved.values, solved.bound).minutes)
        if solved.bound < minutes:
            self.seconds = 0.0
            return below
        # Without an audition it takes fewer by no more than that one takes alone.
        alone = [PRICES * minutes if some >> n & 1 else 0 for n, minutes in enumerate(self.alone)]
        self._learn(PRICES * minutes, some, alone)
        if minutes < below:
            self.least[some] = minutes
        return minutes

    def _learn(self, bound: int, some: int, more: list[int]) -> None:
        sums = _sums(more)
        self.low = self.low.clip(min=sums + (bound - int(sums[some])))


def _sums(numbers: list[int]):
    """Return the sum of each set of `numbers`, as an array."""
    import numpy as np

    found = np.zeros(1, dtype=np.int64)
    for number in numbers:
        found = np.concatenate((found, found + number))
    return found


class _Steps:
    """From the least worth upwards: each solve gives the next point."""

    def __init__(self, case: Case, keys: list[str], seconds: float):
        self.case, self.keys, self.seconds = case, keys, seconds
        self.finished = True

    def points(self) -> list[Point]:
        """Return the points that are found in the time."""
        points, kept = [], frozenset(self.keys)
        whole = sum(self.case.auditions[key].worth for key in kept)
        worth = 0
        while worth < whole:
            if self.seconds <= 0:
                self.finished = False
                break
            limit = max(self.seconds / SHARE, 0.1)
            found = cover(self.case, kept, seconds=limit, worth=worth + 1, hours_only=True)
            self.seconds -= found.seconds
            points.append(_point(self.case, found, found.proven))
            worth = points[-1].worth
            self.finished &= found.proven
        return points


def _point(case: Case, found: Cover, proven: bool) -> Point:
    auditions = tuple(a.key for a in case.problem.auditions if a.key in found.auditions)
    worth = sum(case.auditions[key].worth for key in auditions)
    return Point(found.minutes, worth, auditions, proven)


def _thinned(case: Case, keys: list[str], seconds: float) -> list[Point]:
    """Return what is left of one plan for all when auditions are given up one by one."""
    try:
        plan = cover(case, frozenset(keys), seconds=max(seconds / SHARE, 1), hours_only=True)
    except OutOfTime:
        return []
    prep = {piece.key: piece.prep for piece in case.problem.pieces}
    used = {key: set() for key in keys}
    for place in plan.placed:
        used[place.audition].update(place.pieces)

    def minutes(some: list[str]) -> int:
        pieces = set(case.problem.pinned).union(*(used[key] for key in some))
        return sum(prep[key] for key in pieces)

    points, left = [], list(keys)
    while left:
        worth = sum(case.auditions[key].worth for key in left)
        points.append(Point(minutes(left), worth, tuple(left), False))
        rests = [[key for key in left if key != other] for other in left]
        left = max(rests, key=lambda rest: _saved(case, minutes, left, rest))
    return points


def _saved(case, minutes, left, rest) -> float:
    given_up = sum(case.auditions[key].worth for key in left if key not in rest)
    return (minutes(left) - minutes(rest)) / max(given_up, 0.5)
