"""What the rest of a path costs at the least.

Each group gets a whole number, its worth: what a path is paid for a node of it. A path that takes
each required group once is paid all worths, whatever it takes; so the cheapest path of all, those
that leave groups out or take them twice among them, less the worths is a bound, for any worths.
Subgradient steps find worths with a high one (Held and Karp; Fisher: from memory).
"""

from collections.abc import Sequence
from dataclasses import dataclass

from planner.dates.field import FAR, Field

STEPS = 90
PATIENCE = 5  # steps without a better bound before they get smaller
SHORTEST = 0.02
KEEP = 0.5  # of the last direction
ABOVE = 30  # a bound can mostly be raised by this part of it


@dataclass(frozen=True)
class Bounds:
    """worths: by index of the field. to_end: of each node, the least that the rest of a path from
    it costs less the worths that it is paid. least: no path costs less; FAR or more if there is
    none. path: the best one that came up by the way, and its cost."""

    worths: tuple[int, ...]
    to_end: tuple[int, ...]
    least: int
    path: tuple[int, ...] | None
    cost: int


def bounds(field: Field, worths: Sequence[int] | None = None, steps: int = STEPS) -> Bounds:
    """Return good bounds. worths: to begin from."""
    return _Climb(field, _alone(field) if worths is None else worths).run(max(1, steps))


class _Climb:
    """Steps towards better worths, from those that gave the best bound so far."""

    def __init__(self, field: Field, worths: Sequence[int]):
        self.field, self.worths = field, list(worths)
        self.best: tuple[int, tuple[int, ...], tuple[int, ...]] | None = None
        self.path: tuple[int, ...] | None = None
        self.cost = FAR
        self.scale, self.stale = 1.0, 0
        self.way = [0.0] * field.need
        self.alone = sum(_alone(field))

    def run(self, steps: int) -> Bounds:
        for _ in range(steps):
            to_end, bound, taken = _pass(self.field, self.worths)
            self._keep(bound, to_end)
            off = self._off(taken)
            if bound >= FAR // 2 or not any(off) or self.best[0] >= self.cost:
                break
            if self.stale > PATIENCE:
                self.scale, self.stale = self.scale / 2, 0
                self.worths = list(self.best[1])
                if self.scale < SHORTEST:
                    break
                continue
            self._step(bound, off)
        bound, worths, to_end = self.best
        return Bounds(worths, to_end, bound, self.path, self.cost)

    def _keep(self, bound: int, to_end: list[int]) -> None:
        self.stale += 1
        if self.best is None or bound > self.best[0]:
            self.best, self.stale = (bound, tuple(self.worths), tuple(to_end)), 0

    def _off(self, taken: list[int]) -> list[int]:
        """How many nodes each required group lacks; keeps the path if it lacks none."""
        field = self.field
        off = [1] * field.need
        for node in taken:
            if field.of[node] < field.need:
                off[field.of[node]] -= 1
        if not any(off):
            cost = field.graph.cost(tuple(taken))
            if cost < self.cost:
                self.path, self.cost = tuple(taken), cost
        return off

    def _step(self, bound: int, off: list[int]) -> None:
        best = self.best[0]
        room = max((self.alone - best) // 2, abs(best) // ABOVE) + 1
        aim = self.cost if self.path else best + room
        # Part of the last direction is kept, or the steps go to and fro.
        self.way = [new + KEEP * old for new, old in zip(off, self.way, strict=True)]
        square = sum(number * number for number in self.way)
        step = self.scale * max(aim - bound, 1) / square if square else 0
        for index, number in enumerate(self.way):
            self.worths[index] += round(step * number)


def _alone(field: Field) -> list[int]:
    """To begin from: what the cheapest node of each group costs by itself."""
    alone = [FAR] * field.size
    for node in field.nodes:
        index = field.of[node]
        costs = field.graph.first[node], field.graph.last[node]
        if None not in costs:
            alone[index] = min(alone[index], sum(costs))
    known = [worth for worth in alone[: field.need] if worth < FAR // 2]
    usual = max(known, default=0)
    worths = [worth if worth < FAR // 2 else usual for worth in alone]
    return worths[: field.need] + [0] * (field.size - field.need)


def _pass(field: Field, worths: Sequence[int]) -> tuple[list[int], int, list[int]]:
    """Return the cost to the end from each node, the bound, and the path that has it."""
    count = len(field.of)
    to_end, paid = [FAR] * count, [FAR] * count
    for node in reversed(field.nodes):
        rest = field.last[node]
        arcs = field.arcs[node]
        if arcs:
            rest = min(rest, min([cost + paid[to] for to, cost in arcs]))
        to_end[node] = rest = rest if rest < FAR // 2 else FAR
        paid[node] = rest - worths[field.of[node]]
    start, at = min(
        ((field.first[node] + paid[node], node) for node in field.nodes), default=(0, -1)
    )
    if field.need and at < 0:
        start = FAR
    least = min(start, FAR) if field.need else min(start, 0)
    least += sum(worths[: field.need])
    taken = []
    while at >= 0 and start < FAR // 2:
        taken.append(at)
        rest = to_end[at]
        ways = () if rest == field.last[at] else field.arcs[at]
        at = next((to for to, cost in ways if cost + paid[to] == rest), -1)
    return to_end, least, taken
