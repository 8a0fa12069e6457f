"""Whether a plan is what the problem asks, read row by row from the problem itself.

Nothing here knows of the graph or the legs that made the plan: only the moments and figures as
they stand in the trips. A plan is believed after this, and not before.
"""

from datetime import date, datetime, timedelta

from planner import zones
from planner.dates.case import dislike, over, refused, short_days, times
from planner.dates.model import HOME, Audition, Burden, Hop, Offer, Plan, Problem, Trip
from planner.dates.ways import Stop, Ways, home_stop, hours_points, stop_of
from planner.zones import minutes_between

DAY = timedelta(days=1)


class Unsound(ArithmeticError):
    """A plan does not stand the check. The message says where."""


def check(problem: Problem, plan: Plan) -> None:
    """Raise Unsound if the plan breaks a rule of the problem or a figure in it is wrong."""
    _Check(problem, plan).run()


def _require(true: bool, otherwise: str) -> None:
    if not true:
        raise Unsound(otherwise)


class _Check:
    def __init__(self, problem: Problem, plan: Plan):
        self.problem, self.plan, self.settings = problem, plan, problem.settings
        self.ways, self.home = Ways(problem), home_stop(problem)
        self.home_zone = zones.zone(self.home.zone)
        kept = [one for one in problem.auditions if one.kept and not over(problem, one)]
        self.kept = {audition.key: audition for audition in kept}
        self.taken: dict[str, tuple[Audition, Offer, Stop]] = {}

    def run(self) -> None:
        """Check everything."""
        self._choices()
        for trip in self.plan.trips:
            self._trip(trip)
        self._apart()
        self._visits()
        self._burden()

    # ---- the choices

    def _choices(self) -> None:
        keys = [choice.audition for choice in self.plan.choices]
        _require(sorted(keys) == sorted(self.kept), "not one date for each audition")
        disliked = 0
        for choice in self.plan.choices:
            audition = self.kept[choice.audition]
            offer = next((one for one in audition.offers if one.key == choice.offer), None)
            _require(offer is not None and offer.on == choice.on, f"{choice.offer} is not offered")
            _require(
                refused(self.problem, audition, offer) is None, f"{offer.key} is not to be had"
            )
            _require(choice.short_days == short_days(audition, offer), f"{offer.key}: short days")
            stop = stop_of(self.problem, audition, offer)
            self.taken[audition.key] = audition, offer, stop
            disliked += dislike(self.problem, audition, offer)
        _require(disliked == self.plan.dislike, "the dislike is wrong")

    def _stop(self, key: str) -> Stop:
        return self.home if key == HOME else self.taken[key][2]

    def _heard(self, key: str) -> tuple[datetime, datetime]:
        """From when to when the audition is."""
        _, offer, stop = self.taken[key]
        zone = zones.zone(stop.zone)
        starts, ends = times(offer, self.problem)
        start = zones.moment(offer.on, starts, zone).at
        end = zones.moment(offer.on, ends, zone).at
        return start, max(start, end, key=datetime.timestamp)

    def _at(self, day: date, clock, stop: Stop) -> datetime:
        return zones.moment(day, clock, zones.zone(stop.zone)).at

    # ---- one trip

    def _trip(self, trip: Trip) -> None:
        stops = [HOME, *trip.auditions, HOME]
        pairs = list(zip(stops, stops[1:], strict=False))
        _require(len(stops) > 2, "a trip without an audition")
        _require([(hop.start, hop.end) for hop in trip.hops] == pairs, "the hops do not join up")
        nights = sum(self._hop(hop) for hop in trip.hops)
        _require(nights == trip.nights, f"{trip.auditions}: the nights are wrong")
        money = sum(hop.money for hop in trip.hops) + nights * self.settings.night_money
        _require(money == trip.money, f"{trip.auditions}: the money is wrong")
        days = self._days(trip)
        closed = [c for c in self.problem.closed for day in days if c.first <= day <= c.last]
        _require(not closed, f"{trip.auditions}: on closed days")
        missed = tuple(day for day in days if self._missed(trip, day))
        _require(missed == trip.school_days, f"{trip.auditions}: the school days are wrong")

    def _hop(self, hop: Hop) -> int:
        """Check one hop and return the nights that come with it."""
        start, end = self._stop(hop.start), self._stop(hop.end)
        said = {(way.minutes, way.money, way.mode) for way in self.ways.between(start, end)}
        where = f"from {hop.start or 'home'} to {hop.end or 'home'}"
        _require((hop.minutes, hop.money, hop.mode) in said, f"{where}: no such way")
        whole = _wall(self.settings.home_by) - _wall(self.settings.leave_from)
        pauses, odd = divmod(minutes_between(hop.leave, hop.arrive) - hop.minutes, 1440 - whole)
        _require(odd == 0 and pauses >= 0, f"{where}: leave, arrive and minutes differ")
        _require(hop.minutes <= (pauses + 1) * whole, f"{where}: too long for its days")
        self._leaving(hop, where)
        if hop.end == HOME:
            latest = self._at(hop.leave.date() + pauses * DAY, self.settings.home_by, self.home)
            _require(minutes_between(hop.arrive, latest) >= 0, f"{where}: home too late")
            return pauses + (hop.leave.date() - self.taken[hop.start][1].on).days
        return self._arriving(hop, where, pauses)

    def _leaving(self, hop: Hop, where: str) -> None:
        after = hop.start != HOME and hop.leave == self._heard(hop.start)[1]
        early = hop.leave.time() < self.settings.leave_from
        _require(after or not early, f"{where}: leaves too early in the day")
        if hop.start != HOME:
            gone = minutes_between(self._heard(hop.start)[1], hop.leave)
            _require(gone >= 0, f"{where}: leaves before the audition is over")
        elif self.taken[hop.end][0].fixed is None:
            _require(hop.leave.date() >= self.problem.today, f"{where}: would have left already")

    def _arriving(self, hop: Hop, where: str, pauses: int) -> int:
        """Check that one is there in time and rested, and return the nights before."""
        _, offer, stop = self.taken[hop.end]
        begins = self._heard(hop.end)[0]
        margin = minutes_between(hop.arrive, begins)
        _require(margin >= self.settings.margin_minutes, f"{where}: no margin")
        slept = (offer.on - hop.arrive.date()).days
        crossed = zones.ahead_of(begins, zones.zone(stop.zone), hop.leave.tzinfo)
        far = hop.minutes > self.settings.long_minutes
        if far or abs(crossed) >= self.settings.zone_hours * 60:
            _require(slept > 0, f"{where}: no night before the audition")
        if hop.start == HOME:
            return pauses + slept
        gap = (offer.on - self.taken[hop.start][1].on).days
        _require(0 <= gap <= self.settings.gap_days, f"{where}: out for too long")
        if gap == 0:
            stated = (self.taken[hop.start][1].ends, self.taken[hop.start][1].starts, offer.starts)
            _require(None not in stated, f"{where}: on one day without stated times")
        return gap

    def _days(self, trip: Trip) -> list[date]:
        leave = trip.hops[0].leave.astimezone(self.home_zone).date()
        back = trip.hops[-1].arrive.astimezone(self.home_zone).date()
        return [leave + number * DAY for number in range((back - leave).days + 1)]

    def _missed(self, trip: Trip, day: date) -> bool:
        if day.weekday() not in self.problem.school_weekdays or day in self.problem.school_off:
            return False
        begins = self._at(day, self.settings.school_from, self.home)
        ends = self._at(day, self.settings.school_to, self.home)
        away = trip.hops[0].leave, trip.hops[-1].arrive
        return minutes_between(begins, away[1]) > 0 and minutes_between(away[0], ends) > 0

    # ---- the trips together

    def _apart(self) -> None:
        for trip, later in zip(self.plan.trips, self.plan.trips[1:], strict=False):
            rest = minutes_between(trip.hops[-1].arrive, later.hops[0].leave)
            _require(rest >= self.settings.rest_minutes, "no rest at home between two trips")

    def _visits(self) -> None:
        there = [key for trip in self.plan.trips for key in trip.auditions]
        _require(there == [choice.audition for choice in self.plan.choices], "not every one is met")

    def _burden(self) -> None:
        trips, weights = self.plan.trips, self.problem.weights
        hops = [hop for trip in trips for hop in trip.hops]
        nights, money = sum(trip.nights for trip in trips), sum(trip.money for trip in trips)
        school = len({day for trip in trips for day in trip.school_days})
        points = money + nights * weights.night + school * weights.school_day
        points += sum(hours_points(self.problem, hop.minutes) for hop in hops)
        minutes = sum(hop.minutes for hop in hops)
        _require(
            self.plan.burden == Burden(minutes, money, nights, school, points),
            "the burden is wrong",
        )


def _wall(clock) -> int:
    return clock.hour * 60 + clock.minute
