"""The best dates found by trying everything, written from the rules and not from the engine.

The rules. A trip goes from home to home. Between two auditions one stays out (at most gap_days
apart) or goes home. No journey begins before leave_from by the clocks at its start, unless it
begins right after an audition; none begins at home after home_by. One for which the travel day
(leave_from to home_by) is too short goes on after a pause of the rest of 24 hours. To an audition
one leaves as late as the margin allows on the day itself; where that is too early, or the way is
long or crosses zones, one arrives the day before by home_by, and leaves as late as that allows.
From an audition one leaves at once, if one is there by home_by the same day, else the next morning
at leave_from. Nights: of each date between two auditions of a trip, and those of the journeys out
and back. Everything that counts is counted at the end, from the times away.
"""

import math
from datetime import UTC, date, datetime, time, timedelta
from fractions import Fraction
from functools import lru_cache
from itertools import permutations, product
from zoneinfo import ZoneInfo

from planner import travel

DAY = timedelta(days=1)
MINUTE = timedelta(minutes=1)


def at(day, clock, zone):
    """Return the moment in UTC at which the clocks of a zone show `clock`."""
    return datetime.combine(day, clock, ZoneInfo(zone)).astimezone(UTC)


def rounded(fraction):
    """Return the nearest whole number, halves up."""
    return math.floor(fraction + Fraction(1, 2))


def clock_minutes(clock):
    """Return the minutes since midnight."""
    return clock.hour * 60 + clock.minute


class Visit:
    """An offer as something to be at."""

    def __init__(self, problem, audition, offer):
        self.audition, self.offer, self.on = audition, offer, offer.on
        self.place = offer.place or audition.place
        self.zone = self.place.zone or audition.place.zone or problem.home.zone
        settings = problem.settings
        starts, ends = offer.starts, offer.ends
        if starts is None:
            starts = settings.day_starts if ends is None else min(ends, settings.day_starts)
        if ends is None and starts < settings.day_ends:
            ends = settings.day_ends
        elif ends is None:
            ends = (datetime.combine(date(2000, 1, 1), starts) + timedelta(hours=1)).time()
            ends = time(23, 59) if ends < starts else ends
        self.start = at(offer.on, starts, self.zone)
        self.end = max(at(offer.on, ends, self.zone), self.start)


