"""All plans that there are, why some are missing, and the ways out."""

from collections.abc import Iterator
from dataclasses import dataclass, field, replace

from planner.together import conflict, words
from planner.together.case import Case
from planner.together.joint import Clock, Joint, best, components, possible
from planner.together.model import Conflict, Problem, WayOut

MORE = 12  # by how many auditions a day at most a companion's day is made longer


@dataclass
class Settled:
    """paths: by student, the nodes taken. bound: no plans for these students have fewer points.

    groups: of each conflict, the students by number. joints: what was solved.
    """

    paths: dict[int, tuple[int, ...]] = field(default_factory=dict)
    bound: int = 0
    proven: bool = True
    conflicts: tuple[Conflict, ...] = ()
    groups: list[tuple[int, ...]] = field(default_factory=list)
    joints: dict[tuple, Joint] = field(default_factory=dict)

    def take(self, case: Case, nets: list[int], joint: Joint) -> None:
        """Take over the plans of some students."""
        self.paths |= joint.paths
        self.bound += joint.bound
        self.proven &= joint.proven
        self.joints[_key(case.problem, nets)] = joint

    def refuse(self, nets: tuple[int, ...], why: Conflict) -> None:
        """Note that some students have no plan."""
        self.conflicts += (why,)
        self.groups.append(nets)
        self.proven &= why.proven


def settle(case: Case, clock: Clock) -> Settled:
    """Return the best plans for as many students as go together."""
    settled, left = Settled(), []
    for net, party in enumerate(case.parties):
        if party.own.path is None:
            settled.refuse((net,), _conflict(case, (net,), (), party.own.proven))
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
            group = conflict.students(case, nets, Clock(case.problem.seconds / 2))
            why = _conflict(case, group, conflict.companions(case, group), True)
            settled.refuse(group, why)
            waiting = components(case, [net for net in nets if net not in group]) + waiting
        else:
            some = {key for net in nets for _, key in case.problem.students[net].companions}
            settled.refuse(tuple(nets), _conflict(case, tuple(nets), tuple(sorted(some)), False))
    return settled


def _key(problem: Problem, nets: list[int]) -> tuple:
    return tuple(nets), tuple(companion.most for companion in problem.companions)


def _conflict(case: Case, nets: tuple[int, ...], companions: tuple[str, ...], proven) -> Conflict:
    keys = tuple(case.problem.students[net].key for net in nets)
    sentence = words.conflict(case.problem, nets, companions, proven)
    return Conflict(keys, companions, proven, sentence)


# ---- ways out


def ways_out(case: Case, settled: Settled, clock: Clock) -> tuple[WayOut, ...]:
    """Return single changes after which the students of a conflict can be planned, each tried."""
    if not case.problem.explain:
        return ()
    found = []
    for nets, why in zip(settled.groups, settled.conflicts, strict=True):
        if why.companions and why.proven:
            changes = [*_changes(case, nets, why.companions)]
            for number, change in enumerate(changes):
                if clock.over:
                    break
                way = _tried(case, settled, nets, change, clock.left / (len(changes) - number))
                found += [way] if way else []
    return tuple(sorted(found, key=lambda way: (way.kind == "leave out", way.points)))


@dataclass(frozen=True)
class _Change:
    kind: str
    case: Case
    net: int | None = None
    audition: str | None = None
    companion: str | None = None
    most: int | None = None


def _changes(case: Case, nets: tuple[int, ...], companions: tuple[str, ...]) -> Iterator[_Change]:
    problem, pairs = case.problem, []
    for net in nets:
        student = problem.students[net]
        kept = {one.key for one in student.dates.auditions if one.kept}
        pairs += [(net, *p) for p in student.companions if p[1] in companions and p[0] in kept]
    for net, audition, companion in pairs:
        student = problem.students[net]
        others = tuple(pair for pair in student.companions if pair != (audition, companion))
        changed = conflict.with_student(problem, net, replace(student, companions=others))
        yield _Change("without", Case(changed, case.known), net, audition, companion)
    for companion in companions:
        yield from _longer(case, nets, companion)
    for net, audition in dict.fromkeys(pair[:2] for pair in pairs):
        student = problem.students[net]
        fewer = tuple(
            replace(one, kept=False) if one.key == audition else one
            for one in student.dates.auditions
        )
        dates = replace(student.dates, auditions=fewer)
        changed = conflict.with_student(problem, net, replace(student, dates=dates))
        yield _Change("leave out", Case(changed, case.known), net, audition)


def _longer(case: Case, nets: tuple[int, ...], key: str) -> Iterator[_Change]:
    """Give the smallest number of auditions a day with which a companion can do it."""
    problem = case.problem
    most = next(one.most for one in problem.companions if one.key == key)
    for more in range(most + 1, most + MORE + 1):
        some = tuple(replace(c, most=more) if c.key == key else c for c in problem.companions)
        changed = Case(replace(problem, companions=some), case.known)
        if possible(changed, list(nets), conflict.TRY):
            yield _Change("more", changed, companion=key, most=more)
            return
        if more == most + 1 and not _ever(case, nets, key):
            return


def _ever(case: Case, nets: tuple[int, ...], key: str) -> bool:
    some = tuple(
        replace(c, most=c.most + MORE) if c.key == key else c for c in case.problem.companions
    )
    changed = Case(replace(case.problem, companions=some), case.known)
    return possible(changed, list(nets), conflict.TRY) is True


def _tried(case: Case, settled: Settled, nets, change: _Change, seconds: float) -> WayOut | None:
    """Return what becomes of a change, None if it does not help or not in time."""
    clock, changed = Clock(seconds), change.case
    if not possible(changed, list(nets), clock.left):
        return None
    points, proven = 0, True
    for some in components(changed, sorted({*settled.paths, *nets})):
        known = (
            settled.joints.get(_key(changed.problem, some)) if set(some).isdisjoint(nets) else None
        )
        joint = known or best(changed, some, clock.left)
        if joint.paths is None:
            return None
        points += _points(changed, joint)
        proven &= joint.proven
    student = None if change.net is None else case.problem.students[change.net].key
    return WayOut(
        kind=change.kind,
        student=student,
        audition=change.audition,
        companion=change.companion,
        most=change.most,
        points=points,
        proven=proven,
        sentence=words.way_out(case.problem, change, points, proven),
    )


def _points(case: Case, joint: Joint) -> int:
    return sum(
        case.parties[net].points(case.parties[net].graph.cost(path))
        for net, path in joint.paths.items()
    )
