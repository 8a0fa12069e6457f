"""The best plans for students that share companions, proven."""

import time
from dataclasses import dataclass, field, replace

from planner.repertoire.mip import Solved, cost_of, solve
from planner.together.case import Case
from planner.together.flow import Flow
from planner.together.turns import in_turn

LARGEST = 10**8  # costs up to here are settled at once, points and dislike in one number
SHARE = 4  # of all own points, what students may have to give up for each other, as a guess
SHORTEST = 0.05  # seconds that a solver gets at least


@dataclass(frozen=True)
class Joint:
    """paths: by student, the nodes taken; None if there are none or none were found in time.

    bound: no plans together have fewer points. proven: paths are the best, or there are none.
    """

    paths: dict[int, tuple[int, ...]] | None
    bound: int
    proven: bool


@dataclass
class Clock:
    """What is left of some seconds."""

    seconds: float
    began: float = field(default_factory=time.monotonic)

    @property
    def left(self) -> float:
        """Seconds left, never quite none."""
        return max(SHORTEST, self.began + self.seconds - time.monotonic())

    def until(self, part: float) -> float:
        """Return when so much of the seconds is up, as time.monotonic() tells it."""
        return self.began + self.seconds * part

    @property
    def over(self) -> bool:
        """Whether the time is up."""
        return time.monotonic() >= self.began + self.seconds


def components(case: Case, nets: list[int]) -> list[list[int]]:
    """Return the students `nets` in groups that have nothing to do with each other."""
    first = {net: net for net in nets}

    def root(net: int) -> int:
        while first[net] != net:
            first[net] = first[first[net]]
            net = first[net]
        return net

    for duty in case.duties:
        some = sorted(duty.nets & first.keys())
        for net in some[1:]:
            first[root(net)] = root(some[0])
    groups: dict[int, list[int]] = {}
    for net in nets:
        groups.setdefault(root(net), []).append(net)
    return list(groups.values())


def own_points(case: Case, nets: list[int]) -> int:
    """Return what the students' own best dates cost together."""
    return sum(case.parties[net].points(case.parties[net].own.cost) for net in nets)


def best(case: Case, nets: list[int], seconds: float) -> Joint:
    """Return the best plans for the students `nets`, each of whom has dates alone."""
    joint = _best(case, nets, seconds)
    return _or_in_turn(case, nets, replace(joint, bound=max(joint.bound, floor(case, nets))))


def _best(case: Case, nets: list[int], seconds: float) -> Joint:
    own = {net: case.parties[net].own for net in nets}
    points = own_points(case, nets)
    if _free(case, nets):
        proven = all(found.proven for found in own.values())
        paths = {net: found.path for net, found in own.items()}
        return Joint(paths, points if proven else floor(case, nets), proven)
    flow, clock = Flow(case, nets), Clock(seconds)
    if flow.big * max(points, 1) // SHARE <= LARGEST:
        return _joint(flow, points, solve(flow.model, flow.cost, clock.left))
    first = solve(flow.model, flow.points, clock.left)
    if first.values is None or cost_of(flow.points, first.values) > first.bound:
        return Joint(_paths(flow, first), points + first.bound, first.infeasible)
    flow.model.row(sorted(flow.points.items()), None, first.bound)
    second = solve(flow.model, flow.dislike, clock.left)
    if second.values is None:
        return Joint(_paths(flow, first), points + first.bound, False)
    proven = cost_of(flow.dislike, second.values) == second.bound
    return Joint(_paths(flow, second), points + first.bound, proven)


def _or_in_turn(case: Case, nets: list[int], joint: Joint) -> Joint:
    """Return the plans of taking turns where time ran out with nothing better."""
    if joint.proven:
        return joint
    paths = in_turn(case, nets)
    if len(paths) < len(nets):
        return joint
    better = joint.paths and points_of(case, joint.paths) <= points_of(case, paths)
    return joint if better else replace(joint, paths=paths)


def points_of(case: Case, paths: dict[int, tuple[int, ...]]) -> int:
    """Return the points of some students' paths."""
    parties = case.parties
    return sum(parties[net].points(parties[net].graph.cost(path)) for net, path in paths.items())


def possible(case: Case, nets: list[int], seconds: float) -> bool | None:
    """Return whether there are plans for the students `nets`; None if time ran out."""
    solved = solve(Flow(case, nets).model, {}, seconds)
    return None if solved.values is None and not solved.infeasible else not solved.infeasible


def floor(case: Case, nets: list[int]) -> int:
    """Return points than which no plans have fewer, companions or not."""
    return sum(case.parties[net].points(case.parties[net].own.bound or 0) for net in nets)


def _free(case: Case, nets: list[int]) -> bool:
    """Say whether all can take their own best dates."""
    taken = {(net, node) for net in nets for node in case.parties[net].own.path}
    if any(node in case.barred[net] for net, node in taken):
        return False
    for duty in case.duties:
        if not duty.nets.isdisjoint(nets):
            rows = [(n, row) for n, room in enumerate(duty.rooms) for row in room]
            used = {n for n, row in rows if not taken.isdisjoint(row.nodes)}
            if len(used) > 1 or any(len(taken & set(row.nodes)) > row.most for _, row in rows):
                return False
    return True


def _joint(flow: Flow, own: int, solved: Solved) -> Joint:
    """Return what one number of cost tells of points."""
    # However two plans differ in dislike, it is by less than `big`.
    least = -(-(solved.bound - flow.big + 1) // flow.big)
    if solved.values is None:
        return Joint(None, own + least, solved.infeasible)
    if cost_of(flow.cost, solved.values) == solved.bound:
        return Joint(_paths(flow, solved), own + cost_of(flow.points, solved.values), True)
    return Joint(_paths(flow, solved), own + least, False)


def _paths(flow: Flow, solved: Solved) -> dict[int, tuple[int, ...]] | None:
    return None if solved.values is None else flow.paths(solved.values)