class Brute:
    """One problem. `best()` gives (points, dislike), None if there is no plan."""

    def __init__(self, problem):
        self.problem, self.settings = problem, problem.settings
        self.whole = clock_minutes(self.settings.home_by) - clock_minutes(self.settings.leave_from)
        self.ways = lru_cache(None)(self._ways)

    # ---- ways

    def _ways(self, start, end):
        """Return the ways between two auditions (None: home) as (minutes, money)."""
        problem = self.problem
        keys = {visit.audition.key if visit else "" for visit in (start, end)}
        at_home = all(v is None or v.offer.place in (None, v.audition.place) for v in (start, end))
        own = next((o for o in problem.own if {o.start, o.end} == keys), None) if at_home else None
        places = [visit.place if visit else problem.home for visit in (start, end)]
        estimates = self._estimates(places)
        if at_home and start and end and start.audition.site == end.audition.site != "":
            estimates = [(0, 0)]
        if own:
            estimates = [
                (minutes if own.minutes is None else own.minutes,
                 money if own.money is None else own.money)
                for minutes, money in estimates
            ]  # fmt: skip
        return sorted(set(estimates))

    def _estimates(self, places):
        settings = self.settings
        if any(place.point is None for place in places):
            return [(0, 0)]
        straight = travel.great_circle_km(*(place.point for place in places))
        km = round(straight * settings.road.road_factor, 1)
        money = rounded(Fraction(round(km * 10), 10) * settings.km_money / 100)
        road = travel.road_minutes(km, settings.road), money
        metres = round(straight * 1000)
        air = settings.fly_fixed_minutes + Fraction(metres * 60, settings.fly_km_per_hour * 1000)
        price = rounded(Fraction(metres, 1_000_000) * settings.fly_money_per_1000_km)
        found = [road] if straight <= settings.road.road_limit_km else []
        if settings.fly and straight >= settings.fly_from_km:
            found.append((math.ceil(air / 5) * 5, settings.fly_money + price))
        return found or [road]

    # ---- journeys

    def lasts(self, minutes, days):
        """Return how long a way takes with the pauses of so many days, None if it takes more."""
        if minutes > days * self.whole:
            return None
        return timedelta(minutes=minutes + (days - 1) * (1440 - self.whole))

    def sleeps(self, minutes, zone, visit):
        """Return whether one has to be there the night before."""
        here, there = (visit.start.astimezone(ZoneInfo(z)).utcoffset() for z in (zone, visit.zone))
        hours = timedelta(hours=self.settings.zone_hours)
        return minutes > self.settings.long_minutes or abs(there - here) >= hours

    def out(self, visit, minutes):
        """Return when one leaves home, and the nights before the audition."""
        home, settings = self.problem.home.zone, self.settings
        by = visit.start - settings.margin_minutes * MINUTE
        leave = by - minutes * MINUTE
        same_day = at(by.astimezone(ZoneInfo(home)).date(), settings.leave_from, home)
        asleep = self.sleeps(minutes, home, visit)
        if not asleep and minutes <= self.whole and leave >= same_day:
            return leave, 0
        evening = min(by, at(visit.on - DAY, settings.home_by, visit.zone))
        for days in range(1, 99):
            lasts = self.lasts(minutes, days)
            if lasts is not None:
                day = visit.on - days * DAY
                leave = min(evening - lasts, at(day, settings.home_by, home))
                if leave >= at(day, settings.leave_from, home):
                    slept = (leave + lasts).astimezone(ZoneInfo(visit.zone)).date()
                    return leave, days - 1 + (visit.on - slept).days
        raise AssertionError("no end")

    def away(self, visit, minutes, zone):
        """Return when one arrives who goes on from an audition, and the nights till then."""
        settings = self.settings
        arrive = visit.end + minutes * MINUTE
        if minutes <= self.whole and arrive <= at(visit.on, settings.home_by, zone):
            return arrive, 0
        morning = at(visit.on + DAY, settings.leave_from, visit.zone)
        for days in range(1, 99):
            lasts = self.lasts(minutes, days)
            latest = at(visit.on + days * DAY, settings.home_by, zone)
            if lasts is not None and morning + lasts <= latest:
                return morning + lasts, days
        raise AssertionError("no end")

    def stays(self, visit, to, minutes):
        """Return whether one can go from one audition straight to another."""
        gap = (to.on - visit.on).days
        by = to.start - self.settings.margin_minutes * MINUTE
        asleep = self.sleeps(minutes, visit.zone, to)
        if not 0 <= gap <= self.settings.gap_days:
            return False
        if gap == 0:
            stated = None not in (visit.offer.starts, visit.offer.ends, to.offer.starts)
            there = visit.end + minutes * MINUTE
            return stated and not asleep and minutes <= self.whole and there <= by
        arrive, _ = self.away(visit, minutes, to.zone)
        day = arrive.astimezone(ZoneInfo(to.zone)).date()
        return arrive <= by and not (asleep and day >= to.on)

    # ---- plans

    def possible(self, audition, offer):
        """Return whether the offer can be had at all."""
        problem = self.problem
        pinned = {one.key for one in audition.offers} & set(problem.pinned)
        if audition.fixed and audition.fixed != offer.key:
            return False
        if pinned and pinned != {offer.key}:
            return False
        if offer.key in problem.banned or offer.on < problem.today:
            return False
        if not audition.fixed and offer.book_by and offer.book_by < problem.today:
            return False
        return not self.shut(offer.on)

    def shut(self, day):
        """Return whether a day is closed."""
        return any(closed.first <= day <= closed.last for closed in self.problem.closed)

    def dislike(self, visit):
        """Return how far the offer is from what is liked."""
        offers, offer = visit.audition.offers, visit.offer
        liked = [one.key for one in offers if one.key in self.problem.preferred]
        better = {one.rank for one in offers if one.rank is not None}
        if offer.rank is not None:
            better = {rank for rank in better if rank < offer.rank}
        ready = visit.audition.ready_on
        short = (ready - offer.on).days if ready and ready > offer.on else 0
        return (10 if liked and offer.key not in liked else 0) + 3 * len(better) + short

    def best(self, keys=None, where=lambda visits: True):
        """Return the best (points, dislike) of the auditions kept; keys: of some of them only.

        where: which sets of visits are looked at.
        """
        auditions = [
            a for a in self.problem.auditions if a.kept and (keys is None or a.key in keys)
        ]
        offers = [
            [Visit(self.problem, a, o) for o in a.offers if self.possible(a, o)] for a in auditions
        ]
        found = []
        for some in product(*offers):
            if where(some):
                visits = sorted(some, key=lambda visit: (visit.start, visit.end, visit.offer.key))
                points = [self.points(trips) for trips in self.plans(visits)]
                points = [one for one in points if one is not None]
                if points:
                    found.append((min(points), sum(map(self.dislike, visits))))
        return min(found, default=None)

    def plans(self, visits):
        """Give each way to travel to all of them: trips of (leave, back, nights, ways, visit).

        visit: the first of the trip.
        """
        if not visits:
            yield []
            return
        yield from self._begin([], visits)

    def _begin(self, done, visits):
        for way in self.ways(None, visits[0]):
            leave, nights = self.out(visits[0], way[0])
            ready = done[-1][1] + self.settings.rest_minutes * MINUTE if done else None
            if ready is None or leave >= ready:
                yield from self._go_on(done, leave, nights, [way], visits, visits[0])

    def _go_on(self, done, leave, nights, ways, visits, first):
        visit = visits[0]
        for way in self.ways(visit, None):
            back, more = self.away(visit, way[0], self.problem.home.zone)
            trips = [*done, (leave, back, nights + more, [*ways, way], first)]
            if len(visits) == 1:
                yield trips
            else:
                yield from self._begin(trips, visits[1:])
        if len(visits) > 1:
            to = visits[1]
            for way in self.ways(visit, to):
                if self.stays(visit, to, way[0]):
                    more = nights + (to.on - visit.on).days
                    yield from self._go_on(done, leave, more, [*ways, way], visits[1:], first)

    def points(self, trips):
        """Return what the trips ask in points, None if they touch a closed day."""
        problem, weights = self.problem, self.problem.weights
        home, total, school = ZoneInfo(problem.home.zone), 0, set()
        for leave, back, nights, ways, first in trips:
            day, last = (moment.astimezone(home).date() for moment in (leave, back))
            if day < problem.today and not first.audition.fixed:
                return None
            while day <= last:
                if self.shut(day):
                    return None
                if self.missed(day, leave, back):
                    school.add(day)
                day += DAY
            total += nights * (weights.night + self.settings.night_money)
            for minutes, money in ways:
                total += money + rounded(Fraction(minutes * weights.hour, 60))
        return total + len(school) * weights.school_day

    def missed(self, day, leave, back):
        """Return whether school is missed on a day by somebody away from leave to back."""
        problem, settings = self.problem, self.settings
        if day.weekday() not in problem.school_weekdays or day in problem.school_off:
            return False
        hours = [at(day, h, problem.home.zone) for h in (settings.school_from, settings.school_to)]
        return leave < hours[1] and back > hours[0]


