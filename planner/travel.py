"""How far, how long, and what time is it there?

The model, every number of which is in `Model` and can be changed: the great circle between two
points (haversine on a sphere of the Earth's mean radius), times a road factor, driven at speeds
that rise with distance, plus a fixed time to load and set off, plus breaks. The teacher's own
kilometres or minutes always win, and what cannot be known is said instead of guessed.
"""

import math
from dataclasses import dataclass, field
from datetime import UTC, datetime
from enum import StrEnum

from planner import zones

FARTHEST_KM = 50_000  # more than once round the Earth: a slip of the keyboard
LONGEST_MINUTES = 14 * 24 * 60

QUESTION = "How far, how long, and what time is it there?"


@dataclass(frozen=True)
class Point:
    """A point on the Earth, in degrees: latitude -90 to 90 north, longitude -180 to 180 east.

    Raises ValueError for anything else.
    """

    latitude: float
    longitude: float

    def __post_init__(self):
        # The comparisons also refuse nan.
        if not -90 <= self.latitude <= 90:
            raise ValueError(f"latitude {self.latitude} is not between -90 and 90 degrees")
        if not -180 <= self.longitude <= 180:
            raise ValueError(f"longitude {self.longitude} is not between -180 and 180 degrees")


@dataclass(frozen=True)
class Place:
    """Somewhere to be. None for what is not known; raises UnknownZone for a zone that is none."""

    name: str = ""
    point: Point | None = None
    zone: str | None = None

    def __post_init__(self):
        if self.zone is not None:
            zones.zone(self.zone)


@dataclass(frozen=True)
class Stretch:
    """The road up to `up_to_km` from the start (None: all the rest) is driven at `km_per_hour`."""

    up_to_km: float | None
    km_per_hour: float


@dataclass(frozen=True)
class Model:
    """The figures behind an estimate. Raises ValueError where they make no sense.

    earth_radius_km: mean radius of GRS 80, (2a + b) / 3; Moritz, Geodetic Reference System 1980
        (from memory).
    road_factor: road kilometres for one kilometre of great circle; common practice, no source.
    stretches: speeds, slow near home and faster the longer the drive; common practice, no source.
    set_off_minutes: loading the car, fuel, the last wrong turn; common practice, no source.
    break_every_minutes, break_minutes: 15 minutes after every two hours, as rule 91 of the
        (British) Highway Code recommends.
    road_limit_km: great circle beyond which nobody drives, so no hours are estimated; common
        practice, no source.
    round_up_to_minutes: an estimate is rounded up to a multiple of this; common practice, no
        source.
    """

    earth_radius_km: float = 6371.0088
    road_factor: float = 1.3
    stretches: tuple[Stretch, ...] = (Stretch(15, 35), Stretch(80, 70), Stretch(None, 95))
    set_off_minutes: int = 10
    break_every_minutes: int = 120
    break_minutes: int = 15
    road_limit_km: float = 1500
    round_up_to_minutes: int = 5

    def __post_init__(self):
        ends = [stretch.up_to_km for stretch in self.stretches]
        if not ends or ends[-1] is not None or None in ends[:-1] or ends[:-1] != sorted(ends[:-1]):
            raise ValueError("stretches: order them by up_to_km and let the last one have null")
        if any(stretch.km_per_hour <= 0 for stretch in self.stretches):
            raise ValueError("stretches: km_per_hour has to be above 0")
        if self.earth_radius_km <= 0 or self.road_factor < 1:
            raise ValueError("earth_radius_km has to be above 0 and road_factor at least 1")
        if self.break_every_minutes < 1 or self.round_up_to_minutes < 1:
            raise ValueError("break_every_minutes and round_up_to_minutes have to be at least 1")
        if min(self.set_off_minutes, self.break_minutes, self.road_limit_km) < 0:
            raise ValueError("set_off_minutes, break_minutes and road_limit_km cannot be below 0")


class Origin(StrEnum):
    """Where a figure comes from."""

    OWN = "own"
    ESTIMATED = "estimated"
    UNKNOWN = "unknown"


