"""From a path over the dates to a plan: trips with their hops, and the burden."""

from dataclasses import dataclass
from datetime import date

from planner.dates.case import Case, short_days
from planner.dates.check import Unsound, check
from planner.dates.journeys import Date, Leg
from planner.dates.model import HOME, Burden, Choice, Hop, Plan, Trip
from planner.dates.search import Found
from planner.dates.ways import hours_points


@dataclass(frozen=True)
class _Step:
    """One hop of a trip with the dates at its ends; None is home."""

    leg: Leg
    start: Date | None
    end: Date | None


def plan_of(case: Case, path: tuple[int, ...]) -> Plan:
    """Return the plan that takes these nodes, in their order."""
    trips, ready = [], None
    for steps in _trips(case, path):
        steps[0] = _sooner(case, steps[0], ready)
        ready = steps[-1].leg.arrive + case.problem.settings.rest_minutes
        trips.append(_trip(case, steps))
    chosen = [case.dates[node] for node in path]
    return Plan(
        choices=tuple(
            Choice(
                one.audition.key, one.offer.key, one.offer.on, short_days(one.audition, one.offer)
            )
            for one in chosen
        ),
        trips=tuple(trips),
        burden=burden_of(case, tuple(trips)),
        dislike=sum(case.disliked[node] for node in path),
    )


def burden_of(case: Case, trips: tuple[Trip, ...]) -> Burden:
    """Return what the trips ask of the family together; a school day in two trips counts once."""
    hops = [hop for trip in trips for hop in trip.hops]
    money, nights = sum(trip.money for trip in trips), sum(trip.nights for trip in trips)
    school_days = len({day for trip in trips for day in trip.school_days})
    weights = case.problem.weights
    return Burden(
        minutes=sum(hop.minutes for hop in hops),
        money=money,
        nights=nights,
        school_days=school_days,
        points=money
        + sum(hours_points(case.problem, hop.minutes) for hop in hops)
        + nights * weights.night
        + school_days * weights.school_day,
    )


def _trips(case: Case, path: tuple[int, ...]) -> list[list[_Step]]:
    trips: list[list[_Step]] = []
    for node, to in zip((None, *path), (*path, None), strict=True):
        if not path:
            break
        start = None if node is None else case.dates[node]
        end = None if to is None else case.dates[to]
        legs = case.legs(node, to)
        if len(legs) == 2:
            trips[-1].append(_Step(legs[0], start, None))
            trips.append([_Step(legs[1], None, end)])
        elif node is None:
            trips.append([_Step(legs[0], None, end)])
        else:
            trips[-1].append(_Step(legs[0], start, end))
    return trips


def _sooner(case: Case, step: _Step, ready: int | None) -> _Step:
    """Let a journey of the day before begin after school instead of as late as it may.

    It costs the same: no more nights, days or school.
    """
    leg, journeys = step.leg, case.journeys
    if not leg.nights:
        return step
    day, settings = journeys.clock.day(leg.leave), case.problem.settings
    hour = max(settings.school_to, settings.leave_from)
    leave = min(leg.leave, max(journeys.clock.at(day, hour), ready or 0))
    arrive = leg.arrive - (leg.leave - leave)
    if step.end.clock.day(arrive) != step.end.clock.day(leg.arrive):
        return step
    moved = Leg(leg.way, leave, arrive, leg.nights, leg.days, leg.first_day, leg.last_day, leg.cost)
    return _Step(moved, None, step.end)


def _trip(case: Case, steps: list[_Step]) -> Trip:
    journeys, settings = case.journeys, case.problem.settings
    leave, back = steps[0].leg.leave, steps[-1].leg.arrive
    days = sorted(journeys.missed(leave, back, None, None))
    nights = sum(step.leg.nights for step in steps)
    dates = [step.end for step in steps[:-1]]
    money = sum(step.leg.way.money for step in steps) + nights * settings.night_money
    trip = Trip(
        hops=tuple(_hop(case, step) for step in steps),
        auditions=tuple(one.audition.key for one in dates),
        nights=nights,
        money=money,
        school_days=tuple(date.fromordinal(day) for day in days),
    )
    apart = _apart(case, dates)
    saved = 0 if apart is None else apart - burden_of(case, (trip,)).points
    return Trip(trip.hops, trip.auditions, nights, money, trip.school_days, saved)


def _apart(case: Case, dates: list[Date]) -> int | None:
    """Return the points of a trip for each; None for one, or where one cannot be a trip."""
    nodes = [case.node[one.offer.key] for one in dates]
    if len(nodes) < 2 or any(not (case.out[node] and case.back[node]) for node in nodes):
        return None
    return sum(case.out[node][0].cost + case.back[node][0].cost for node in nodes)


def _hop(case: Case, step: _Step) -> Hop:
    way, start, end = step.leg.way, step.start, step.end
    return Hop(
        start=start.audition.key if start else HOME,
        end=end.audition.key if end else HOME,
        leave=(start.clock if start else case.journeys.clock).shown(step.leg.leave),
        arrive=(end.clock if end else case.journeys.clock).shown(step.leg.arrive),
        minutes=way.minutes,
        mode=way.mode,
        money=way.money,
    )


def believed(case: Case, found: Found) -> Plan | None:
    """Return the plan of a path, checked against the problem; None without a path.

    Raises Unsound where the plan breaks the problem or costs something else than its path.
    """
    if found.path is None:
        return None
    plan = plan_of(case, found.path)
    check(case.problem, plan)
    if plan.burden.points * case.big + plan.dislike != found.cost:
        raise Unsound("the plan costs something else than its path")
    return plan
