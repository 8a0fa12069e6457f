"""The answer, put together."""

from collections import defaultdict

from planner.dates.model import Plan
from planner.dates.search import Found
from planner.dates.trips import believed
from planner.together import words
from planner.together.booking import Engagement, engagements
from planner.together.case import Case, Party
from planner.together.check import check
from planner.together.clashes import Clash, clashes
from planner.together.explain import SEARCH, settle
from planner.together.joint import Clock, own_points, points_of
from planner.together.model import Answer, Day, Player, Problem, Student, Taken
from planner.together.turns import in_turn
from planner.together.validate import validate
from planner.together.ways_out import explained


def answer(problem: Problem) -> Answer:
    """Return the dates for all students, and what there is to say about them.

    Raises ValueError, naming the place, for a problem that makes no sense, and ArithmeticError if
    a plan does not stand the check.
    """
    validate(problem)
    clock = Clock(problem.seconds)
    case = Case(problem, deadline=clock.until(1 / 2))
    found = settle(case, clock)
    plans = {net: _plan(case.parties[net], path) for net, path in found.paths.items()}
    own = [believed(party.dates, party.own) for party in case.parties]
    check(problem, plans)
    taken = tuple(_taken(case, net, plans.get(net), own[net]) for net in range(len(own)))
    booked = [one for net, plan in plans.items() for one in _booked(problem.students[net], plan)]
    more = Clock(problem.seconds * (1 - SEARCH))
    missed, turns = clashing(case, own), in_turn(case, sorted(plans), more.until(1 / 2))
    in_turns, stranded = points_of(case, turns), len(plans) - len(turns)
    return Answer(
        students=taken,
        points=sum(plan.burden.points for plan in plans.values()),
        dislike=sum(plan.dislike for plan in plans.values()),
        bound=found.bound,
        proven=found.proven,
        in_turn=in_turns,
        stranded=stranded,
        days=_days(booked),
        clashes=missed,
        conflicts=explained(case, found, more),
        sentence=words.answered(problem, taken, found, missed),
        reasons=words.reasons(taken, missed, own_points(case, list(plans)), in_turns, stranded),
        notes=words.notes(booked),
    )


def _plan(party: Party, path: tuple[int, ...]) -> Plan:
    cost = party.graph.cost(path)
    return believed(party.dates, Found(path, cost, cost, True))


def _taken(case: Case, net: int, plan: Plan | None, own: Plan | None) -> Taken:
    student = case.problem.students[net]
    if plan is None or own is None:
        return Taken(student.key, plan, own and own.burden.points, None)
    before = {choice.audition: choice.offer for choice in own.choices}
    moved = (c.audition for c in plan.choices if before.get(c.audition) != c.offer)
    extra = plan.burden.points - own.burden.points
    return Taken(student.key, plan, own.burden.points, extra, tuple(moved))


def _booked(student: Student, plan: Plan) -> list[Engagement]:
    return engagements(student, plan.choices)


def clashing(case: Case, plans: list[Plan | None]) -> tuple[Clash, ...]:
    """Return what would be double-booked if each student took one of these plans."""
    pairs = zip(case.problem.students, plans, strict=True)
    booked = [one.booking for student, plan in pairs if plan for one in _booked(student, plan)]
    return clashes(booked, case.problem.companions)


def _days(booked: list[Engagement]) -> tuple[Day, ...]:
    days = defaultdict(list)
    for one in booked:
        days[one.booking.day, one.booking.companion, one.booking.site].append(one)
    return tuple(
        Day(companion, on, site, some[0].booking.site_name, _players(some))
        for (on, companion, site), some in sorted(days.items())
    )


def _players(some: list[Engagement]) -> tuple[Player, ...]:
    def order(one: Engagement) -> tuple:
        at = one.booking.starts
        return at is None, at.timestamp() if at else 0, one.booking.student, one.audition

    return tuple(
        Player(one.student, one.audition, one.offer, one.booking.starts, one.booking.ends)
        for one in sorted(some, key=order)
    )