@dataclass(frozen=True)
class Problem:
    """One journey.

    arrives: the moment of arrival, aware; the difference of clocks needs it, nothing else does.
    own_km, own_minutes: the teacher's own figures, door to door; they win over the model.
    Raises ValueError for more than 50,000 km or 14 days, less than 0, or a moment without offset.
    """

    start: Place
    end: Place
    arrives: datetime | None = None
    own_km: float | None = None
    own_minutes: int | None = None
    model: Model = field(default_factory=Model)

    def __post_init__(self):
        if self.own_km is not None and not 0 <= self.own_km <= FARTHEST_KM:
            raise ValueError(f"own_km: give 0 to {FARTHEST_KM}")
        if self.own_minutes is not None and not 0 <= self.own_minutes <= LONGEST_MINUTES:
            raise ValueError(f"own_minutes: give 0 to {LONGEST_MINUTES}")
        if self.arrives is not None and self.arrives.utcoffset() is None:
            raise ValueError("arrives needs its offset from UTC")


@dataclass(frozen=True)
class Answer:
    """The journey.

    km, minutes: by road, door to door, breaks included; None if not known.
    km_from, minutes_from: whose figure it is.
    straight_km: the great circle, None without both points. too_far: to drive it.
    clocks_ahead_minutes: clocks at the end against those at the start on arrival; west is negative.
    zone_sentence: "EST, one hour ahead of home", or "".
    reasons: how the figures came about. unknown: what is missing, and whom to ask.
    """

    km: float | None
    minutes: int | None
    km_from: Origin
    minutes_from: Origin
    straight_km: float | None
    too_far: bool
    clocks_ahead_minutes: int | None
    zone_sentence: str
    reasons: tuple[str, ...]
    unknown: tuple[str, ...]


def answer(problem: Problem) -> Answer:
    """Return the journey of `problem`, each figure with where it comes from."""
    straight = _straight_km(problem)
    km, km_from = _km(problem, straight)
    minutes, minutes_from = _minutes(problem, km, straight)
    ahead, sentence = _clocks(problem)
    return Answer(
        km=km,
        minutes=minutes,
        km_from=km_from,
        minutes_from=minutes_from,
        straight_km=None if straight is None else round(straight, 1),
        too_far=_too_far(problem, straight),
        clocks_ahead_minutes=ahead,
        zone_sentence=sentence,
        reasons=_reasons(problem, straight, km, km_from, minutes, minutes_from),
        unknown=_unknown(problem, straight, minutes),
    )


def great_circle_km(start: Point, end: Point, radius_km: float = Model.earth_radius_km) -> float:
    """Return the great-circle distance by the haversine formula."""
    return radius_km * great_circle_radians(
        start.latitude, start.longitude, end.latitude, end.longitude
    )


def great_circle_radians(lat1: float, lon1: float, lat2: float, lon2: float) -> float:
    """Return the angle at the centre between two points given in degrees (any longitude)."""
    north1, north2 = math.radians(lat1), math.radians(lat2)
    half_north = (north2 - north1) / 2
    half_east = math.radians(lon2 - lon1) / 2
    h = math.sin(half_north) ** 2
    h += math.cos(north1) * math.cos(north2) * math.sin(half_east) ** 2
    # Rounding can lift h a hair above 1 for opposite points.
    return 2 * math.asin(math.sqrt(min(1.0, h)))


def driving_minutes(km: float, model: Model) -> float:
    """Return the minutes at the wheel for `km` of road, without breaks or setting off."""
    minutes, done = 0.0, 0.0
    for stretch in model.stretches:
        end = km if stretch.up_to_km is None else min(km, stretch.up_to_km)
        minutes += max(0.0, end - done) / stretch.km_per_hour * 60
        done = max(done, end)
    return minutes


def road_minutes(km: float, model: Model) -> int:
    """Return the minutes from door to door for `km` of road, rounded up as the model says."""
    wheel = driving_minutes(km, model)
    # No break at the very end of the drive.
    breaks = max(0, math.ceil(wheel / model.break_every_minutes) - 1)
    total = model.set_off_minutes + wheel + breaks * model.break_minutes
    step = model.round_up_to_minutes
    return math.ceil(round(total / step, 6)) * step


def duration(minutes: int) -> str:
    """Write minutes short: "2 h 25 min", "3 h", "40 min"."""
    hours, rest = divmod(minutes, 60)
    parts = [f"{hours} h"] if hours else []
    if rest or not hours:
        parts.append(f"{rest} min")
    return " ".join(parts)


