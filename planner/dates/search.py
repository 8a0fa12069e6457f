"""The cheapest path that takes one node of each required group, proven.

Labels (node, groups taken so far) in order of what the whole path costs at the least (`relax`):
the first that is home again with all groups taken is the best. Of two labels alike the cheaper is
kept. What may be dearer than a limit is put off; while nothing is found, the limit is raised.
"""

import heapq
import time
from collections.abc import Iterable, Sequence
from dataclasses import dataclass

from planner.dates.field import FAR, Field
from planner.dates.graph import Graph
from planner.dates.relax import STEPS, Bounds, bounds

RAISE = 4  # times the room above the bound, where it was too narrow
SWEPT = 150_000  # labels without costs that are looked at to see whether there is a path at all
MANY = 3000  # labels without a path, after which that is worth a look
LOOK = 512  # labels between two looks at the clock
BEAM = 200  # labels kept at a node when there is no time left to prove anything


@dataclass(frozen=True)
class Found:
    """path: nodes in order, None if there is none or none was found in time. cost: of it.

    bound: no path costs less, None if it is proven that there is none at all. proven: path is the
    best, or there is none. worths: a good beginning for a search that is much like this one.
    """

    path: tuple[int, ...] | None
    cost: int | None
    bound: int | None
    proven: bool
    worths: tuple[int, ...] = ()


def least(
    graph: Graph,
    required: Iterable[int],
    deadline: float | None = None,
    *,
    spare: Iterable[int] = (),
    without: Iterable[int] = (),
    worths: Sequence[int] | None = None,
    steps: int = STEPS,
) -> Found:
    """Return the cheapest path through one node of each of the `required` groups.

    deadline: of time.monotonic(). spare: groups of which it may take nodes too, even several, at
    their cost. without: nodes that it must not take. worths: of an earlier search with the same
    groups. steps: how many are spent on the bound.
    """
    return several(graph, required, 1, deadline, spare, without, worths, steps)[0]


def several(
    graph: Graph,
    required: Iterable[int],
    count: int = 2,
    deadline: float | None = None,
    spare: Iterable[int] = (),
    without: Iterable[int] = (),
    worths: Sequence[int] | None = None,
    steps: int = STEPS,
) -> list[Found]:
    """Return the `count` cheapest paths, best first; fewer if there are no more, at least one.

    If the clock cuts the search short, the last entry is not proven.
    """
    field = Field(graph, required, spare, without)
    if not field.need:
        return [Found((), 0, 0, True)]
    if field.empty:
        return [Found(None, None, None, True)]
    known = bounds(field, worths, steps)
    if known.least >= FAR // 2:
        return [Found(None, None, None, True, known.worths)]
    if count == 1 and known.path and known.cost == known.least:
        return [Found(known.path, known.cost, known.cost, True, known.worths)]
    return _Search(field, known, count, deadline).run()


