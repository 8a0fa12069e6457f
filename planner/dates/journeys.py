"""Legs: out from home, back home, and on to the next audition without going home.

All moments are minutes (`clocks`). A day of travel begins at `leave_from` by the clocks at the
start and ends at `home_by` by the clocks at the end; a way that takes more than one goes on after
a pause through the night. Within an arc, from the end of one audition to the end of the next, a
school day counts if it begins in that time: so each is counted once, and costs add up.
"""

from collections.abc import Iterator
from dataclasses import dataclass

from planner.dates.clocks import DAY, Clock, of_day
from planner.dates.model import Audition, Offer, Problem
from planner.dates.ways import Stop, Way, Ways, crossing, home_stop

NO_DAYS: frozenset[int] = frozenset()


@dataclass(frozen=True)
class Date:
    """A date on offer, in minutes. on: its day, an ordinal, by the clocks at the place."""

    audition: Audition
    offer: Offer
    stop: Stop
    clock: Clock
    on: int
    start: int
    end: int
    fixed: bool = False


@dataclass(frozen=True)
class Leg:
    """One way, with its nights and the school days that it costs.

    first_day, last_day: away on all of these, by the clocks at
    home. cost: in points.
    """

    way: Way
    leave: int
    arrive: int
    nights: int
    days: frozenset[int]
    first_day: int
    last_day: int
    cost: int