def _straight_km(problem: Problem) -> float | None:
    ends = (problem.start.point, problem.end.point)
    if any(point is None or _nowhere(point) for point in ends):
        return None
    return great_circle_km(*ends, problem.model.earth_radius_km)


def _nowhere(point: Point) -> bool:
    # Empty cells of a spreadsheet become 0, 0, which is open sea.
    return point.latitude == 0 and point.longitude == 0


def _too_far(problem: Problem, straight: float | None) -> bool:
    return straight is not None and straight > problem.model.road_limit_km


def _km(problem: Problem, straight: float | None) -> tuple[float | None, Origin]:
    if problem.own_km is not None:
        return problem.own_km, Origin.OWN
    if straight is not None and not _too_far(problem, straight):
        return round(straight * problem.model.road_factor, 1), Origin.ESTIMATED
    return None, Origin.UNKNOWN


def _minutes(
    problem: Problem, km: float | None, straight: float | None
) -> tuple[int | None, Origin]:
    if problem.own_minutes is not None:
        return problem.own_minutes, Origin.OWN
    # Own kilometres of a journey too far to drive may well be flown.
    if km is None or _too_far(problem, straight):
        return None, Origin.UNKNOWN
    return road_minutes(km, problem.model), Origin.ESTIMATED


def _clocks(problem: Problem) -> tuple[int | None, str]:
    if None in (problem.arrives, problem.start.zone, problem.end.zone):
        return None, ""
    home, there = zones.zone(problem.start.zone), zones.zone(problem.end.zone)
    arrives = problem.arrives.astimezone(UTC)
    ahead = zones.ahead_of(arrives, there, home)
    return ahead, f"{zones.label(arrives, there)}, {zones.compared(ahead)}"


def _reasons(
    problem: Problem,
    straight: float | None,
    km: float | None,
    km_from: Origin,
    minutes: int | None,
    minutes_from: Origin,
) -> tuple[str, ...]:
    model, said = problem.model, []
    if km_from is Origin.OWN:
        said.append(f"{km:g} km is the teacher's own figure.")
    elif km_from is Origin.ESTIMATED:
        said.append(
            f"About {km:.0f} km by road: {straight:.0f} km in a straight line times "
            f"{model.road_factor:g}. Water and mountains in between are not seen."
        )
    if minutes_from is Origin.OWN:
        said.append(f"{duration(minutes)} is the teacher's own figure.")
    elif minutes_from is Origin.ESTIMATED:
        said.append(
            f"About {duration(minutes)} by car, breaks of {model.break_minutes} minutes after each "
            f"{zones.span(model.break_every_minutes)} included; no time is added for traffic or "
            "weather."
        )
    return tuple(said)


def _unknown(problem: Problem, straight: float | None, minutes: int | None) -> tuple[str, ...]:
    said = []
    if minutes is None and _too_far(problem, straight):
        said.append(
            f"{straight:.0f} km in a straight line is too far to drive: ask the family how they "
            "travel and write the minutes."
        )
    elif minutes is None:
        said.append(
            f"How long the journey takes is not known: {_missing_points(problem)}. Look it up, or "
            "write the minutes yourself."
        )
    for place, role in ((problem.start, "the start"), (problem.end, "the end")):
        if place.zone is None:
            said.append(f"The time zone of {place.name or role} is not known: look the town up.")
    return tuple(said)


def _missing_points(problem: Problem) -> str:
    said = []
    for place, role in ((problem.start, "the start"), (problem.end, "the end")):
        name = place.name or role
        if place.point is None:
            said.append(f"{name} has no coordinates")
        elif _nowhere(place.point):
            said.append(f"the coordinates of {name} are 0, 0, which is open sea")
    return " and ".join(said)


def example() -> Problem:
    """Return a worked problem: from Indiana to Ohio on a February morning."""
    return Problem(
        start=Place("Evansville", Point(37.97, -87.57), "America/Chicago"),
        end=Place("Cincinnati", Point(39.10, -84.51), "America/New_York"),
        arrives=datetime(2027, 2, 6, 15, 0, tzinfo=UTC),
    )