def by_subsets(graph, required):
    """Return the least cost of a path by dynamic programming over sets of groups (Held-Karp)."""
    number = {node: index for index, group in enumerate(graph.groups) for node in group}
    bits = {group: 1 << place for place, group in enumerate(required)}
    labels = [{} for _ in graph.first]
    best = None
    for node, group in sorted(number.items()):
        bit = bits.get(group)
        if bit is None:
            continue
        if graph.first[node] is not None:
            labels[node][bit] = min(graph.first[node], labels[node].get(bit, graph.first[node]))
        for taken, spent in labels[node].items():
            if taken == (1 << len(required)) - 1 and graph.last[node] is not None:
                end = spent + graph.last[node]
                best = end if best is None else min(best, end)
            for to, cost in graph.arcs[node]:
                more = bits.get(number[to])
                if more and not taken & more:
                    mask = taken | more
                    new = spent + cost
                    labels[to][mask] = min(new, labels[to].get(mask, new))
    return best


def by_orders(graph, groups):
    """Return every path of one node of each group with its cost, by trying all of them."""
    found = {}
    for order in permutations(groups):
        for path in product(*(graph.groups[group] for group in order)):
            rising = list(path) == sorted(path)
            cost = graph.cost(path) if rising else None
            if cost is not None:
                found[path] = cost
    return sorted((cost, path) for path, cost in found.items())