class Journeys:
    """The legs of one problem."""

    def __init__(self, problem: Problem):
        self.problem, self.ways = problem, Ways(problem)
        self.home = home_stop(problem)
        self.clock = Clock(self.home.zone)
        settings = self.settings = problem.settings
        self.travel_day = of_day(settings.home_by) - of_day(settings.leave_from)
        self.pause = DAY - self.travel_day
        self.night_points = settings.night_money + problem.weights.night
        self.closed = frozenset(
            day
            for closed in problem.closed
            for day in range(closed.first.toordinal(), closed.last.toordinal() + 1)
        )
        self.today = problem.today.toordinal()
        self._off = frozenset(day.toordinal() for day in problem.school_off)
        self._school: dict[int, tuple[int, int] | None] = {}

    # ---- the three kinds of legs

    def out(self, date: Date) -> list[Leg]:
        """Return the legs from home to the audition and through it, cheapest first."""
        found = []
        for way in self.ways.between(self.home, date.stop):
            leave, arrive, nights = self._out(date, way)
            days = self.missed(leave, date.end, None, date.end)
            ends = self.clock.day(leave), self.clock.day(date.end)
            begun = ends[0] < self.today and not date.fixed
            if not begun and not self.shut(*ends):
                found.append(self._leg(way, leave, arrive, nights, days, ends))
        return sorted(found, key=_order)

    def back(self, date: Date) -> list[Leg]:
        """Return the legs home from the audition, cheapest first."""
        found = []
        for way in self.ways.between(date.stop, self.home):
            leave, arrive, nights = self._back(date, way)
            days = self.missed(date.end, arrive, date.end, None)
            ends = self.clock.day(date.end), self.clock.day(arrive)
            if not self.shut(*ends):
                found.append(self._leg(way, leave, arrive, nights, days, ends))
        return sorted(found, key=_order)

    def on(self, date: Date, to: Date) -> list[Leg]:
        """Return the legs straight from one audition to and through another, cheapest first."""
        gap = to.on - date.on
        if not 0 <= gap <= self.settings.gap_days or (gap == 0 and not both_stated(date, to)):
            return []
        ends = self.clock.day(date.end), self.clock.day(to.end)
        if date.end > to.start or self.shut(*ends):
            return []
        days = self.missed(date.end, to.end, date.end, to.end)
        found = []
        for way in self.ways.between(date.stop, to.stop):
            times = self._on(date, to, way)
            if times:
                found.append(self._leg(way, *times, gap, days, ends))
        return sorted(found, key=_order)

    def _leg(self, way, leave, arrive, nights, days, ends) -> Leg:
        cost = way.points + nights * self.night_points
        cost += len(days) * self.problem.weights.school_day
        return Leg(way, leave, arrive, nights, days, *ends, cost)

    # ---- when

    def _out(self, date: Date, way: Way) -> tuple[int, int, int]:
        """Leave as late as one may: leave, arrive, nights."""
        by = date.start - self.settings.margin_minutes
        if not self.rests(way, self.clock, date) and way.minutes <= self.travel_day:
            leave = by - way.minutes
            if leave >= self.clock.at(self.clock.day(by), self.settings.leave_from):
                return leave, by, 0
        by = min(by, date.clock.at(date.on - 1, self.settings.home_by))
        days = 1
        while True:
            early = self.clock.at(date.on - days, self.settings.leave_from)
            late = self.clock.at(date.on - days, self.settings.home_by)
            leave = min(by - self.elapsed(way, days), late)
            if way.minutes <= days * self.travel_day and leave >= early:
                arrive = leave + self.elapsed(way, days)
                return leave, arrive, days - 1 + date.on - date.clock.day(arrive)
            days += 1

    def _back(self, date: Date, way: Way) -> tuple[int, int, int]:
        if self._same_day(date, way, self.clock):
            return date.end, date.end + way.minutes, 0
        leave, arrive, days = self._next_day(date, way, self.clock)
        return leave, arrive, days

    def _on(self, date: Date, to: Date, way: Way) -> tuple[int, int] | None:
        """Leave as early as one may: leave, arrive; None if that is too late."""
        by, rests = to.start - self.settings.margin_minutes, self.rests(way, date.clock, to)
        if to.on == date.on:
            fits = not rests and way.minutes <= self.travel_day and date.end + way.minutes <= by
            return (date.end, date.end + way.minutes) if fits else None
        if self._same_day(date, way, to.clock):
            leave, arrive = date.end, date.end + way.minutes
        else:
            leave, arrive, _ = self._next_day(date, way, to.clock)
        if arrive > by or (rests and to.clock.day(arrive) >= to.on):
            return None
        return leave, arrive

    def _same_day(self, date: Date, way: Way, end: Clock) -> bool:
        latest = end.at(date.on, self.settings.home_by)
        return way.minutes <= self.travel_day and date.end + way.minutes <= latest

    def _next_day(self, date: Date, way: Way, end: Clock) -> tuple[int, int, int]:
        """Leave the next morning: leave, arrive, days on the way."""
        leave, days = date.clock.at(date.on + 1, self.settings.leave_from), 1
        while True:
            arrive = leave + self.elapsed(way, days)
            latest = end.at(date.on + days, self.settings.home_by)
            if way.minutes <= days * self.travel_day and arrive <= latest:
                return leave, arrive, days
            days += 1

    def elapsed(self, way: Way, days: int) -> int:
        """Return the minutes from leaving to arriving if the way takes so many days."""
        return way.minutes + (days - 1) * self.pause

    def rests(self, way: Way, start: Clock, to: Date) -> bool:
        """Return whether a night has to be slept at the place before the audition."""
        zones = crossing(start, to.clock, to.start)
        settings = self.settings
        return way.minutes > settings.long_minutes or zones >= settings.zone_hours * 60

    # ---- days

    def shut(self, first: int, last: int) -> bool:
        """Return whether one of the days is closed."""
        return not self.closed.isdisjoint(range(first, last + 1)) if self.closed else False

    def missed(self, leave: int, back: int, since: int | None, until: int | None) -> frozenset[int]:
        """Return the school days touched from `leave` to `back` that begin in the time given.

        since, until: minutes; a day begins in [since, until).
        """
        days = range(self.clock.day(leave), self.clock.day(back) + 1)
        return frozenset(day for day in days if self._touched(day, leave, back, since, until))

    def _touched(self, day, leave, back, since, until) -> bool:
        hours = self.school(day)
        if hours is None or not (hours[0] < back and leave < hours[1]):
            return False
        return (since is None or hours[0] >= since) and (until is None or hours[0] < until)

    def school(self, day: int) -> tuple[int, int] | None:
        """Return when school begins and ends on a day, None if there is none."""
        if day not in self._school:
            none = day in self._off or (day + 6) % 7 not in self.problem.school_weekdays
            settings = self.settings
            hours = settings.school_from, settings.school_to
            self._school[day] = None if none else tuple(self.clock.at(day, at) for at in hours)
        return self._school[day]


def joined(journeys: Journeys, date: Date, to: Date, back: list[Leg], out: list[Leg]) -> Iterator:
    """Give every way from the end of one audition to the end of another: (cost, legs).

    back, out: the legs of the two dates.
    """
    for leg in journeys.on(date, to):
        yield leg.cost, (leg,)
    rest = journeys.settings.rest_minutes
    for one in back:
        for other in out:
            if other.leave >= one.arrive + rest:
                yield one.cost + other.cost - _twice(journeys, date, one, other), (one, other)


def _twice(journeys: Journeys, date: Date, back: Leg, out: Leg) -> int:
    """Return the points of school days that would be counted twice or with an earlier date."""
    if out.first_day > back.last_day:
        return 0
    count = sum(day in back.days or journeys.school(day)[0] < date.end for day in out.days)
    return count * journeys.problem.weights.school_day


def both_stated(date: Date, to: Date) -> bool:
    """Return whether it is stated when the first audition ends and when the other begins."""
    return None not in (date.offer.starts, date.offer.ends, to.offer.starts)


def _order(leg: Leg) -> tuple:
    return leg.cost, leg.way.minutes, leg.way.mode
