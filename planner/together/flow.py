"""The integer programme of students that share companions.

Each student's plan is a flow of one through the graph of their dates: from home over offers to
home, by way of home where that is no dearer than straight on. The companions' rooms couple them
and are decided first: once they are settled the students hardly touch each other. A step costs
what it does beyond the step of the student's own best dates to the same audition, so that all
costs add up to what the students give up for each other, in small numbers.
"""

from collections import defaultdict
from collections.abc import Collection
from itertools import pairwise

from planner.dates.graph import Graph
from planner.repertoire.mip import Model
from planner.together.case import Case, Party
from planner.together.duties import Duty, Node, needed


class Flow:
    """The programme of the students `nets` of a case, none of whom is without dates alone.

    points, dislike: by column, beyond each student's own best. big: more than any two plans for
    all differ in dislike; so cost = points * big + dislike orders them by points first.
    """

    def __init__(self, case: Case, nets: Collection[int]):
        self.case, self.nets = case, sorted(nets)
        self.model = Model()
        self.points: dict[int, int] = {}
        self.dislike: dict[int, int] = {}
        self.taken: dict[Node, int] = {}
        self.steps: dict[int, list[tuple[int, int]]] = {}
        self.big = 1 + sum(_spread(case.parties[net]) for net in self.nets)
        within = set(self.nets)
        self.duties = [duty for duty in case.duties if duty.nets & within]
        self.rooms = {
            (duty.companion, duty.day, site): self.model.column(1)
            for duty in self.duties
            if not duty.alone
            for site in duty.sites
        }
        self.model.deciding = len(self.rooms)
        for net in self.nets:
            self._student(net)
        for duty in self.duties:
            self._duty(duty)
        self._needed()

    @property
    def cost(self) -> dict[int, int]:
        """Points and dislike in one number, by column."""
        found = {column: points * self.big for column, points in self.points.items()}
        for column, dislike in self.dislike.items():
            found[column] = found.get(column, 0) + dislike
        return found

    def paths(self, values: tuple[int, ...]) -> dict[int, tuple[int, ...]]:
        """Return the nodes that each student takes."""
        found: dict[int, list[int]] = {net: [] for net in self.nets}
        for (net, node), column in sorted(self.taken.items()):
            if values[column]:
                found[net].append(node)
        return {net: tuple(nodes) for net, nodes in found.items()}

    # ---- a student

    def _student(self, net: int) -> None:
        case, party = self.case, self.case.parties[net]
        steps = Steps(party, case.barred[net])
        for node in steps.nodes:
            self.taken[net, node] = self.model.column(1)
        for nodes in party.graph.groups:
            terms = [(self.taken[net, node], 1) for node in nodes if (net, node) in self.taken]
            self.model.row(terms, 1, 1)
        self._flow(net, steps)

    def _flow(self, net: int, steps: "Steps") -> None:
        into, out = defaultdict(list), defaultdict(list)
        for start, end, points, node in steps.arcs:
            column = self.model.column(1)
            into[end].append(column)
            out[start].append(column)
            if points:
                self.points[column] = points
            if node is not None and steps.dislike[node]:
                self.dislike[column] = steps.dislike[node]
        for node in steps.nodes:
            for ways in (into[node], out[node]):
                terms = [(column, 1) for column in ways]
                self.model.row([*terms, (self.taken[net, node], -1)], 0, 0)
        for home in steps.homes:
            terms = [(column, 1) for column in into[home]] + [(c, -1) for c in out[home]]
            supply = (home == steps.homes[-1]) - (home == steps.homes[0])
            self.model.row(terms, supply, supply)

    # ---- a companion

    def _duty(self, duty: Duty) -> None:
        if not duty.alone:
            rooms = [(self.rooms[duty.companion, duty.day, site], 1) for site in duty.sites]
            self.model.row(rooms, None, 1)
        for site, rows in zip(duty.sites, duty.rooms, strict=True):
            room = self.rooms.get((duty.companion, duty.day, site))
            for row in rows:
                terms = [(self.taken[node], 1) for node in row.nodes if node in self.taken]
                if room is None:
                    self.model.row(terms, None, row.most)
                elif terms:
                    self.model.row([*terms, (room, -row.most)], None, 0)

    def _needed(self) -> None:
        """Say how often a companion has to go where: it follows, but not for fractions."""
        within = set(self.nets)
        calls = [call for call in self.case.calls if call.net in within]
        most = [companion.most for companion in self.case.problem.companions]
        for (companion, site), demands in needed(calls, most).items():
            for days, times in demands:
                rooms = [self.rooms.get((companion, day, site)) for day in sorted(days)]
                terms = [(room, 1) for room in rooms if room is not None]
                if terms:
                    self.model.row(terms, times - (len(rooms) - len(terms)))


