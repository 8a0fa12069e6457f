"""The part of a graph that can matter to a search."""

from collections.abc import Iterable

from planner.dates.graph import Graph

FAR = 1 << 200  # dearer than any path
ROUNDS = 6


class Field:
    """What is left of a graph when nothing is kept that no path can use.

    required: groups of which a path takes one node each. spare: those of which it may take some,
    too. without: nodes that it must not take. A node stays if each required group can be reached
    before or after it, an arc if each can before its beginning or after its end.

    of: of each node the index of its group, the required ones first; -1 if it is out. nodes: the
    others, in order. first, last: FAR where not possible. ahead: of each node a bit for each
    required group that can still be reached, its own too. empty: there is no path.
    """

    def __init__(
        self,
        graph: Graph,
        required: Iterable[int],
        spare: Iterable[int] = (),
        without: Iterable[int] = (),
    ):
        self.graph = graph
        self.required = tuple(sorted(set(required)))
        groups = [*self.required, *sorted(set(spare) - set(self.required))]
        self.size, self.need = len(groups), len(self.required)
        self.full = (1 << self.need) - 1
        out, count = set(without), len(graph.first)
        self.of = [-1] * count
        for index, group in enumerate(groups):
            for node in graph.groups[group]:
                if node not in out:
                    self.of[node] = index
        of = self.of
        self.nodes = [node for node in range(count) if of[node] >= 0]
        self.bit = [1 << index if 0 <= index < self.need else 0 for index in of]
        self.first = [FAR if one is None else one for one in graph.first]
        self.last = [FAR if one is None else one for one in graph.last]
        self.arcs: list[list[tuple[int, int]]] = [[] for _ in of]
        for node in self.nodes:
            own = of[node]
            self.arcs[node] = [arc for arc in graph.arcs[node] if of[arc[0]] not in (-1, own)]
        self.ahead = [0] * count
        self._thin()

    def _thin(self) -> None:
        for _ in range(ROUNDS):
            before = len(self.nodes), sum(len(self.arcs[node]) for node in self.nodes)
            behind = self._look()
            self._cut(behind)
            if before == (len(self.nodes), sum(len(self.arcs[node]) for node in self.nodes)):
                break
        held = {self.of[node] for node in self.nodes}
        self.empty = any(index not in held for index in range(self.need))

    def _look(self) -> list[int]:
        """Find what is ahead of each node, -1 if not even home, and return what is behind it."""
        ahead, behind = self.ahead, [-1] * len(self.of)
        for node in reversed(self.nodes):
            found = 0 if self.last[node] < FAR else -1
            for to, _ in self.arcs[node]:
                if ahead[to] >= 0:
                    found = ahead[to] if found < 0 else found | ahead[to]
            ahead[node] = found if found < 0 else found | self.bit[node]
        for node in self.nodes:
            if self.first[node] < FAR:
                behind[node] = max(behind[node], 0)
            if behind[node] >= 0:
                behind[node] |= self.bit[node]
                for to, _ in self.arcs[node]:
                    behind[to] = behind[node] if behind[to] < 0 else behind[to] | behind[node]
        return behind

    def _cut(self, behind: list[int]) -> None:
        ahead, full = self.ahead, self.full
        for node in self.nodes:
            back = behind[node]
            if back < 0 or ahead[node] < 0 or (back | ahead[node]) != full:
                self.of[node] = -1
                self.first[node] = self.last[node] = FAR
                self.arcs[node] = []
                continue
            if ahead[node] != full:
                self.first[node] = FAR
            if back != full:
                self.last[node] = FAR
            self.arcs[node] = [
                arc
                for arc in self.arcs[node]
                if ahead[arc[0]] >= 0 and (back | ahead[arc[0]]) == full
            ]
        self.nodes = [node for node in self.nodes if self.of[node] >= 0]
        alive = self.of
        for node in self.nodes:
            self.arcs[node] = [arc for arc in self.arcs[node] if alive[arc[0]] >= 0]
