"""How one gets from one stop to another, by each means: minutes, money."""

import math
from dataclasses import dataclass

from planner import travel
from planner.dates.clocks import Clock
from planner.dates.model import HOME, Audition, Mode, Offer, Own, Problem, Settings
from planner.travel import Place

HOUR = 60


@dataclass(frozen=True)
class Way:
    """minutes: door to door. money: for one way. points: money, and the hours in the weights."""

    minutes: int
    money: int
    mode: Mode
    points: int


@dataclass(frozen=True)
class Stop:
    """key: of the audition, or HOME. site: stops of one site are at one place. zone: never None.

    own: whether it is where the teacher's own figures for the key hold.
    """

    key: str
    place: Place
    site: str
    zone: str
    own: bool = True


def home_stop(problem: Problem) -> Stop:
    """Return home."""
    return Stop(HOME, problem.home, "", problem.home.zone)


def stop_of(problem: Problem, audition: Audition, offer: Offer) -> Stop:
    """Return where the audition is held on this date.

    A zone that is not known is taken to be the institution's, else that of home.
    """
    place = offer.place or audition.place
    zone = place.zone or audition.place.zone or problem.home.zone
    elsewhere = offer.place is not None and offer.place != audition.place
    return Stop(audition.key, place, "" if elsewhere else audition.site, zone, not elsewhere)


def half_up(number: int, parts: int) -> int:
    """Return number / parts rounded to a whole number, halves up."""
    return (2 * number + parts) // (2 * parts)


def hours_points(problem: Problem, minutes: int) -> int:
    """Return what minutes on the way weigh, in points."""
    return half_up(minutes * problem.weights.hour, HOUR)


class Ways:
    """The ways between the stops of a problem.

    unknown: pairs of stops between which neither place nor own figure tells how far it is.
    far: pairs too far to drive, where flying is not thought of.
    """

    def __init__(self, problem: Problem):
        self.problem = problem
        self.unknown: dict[frozenset[Stop], None] = {}
        self.far: dict[frozenset[Stop], None] = {}
        self._own = {frozenset((own.start, own.end)): own for own in problem.own}
        self._known: dict[tuple[Stop, Stop], tuple[Way, ...]] = {}

    def between(self, start: Stop, end: Stop) -> tuple[Way, ...]:
        """Return every way to go, at least one; the same in both directions."""
        if (start, end) not in self._known:
            self._known[start, end] = self._known[end, start] = self._between(start, end)
        return self._known[start, end]

    def _between(self, start: Stop, end: Stop) -> tuple[Way, ...]:
        own = self._own.get(frozenset((start.key, end.key))) if start.own and end.own else None
        if own and own.minutes is not None and own.money is not None:
            return (self._way(own.minutes, own.money, Mode.OWN),)
        found = self._estimated(start, end, own)
        if own is None:
            return found
        return tuple(dict.fromkeys(self._corrected(way, own) for way in found))

    def _corrected(self, way: Way, own: Own) -> Way:
        """Return `way` with the one figure that is the teacher's own."""
        minutes = way.minutes if own.minutes is None else own.minutes
        money = way.money if own.money is None else own.money
        return self._way(minutes, money, way.mode if own.minutes is None else Mode.OWN)

    def _estimated(self, start: Stop, end: Stop, own: Own | None) -> tuple[Way, ...]:
        if start == end or (start.site and start.site == end.site):
            return (self._way(0, 0, Mode.ROAD),)
        straight = straight_km(start.place, end.place, self.problem.settings)
        if straight is None:
            if own is None:
                self.unknown[frozenset((start, end))] = None
            return (self._way(0, 0, Mode.ROAD),)
        settings, found = self.problem.settings, []
        if straight <= settings.road.road_limit_km:
            found.append(self._way(*by_road(straight, settings), Mode.ROAD))
        if settings.fly and straight >= settings.fly_from_km:
            found.append(self._way(*by_air(straight, settings), Mode.AIR))
        if not found:
            self.far[frozenset((start, end))] = None
            found.append(self._way(*by_road(straight, settings), Mode.ROAD))
        return tuple(found)

    def _way(self, minutes: int, money: int, mode: Mode) -> Way:
        return Way(minutes, money, mode, money + hours_points(self.problem, minutes))


def straight_km(start: Place, end: Place, settings: Settings) -> float | None:
    """Return the great circle between two places, None where one has no point."""
    points = (start.point, end.point)
    # Empty cells of a spreadsheet become 0, 0, which is open sea.
    if any(point is None or (point.latitude, point.longitude) == (0, 0) for point in points):
        return None
    return travel.great_circle_km(*points, settings.road.earth_radius_km)


def by_road(straight: float, settings: Settings) -> tuple[int, int]:
    """Return minutes and money for so many kilometres of great circle by road."""
    km = round(straight * settings.road.road_factor, 1)
    money = half_up(round(km * 10) * settings.km_money, 1000)
    return travel.road_minutes(km, settings.road), money


def by_air(straight: float, settings: Settings) -> tuple[int, int]:
    """Return minutes, rounded up to a multiple of five, and money for a flight."""
    metres = round(straight * 1000)
    air = metres * HOUR / (settings.fly_km_per_hour * 1000)
    minutes = math.ceil(round((settings.fly_fixed_minutes + air) / 5, 6)) * 5
    return minutes, settings.fly_money + half_up(metres * settings.fly_money_per_1000_km, 10**6)


def crossing(start: Clock, end: Clock, minute: int) -> int:
    """Return by how many minutes the clocks of two places differ at that minute."""
    return abs(end.ahead(minute) - start.ahead(minute))