class _Search:
    def __init__(self, field: Field, known: Bounds, count: int, deadline: float | None):
        self.field, self.known, self.count, self.deadline = field, known, count, deadline
        self.bit, self.full = field.bit, field.full
        self.worths = known.worths
        self.paid = sum(known.worths[: field.need])
        self.late = [self.full & ~ahead for ahead in field.ahead]
        self.ways = [self._ways(node) for node in range(len(field.of))]

    def _ways(self, node: int) -> list[tuple[int, int, int, int]]:
        """Arcs, the most promising first: (what all the rest costs, to, its bit, the step)."""
        of, to_end = self.field.of, self.known.to_end
        found = []
        for to, cost in self.field.arcs[node]:
            step = cost - self.worths[of[to]]
            if to_end[to] < FAR:
                found.append((step + to_end[to], to, self.bit[to], step))
        return sorted(found)

    def run(self) -> list[Found]:
        lowest = self.known.least
        room, swept = max(1, abs(lowest) // 200), False
        while True:
            done, beyond, cut = self._within(lowest + room)
            if len(done) >= self.count or (beyond is None and not cut):
                return self._proven(done)
            if cut:
                return self._cut(done, min([bound for bound in (cut, beyond) if bound is not None]))
            if not done and not swept and len(self.seen) > MANY:
                swept = True
                if self._hopeless():
                    return self._proven(done)
            room = max(room * RAISE, beyond - lowest)

    def _proven(self, done: list) -> list[Found]:
        if not done:
            return [Found(None, None, None, True, self.worths)]
        return [Found(path, cost, cost, True, self.worths) for cost, path in done]

    def _cut(self, done: list, bound: int) -> list[Found]:
        found = [Found(path, cost, cost, True, self.worths) for cost, path in done]
        path, cost = (self.known.path, self.known.cost) if not done else (None, None)
        if path is None and not done:
            path = self._beam()
            cost = path and self.field.graph.cost(path)
        proven = path is not None and cost <= bound
        return [*found, Found(path, cost if path else None, bound, proven, self.worths)]

    def _within(self, limit: int) -> tuple[list, int | None, int | None]:
        """Look at what may cost up to `limit`.

        Returns the paths that are proven, best first, as (cost, path); the least that anything
        put off may cost, None if there is no such thing; and, if the clock stopped it, what
        anything not looked at may cost at the least.
        """
        heap, seen = [], {}
        self.heap, self.seen, self.beyond, self.serial = heap, seen, FAR, 0
        self.limit = limit - self.paid
        starts = []
        for node in self.field.nodes:
            step = self.field.first[node] - self.worths[self.field.of[node]]
            if self.field.first[node] < FAR and self.known.to_end[node] < FAR:
                starts.append((step + self.known.to_end[node], node, self.bit[node], step))
        self._push(sorted(starts), 0, 0, None)
        done, pops = [], 0
        while heap:
            pops += 1
            if pops % LOOK == 0 and self._late_now():
                return done, self._beyond(), heap[0][0] + self.paid
            value, _, node, taken, spent, before = heapq.heappop(heap)
            if node < 0:
                done.append((value + self.paid, _path(before)))
                if len(done) == self.count:
                    break
                continue
            if spent > seen[taken, node][-1]:
                continue
            here = (node, before)
            if taken == self.full and self.field.last[node] < FAR:
                self._home(spent + self.field.last[node], here)
            self._push(self.ways[node], spent, taken, here)
        return done, self._beyond(), None

    def _late_now(self) -> bool:
        return self.deadline is not None and time.monotonic() > self.deadline

    def _beyond(self) -> int | None:
        return None if self.beyond == FAR else self.beyond + self.paid

    def _home(self, value: int, here: tuple) -> None:
        if value > self.limit:
            self.beyond = min(self.beyond, value)
            return
        self.serial += 1
        heapq.heappush(self.heap, (value, -self.serial, -1, 0, value, here))

    def _push(self, ways: list, spent: int, taken: int, here: tuple | None) -> None:
        seen, late, limit = self.seen, self.late, self.limit
        for rest, to, bit, step in ways:
            value = spent + rest
            if value > limit:
                # The ways are sorted: what follows costs no less.
                self.beyond = min(self.beyond, value)
                break
            if taken & bit or late[to] & ~taken:
                continue
            cost = spent + step
            if self._new(seen, (taken | bit, to), cost):
                self.serial += 1
                item = (value, -self.serial, to, taken | bit, cost, here)
                heapq.heappush(self.heap, item)

    def _new(self, seen: dict, state: tuple[int, int], cost: int) -> bool:
        best = seen.get(state)
        if best is None:
            seen[state] = [cost]
            return True
        if len(best) < self.count:
            best.append(cost)
            best.sort()
            return True
        if cost < best[-1]:
            best[-1] = cost
            best.sort()
            return True
        return False

    def _hopeless(self) -> bool:
        """Return whether there is no path at all; costs are left out, so it is quick."""
        field, bit, late, count = self.field, self.bit, self.late, 0
        labels: list[set[int]] = [set() for _ in field.of]
        for node in field.nodes:
            here = labels[node]
            if field.first[node] < FAR:
                here.add(bit[node])
            if field.last[node] < FAR and self.full in here:
                return False
            count += len(here)
            if count > SWEPT or self._late_now():
                return False
            for to, _ in field.arcs[node]:
                mark, missing = bit[to], late[to]
                labels[to].update(
                    [taken | mark for taken in here if not (taken & mark or missing & ~taken)]
                )
            labels[node] = set()
        return True

    def _beam(self) -> tuple[int, ...] | None:
        """Return some path, keeping only the most promising labels of each node."""
        labels: list[dict] = [{} for _ in self.field.of]
        best, path = FAR, None
        for node in self.field.nodes:
            if self.field.first[node] < FAR:
                labels[node][self.bit[node]] = (self.field.first[node], (node, None))
            kept = sorted(labels[node].items(), key=lambda item: (-item[0].bit_count(), item[1][0]))
            for taken, (spent, here) in kept[:BEAM]:
                if self.late[node] & ~taken:
                    continue
                end = spent + self.field.last[node]
                if taken == self.full and end < best:
                    best, path = end, _path(here)
                for to, cost in self.field.arcs[node]:
                    mask = taken | self.bit[to]
                    if not taken & self.bit[to] and spent + cost < labels[to].get(mask, (FAR,))[0]:
                        labels[to][mask] = (spent + cost, (to, here))
        return path


def _path(label: tuple | None) -> tuple[int, ...]:
    nodes = []
    while label is not None:
        node, label = label
        nodes.append(node)
    return tuple(reversed(nodes))
