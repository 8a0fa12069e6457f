"""The trade of hours against auditions: with so many hours these, worth so much to the student."""

from collections import deque
from collections.abc import Iterable
from dataclasses import replace

from planner.repertoire.case import Case
from planner.repertoire.cover import Cover, OutOfTime, cover, shortfalls
from planner.repertoire.mip import PRICES
from planner.repertoire.model import Point
from planner.repertoire.programme import Programme

LATTICE = 16  # auditions, of which every set is looked at
SHARE = 4  # above that each solve is given this part of the time that is left
RECENT = 100  # sets, of which the prices are kept

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
    """Every set of a few auditions, by falling worth; nearly all fall to a bound.

    A set is a number with a bit for each audition.
    """

    def __init__(self, case: Case, keys: list[str], seconds: float):
        self.case, self.keys, self.seconds = case, keys, seconds
        self.worths = [case.auditions[key].worth for key in keys]
        self.best = self.doubt = NEVER
        self.finished = True
        self.programme = Programme(case, frozenset(keys), {}, worth=0)
        self.model = self.programme.model
        self.roots = [self.programme._roots[key] for key in keys]
        self.bounds: deque[tuple[int, list[int]]] = deque(maxlen=RECENT)

    def points(self) -> list[Point]:
        """Return the points that are found in the time."""
        points, groups = [], {}
        for some in range(1, 1 << len(self.keys)):
            groups.setdefault(self._sum(self.worths, some), []).append(some)
        for worth in sorted(groups, reverse=True):
            found = self._least(groups[worth])
            if self.seconds <= 0:
                self.finished = False
                break
            if found is not None:
                some, sure = found
                auditions = tuple(key for n, key in enumerate(self.keys) if some >> n & 1)
                points.append(Point(self.best, worth, auditions, sure))
        return points

    @staticmethod
    def _sum(numbers: list[int], some: int) -> int:
        return sum(number for n, number in enumerate(numbers) if some >> n & 1)

    def _least(self, group: list[int]) -> tuple[int, bool] | None:
        """Return the set of `group` with the fewest minutes, if fewer than the best so far."""
        found, proven = None, False
        for some in sorted(group):
            if self.seconds <= 0 or self._hopeless(some):
                continue
            least, most = self._fewest(some)
            if most < self.best:
                self.best, found, proven = most, some, least == most
            if least < most:
                self.doubt = min(self.doubt, least)
        return None if found is None else (found, proven and self.best <= self.doubt)

    def _hopeless(self, some: int) -> bool:
        """Whether the prices of another set show that this one takes no fewer than the best."""
        for bound in self.bounds:
            first, more = bound
            if first + self._sum(more, some) > (self.best - 1) * PRICES:
                self.bounds.remove(bound)
                self.bounds.appendleft(bound)
                return True
        return False

    def _fewest(self, some: int) -> tuple[int, int]:
        """Return the minutes of the set, at least and at most, as far as below the best."""
        lower, upper = list(self.model.lower), list(self.model.upper)
        for n, root in enumerate(self.roots):
            lower[root] = upper[root] = some >> n & 1
        self.programme.model = replace(self.model, lower=lower, upper=upper)
        relaxed = self.programme.relaxed()
        self.seconds -= relaxed.seconds
        more = [relaxed.extra[root] for root in self.roots]
        self.bounds.appendleft((relaxed.bound - self._sum(more, some), more))
        if relaxed.floor >= self.best:
            return self.best, self.best
        solved = self.programme.fewer(relaxed, max(self.seconds, 0.1), self.best)
        self.seconds -= solved.seconds
        least = min(max(relaxed.floor, solved.bound), self.best)
        if solved.values is None:
            return least, self.best
        most = self.programme.cover(solved.values, solved.bound).minutes
        return min(least, most), min(most, self.best)


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
