"""All plans that there are, and why some are missing."""

from dataclasses import dataclass, field

from planner.together import conflict, words
from planner.together.case import Case
from planner.together.joint import Clock, Joint, best, components, floor
from planner.together.model import Conflict, Problem
from planner.together.turns import in_turn

SEARCH = 2 / 3  # of the seconds, to find out why some are missing


@dataclass
class Settled:
    """paths: by student, the nodes taken. bound: no plans for these students have fewer points.

    groups: of each conflict, the students by number. joints: what was solved, by `key`.
    """

    paths: dict[int, tuple[int, ...]] = field(default_factory=dict)
    bound: int = 0
    proven: bool = True
    conflicts: list[Conflict] = field(default_factory=list)
    groups: list[tuple[int, ...]] = field(default_factory=list)
    joints: dict[tuple, Joint] = field(default_factory=dict)

    def take(self, case: Case, nets: list[int], joint: Joint) -> None:
        """Take over the plans of some students."""
        self.paths |= joint.paths
        self.bound += joint.bound
        self.proven &= joint.proven
        self.joints[key(case.problem, nets)] = joint

    def refuse(self, case: Case, nets: tuple[int, ...], companions: tuple, proven: bool) -> None:
        """Note that some students have no plan."""
        keys = tuple(case.problem.students[net].key for net in nets)
        sentence = words.conflict(case.problem, nets, companions, proven)
        self.conflicts.append(Conflict(keys, companions, proven, (), sentence))
        self.groups.append(nets)
        self.proven &= proven


def key(problem: Problem, nets: list[int]) -> tuple:
    """Return under what the joint plan of some students is kept."""
    return tuple(nets), tuple((one.most, one.away) for one in problem.companions)


def settle(case: Case, clock: Clock) -> Settled:
    """Return the best plans for as many students as go together.

    Where some do not, a smallest group that does not is set aside, and the others are planned.
    """
    settled, left, why = Settled(), [], None
    for net, party in enumerate(case.parties):
        if party.own.path is None:
            settled.refuse(case, (net,), (), party.own.proven)
        else:
            left.append(net)
    waiting = components(case, left)
    while waiting:
        nets = waiting.pop(0)
        share = len(nets) / (len(nets) + sum(map(len, waiting)))
        joint = best(case, nets, clock.left * share)
        if joint.paths is not None:
            settled.take(case, nets, joint)
        elif joint.proven:
            why = why or Clock(case.problem.seconds * SEARCH)
            group = conflict.students(case, nets, why)
            companions = conflict.companions(case, group, why)
            if why.over:
                _some(case, settled, nets)
                continue
            settled.refuse(case, group, companions, True)
            rest = [net for net in nets if net not in group]
            waiting = components(case, rest) + waiting
        else:
            _some(case, settled, nets)
    return settled


def _some(case: Case, settled: Settled, nets: list[int]) -> None:
    """Take what one after another can take, where nothing more was found in time."""
    paths = in_turn(case, nets)
    settled.take(case, list(paths), Joint(paths, floor(case, list(paths)), False))
    rest = tuple(net for net in nets if net not in paths)
    if rest:
        settled.refuse(case, rest, conflict.asked(case, rest), False)