def _spread(party: Party) -> int:
    """Return by how much two plans of a student can differ in dislike."""
    disliked = party.dates.disliked
    groups = [[disliked[node] for node in nodes] for nodes in party.graph.groups]
    return sum(max(group) - min(group) for group in groups if group)


class Steps:
    """A student's graph with few arcs.

    nodes: offers that may be taken. homes: vertices at home, ("home", k) before offer k, in order.
    arcs: (start, end, points beyond the own best, the node it leads to or None). dislike: by node,
    beyond the own best.
    """

    def __init__(self, party: Party, barred: Collection[int]):
        self.party, graph = party, party.graph
        self.nodes = [node for node in range(len(graph.first)) if node not in barred]
        into = [dict(arcs) for arcs in graph.arcs]
        self._own()
        since = {n: self._since(n, into) for n in self.nodes if graph.first[n] is not None}
        stops = sorted({*since.values(), len(graph.first)})
        self.homes = [("home", stop) for stop in stops]
        self.arcs: list[tuple] = [(*pair, 0, None) for pair in pairwise(self.homes)]
        for node in self.nodes:
            if node in since:
                points = self._points(node, graph.first[node])
                self.arcs.append((("home", since[node]), node, points, node))
            if graph.last[node] is not None:
                home = next(stop for stop in stops if stop > node)
                points = graph.last[node] // party.dates.big
                self.arcs.append((node, ("home", home), points, None))
            self._straight(node, into, since)

    def _own(self) -> None:
        """Spread what the own best costs over its auditions."""
        party, path = self.party, self.party.own.path
        graph, disliked, big = party.graph, party.dates.disliked, party.dates.big
        self.paid: dict[int, int] = {}
        own = {party.group(node): disliked[node] for node in path}
        for start, node in pairwise((None, *path)):
            cost = graph.first[node] if start is None else dict(graph.arcs[start])[node]
            self.paid[party.group(node)] = (cost - disliked[node]) // big
        if path:
            self.paid[party.group(path[-1])] += graph.last[path[-1]] // big
        self.dislike = [disliked[node] - own[party.group(node)] for node in range(len(disliked))]

    def _points(self, node: int, cost: int) -> int:
        """Return the points of a step to `node` beyond what the own best pays for its audition."""
        dates = self.party.dates
        return (cost - dates.disliked[node]) // dates.big - self.paid[self.party.group(node)]

    def _since(self, node: int, into: list[dict[int, int]]) -> int:
        """Return before which node the last one must be for the way home and out to be open."""
        for start in self._others(node):
            by_home = _by_home(self.party.graph, start, node)
            straight = into[start].get(node)
            if by_home is not None and (straight is None or straight > by_home):
                return start
        return node

    def _others(self, node: int) -> list[int]:
        group = self.party.group(node)
        return [n for n in self.nodes if n < node and self.party.group(n) != group]

    def _straight(self, node: int, into: list[dict[int, int]], since: dict[int, int]) -> None:
        for start in self._others(node):
            cost = into[start].get(node)
            if cost is None:
                continue
            by_home = _by_home(self.party.graph, start, node)
            if start >= since.get(node, 0) or by_home is None or cost < by_home:
                self.arcs.append((start, node, self._points(node, cost), node))


def _by_home(graph: Graph, start: int, node: int) -> int | None:
    if graph.last[start] is None or graph.first[node] is None:
        return None
    return graph.last[start] + graph.first[node]
