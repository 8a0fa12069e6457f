"""What would help students who cannot be planned: single changes, each of them tried."""

from collections.abc import Iterator
from dataclasses import dataclass, replace

from planner.together import words
from planner.together.case import Case
from planner.together.conflict import TRY
from planner.together.explain import Settled, key
from planner.together.joint import Clock, best, components, points_of, possible
from planner.together.model import Companion, Conflict, Problem, Student, WayOut

MORE = 12  # by how many auditions a day at most a companion's day is made longer


@dataclass(frozen=True)
class Change:
    """One change, and the problem with it; see WayOut for the fields."""

    kind: str
    problem: Problem
    net: int | None = None
    audition: str | None = None
    companion: str | None = None
    most: int | None = None
    away: str | None = None


def explained(case: Case, settled: Settled, clock: Clock) -> tuple[Conflict, ...]:
    """Return the conflicts with their ways out, as far as the time goes."""
    found = []
    for number, (nets, why) in enumerate(zip(settled.groups, settled.conflicts, strict=True)):
        share = Clock(clock.left / (len(settled.groups) - number))
        helps = why.companions and why.proven and case.problem.explain
        ways = _ways(case, settled, nets, why.companions, share) if helps else ()
        found.append(replace(why, ways_out=ways))
    return tuple(found)


def _ways(case, settled, nets, companions, clock: Clock) -> tuple[WayOut, ...]:
    found = []
    changes = [*changes_of(case, settled, nets, companions)]
    for number, change in enumerate(changes):
        if clock.over:
            break
        way = _tried(case, settled, nets, change, clock.left / (len(changes) - number))
        found += [way] if way else []
    return tuple(sorted(found, key=lambda way: (way.kind == "leave out", way.points)))


def changes_of(case: Case, settled: Settled, nets, companions) -> Iterator[Change]:
    """Give the single changes that might help."""
    problem, pairs = case.problem, []
    for net in nets:
        student = problem.students[net]
        kept = {one.key for one in student.dates.auditions if one.kept}
        pairs += [(net, *p) for p in student.companions if p[1] in companions and p[0] in kept]
    for net, audition, companion in pairs:
        student = problem.students[net]
        others = tuple(pair for pair in student.companions if pair != (audition, companion))
        changed = with_student(problem, net, replace(student, companions=others))
        yield Change("without", changed, net, audition, companion)
    for companion in problem.companions:
        if companion.key in companions:
            yield from _longer(case, settled, nets, companion)
            yield from _present(problem, companion)
    for net, audition in dict.fromkeys(pair[:2] for pair in pairs):
        yield Change("leave out", _left_out(problem, net, audition), net, audition)


def with_student(problem: Problem, net: int, student: Student) -> Problem:
    """Return the problem with one student changed."""
    changed = (*problem.students[:net], student, *problem.students[net + 1 :])
    return replace(problem, students=changed)


def _with_companion(problem: Problem, companion: Companion) -> Problem:
    some = (companion if one.key == companion.key else one for one in problem.companions)
    return replace(problem, companions=tuple(some))


def _left_out(problem: Problem, net: int, key: str) -> Problem:
    student = problem.students[net]
    auditions = student.dates.auditions
    fewer = tuple(replace(one, kept=False) if one.key == key else one for one in auditions)
    dates = replace(student.dates, auditions=fewer)
    return with_student(problem, net, replace(student, dates=dates))


def _touched(case: Case, settled: Settled, nets: tuple[int, ...]) -> list[list[int]]:
    """Return those with plans and the students `nets` in groups, as far as `nets` are in them."""
    groups = components(case, sorted({*settled.paths, *nets}))
    return [group for group in groups if not set(group).isdisjoint(nets)]


def _longer(case: Case, settled: Settled, nets, companion: Companion) -> Iterator[Change]:
    """Give the smallest number of auditions a day with which a companion can do it, if any is."""
    most = companion.most
    for more in (most + MORE, *range(most + 1, most + MORE)):
        changed = _with_companion(case.problem, replace(companion, most=more))
        longer = Case(changed, case.known)
        fits = all(possible(longer, group, TRY) for group in _touched(longer, settled, nets))
        if fits and more < most + MORE:
            yield Change("more", changed, companion=companion.key, most=more)
            return
        if not fits and more == most + MORE:
            return


def _present(problem: Problem, companion: Companion) -> Iterator[Change]:
    for closed in companion.away:
        away = tuple(one for one in companion.away if one is not closed)
        changed = _with_companion(problem, replace(companion, away=away))
        name = words.stretch(closed)
        yield Change("come", changed, companion=companion.key, away=name)


def _tried(case: Case, settled: Settled, nets, change: Change, seconds: float) -> WayOut | None:
    """Return what becomes of a change, None if it does not help or not in time."""
    clock, changed = Clock(seconds), Case(change.problem, case.known)
    if any(changed.parties[net].own.path is None for net in nets):
        return None
    if not possible(changed, list(nets), clock.left):
        return None
    points, proven = 0, True
    for some in components(changed, sorted({*settled.paths, *nets})):
        same = set(some).isdisjoint(nets) and settled.joints.get(key(changed.problem, some))
        joint = same or best(changed, some, clock.left)
        if joint.paths is None:
            return None
        points += points_of(changed, joint.paths)
        proven &= joint.proven
    return WayOut(
        kind=change.kind,
        student=None if change.net is None else case.problem.students[change.net].key,
        audition=change.audition,
        companion=change.companion,
        most=change.most,
        away=change.away,
        points=points,
        proven=proven,
        sentence=words.way_out(case.problem, change, points, proven),
    )
