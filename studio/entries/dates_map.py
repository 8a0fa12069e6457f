"""A map of a student's auditions without tiles: home, the places, and the trips between them.

Equidistant cylindrical (equirectangular) with the middle latitude as standard parallel: distances
are true north and south, and east and west near the middle. Snyder, Map Projections: a Working
Manual, US Geological Survey Professional Paper 1395 (1987), chapter 12 (from memory):
x = R (lon - lon0) cos lat1, y = R lat. Python decides every coordinate; nothing here queries.
"""

import math
from dataclasses import dataclass
from functools import cached_property
from itertools import pairwise
from textwrap import wrap

from planner.dates.model import HOME
from planner.travel import Model, Point, great_circle_km

RADIUS = Model.earth_radius_km
MARGIN = 46.0  # above and below
PARTS = (0.55, 0.65, 0.45, 0.75, 0.35, 0.85)  # of a leg, where a badge may stand
ASIDE = 0.16  # of the width, left and right: for the words beside the outermost places
FOOT = 30.0  # for the scale
TYPE, SMALL, LINE = 15.0, 13.0, 17.0
DOT = 5.0
BADGE = 10.0
LEAST_KM = 40.0  # what the longer side shows at least: two places in one town stand apart
SHORTEST = "…"
REACHES = (10.0, 26.0, 44.0, 64.0, 90.0, 120.0)  # how far a label may stand from its place
WIDE, NARROW = (760.0, 460.0, 16), (358.0, 430.0, 13)  # units, and letters in a line


@dataclass(frozen=True)
class Stop:
    """A place: its names one below the other, whether the plan goes there, and whether home."""

    names: tuple[str, ...]
    latitude: float
    longitude: float
    keys: tuple[str, ...]
    planned: bool = False

    @property
    def is_home(self):
        """Whether it is where the student lives."""
        return HOME in self.keys


@dataclass(frozen=True)
class Box:
    """A rectangle that something takes up."""

    left: float
    top: float
    right: float
    bottom: float

    def meets(self, other):
        """Whether the two share room."""
        return (
            self.left < other.right
            and other.left < self.right
            and self.top < other.bottom
            and other.top < self.bottom
        )

    def away(self, x, y):
        """How far a point is from it; 0 inside."""
        sideways = max(self.left - x, 0, x - self.right)
        return math.hypot(sideways, max(self.top - y, 0, y - self.bottom))

    def crosses(self, x1, y1, x2, y2):
        """Whether a straight line from one point to another goes through it (Liang and Barsky)."""
        first, last = 0.0, 1.0
        for start, step, low, high in (
            (x1, x2 - x1, self.left, self.right),
            (y1, y2 - y1, self.top, self.bottom),
        ):
            if step == 0:
                if not low < start < high:
                    return False
                continue
            ends = sorted(((low - start) / step, (high - start) / step))
            first, last = max(first, ends[0]), min(last, ends[1])
        return first < last


@dataclass(frozen=True)
class Label:
    """Words beside a place. lines: (baseline, text) of each. end: they end at x, else begin there.

    lead: a line to them, None where they stand beside the place. reach: how far away they are.
    """

    lines: tuple[tuple[float, str], ...]
    x: float
    end: bool
    box: Box
    lead: tuple[float, float, float, float] | None
    reach: float


@dataclass(frozen=True)
class Mark:
    """A place as it is drawn; label: None where there was no room for one."""

    stop: Stop
    x: float
    y: float
    label: Label | None

    @property
    def left(self):
        """The left edge of the square of home."""
        return round(self.x - DOT, 1)

    @property
    def top(self):
        """The top of the square of home."""
        return round(self.y - DOT, 1)


@dataclass(frozen=True)
class Line:
    """A trip as it is drawn: from home over its places and back, its number on a badge at x, y."""

    number: int
    places: tuple[tuple[float, float], ...]
    x: float
    y: float
    pattern: int

    @property
    def path(self):
        """Its places joined."""
        return "".join(f"{'L' if n else 'M'}{x} {y}" for n, (x, y) in enumerate(self.places))

    @property
    def legs(self):
        """Each of its straight lines."""
        return [(*start, *end) for start, end in pairwise(self.places)]


@dataclass(frozen=True)
class Scale:
    """The scale bar."""

    x: float
    y: float
    width: float
    text: str

    @property
    def path(self):
        """The bar with its two ends."""
        return f"M{self.x} {self.y - 4}v8m0 -4h{self.width}m0 -4v8"


class Map:
    """The drawing of Stops and trips (number, keys from home to home). size: WIDE or NARROW."""

    def __init__(self, stops, trips, size):
        self.stops, self.trips = stops, trips
        self.width, self.height, self.longest = size

    # where things are

    @cached_property
    def _middle(self):
        home = next((stop for stop in self.stops if stop.is_home), self.stops[0])
        east = [_near(stop.longitude, home.longitude) for stop in self.stops]
        north = [stop.latitude for stop in self.stops]
        return home.longitude, (min(north) + max(north)) / 2, (min(east) + max(east)) / 2

    def _km(self, stop):
        """Return kilometres east and south of the middle."""
        home, north, east = self._middle
        x = math.radians(_near(stop.longitude, home) - east) * math.cos(math.radians(north))
        return RADIUS * x, -RADIUS * math.radians(stop.latitude - north)

    @cached_property
    def per_km(self):
        """Units of the drawing for a kilometre."""
        places = [self._km(stop) for stop in self.stops]
        rooms = (self.width * (1 - 2 * ASIDE), self.height - 2 * MARGIN - FOOT)
        wide = max(abs(x) for x, _ in places) * 2
        high = max(abs(y) for _, y in places) * 2
        return min(rooms[0] / max(wide, LEAST_KM), rooms[1] / max(high, LEAST_KM))

    @cached_property
    def at(self):
        """(x, y) by key of every stop."""
        found = {}
        for stop in self.stops:
            x, y = self._km(stop)
            place = (
                round(self.width / 2 + x * self.per_km, 1),
                round((self.height - FOOT) / 2 + y * self.per_km, 1),
            )
            found |= dict.fromkeys(stop.keys, place)
        return found

    # what is drawn

    @cached_property
    def lines(self):
        """A Line for each trip whose places are all known, no badge on another or on a place."""
        found = []
        for number, keys in self.trips:
            if len(keys) > 1 and all(key in self.at for key in keys):
                places = tuple(self.at[key] for key in keys)
                taken = [*self.at.values(), *((line.x, line.y) for line in found)]
                found.append(Line(number, places, *_badge(places, taken), (number - 1) % 4))
        return found

    @cached_property
    def marks(self):
        """A Mark for each stop, labels of the plan's first: they find room before others."""
        taken = [_around(x, y, DOT) for x, y in self.at.values()]
        taken += [_around(line.x, line.y, BADGE) for line in self.lines]
        taken.append(Box(self.scale.x, self.scale.y - 22, self.scale.x + 190, self.height))
        order = sorted(self.stops, key=lambda stop: (not stop.is_home, not stop.planned))
        found = {}
        for stop in order:
            x, y = self.at[stop.keys[0]]
            label = self._label(stop, x, y, taken)
            if label:
                taken.append(label.box)
            found[stop] = Mark(stop, x, y, label)
        return [found[stop] for stop in self.stops]

    def _label(self, stop, x, y, taken):
        names = tuple(line for name in stop.names for line in _lines(name, self.longest))
        wide = max(room(name) for name in names)
        places = [
            _placed(names, wide, x, y, reach, turn, end) for reach in REACHES for turn, end in SIDES
        ]
        free = [
            label
            for label in places
            if self._holds(label.box) and not any(label.box.meets(box) for box in taken)
        ]
        return min(free, key=lambda label: self._cost(label, (x, y)), default=None)

    def _cost(self, label, own):
        """Near is better than far; a word on a line is worse, or nearer to another place."""
        crossed = sum(label.box.crosses(*leg) for line in self.lines for leg in line.legs)
        reach = label.reach if label.lead else 0
        others = {place for place in self.at.values() if place != own}
        astray = any(label.box.away(*place) <= max(reach, REACHES[0]) for place in others)
        return 60 * crossed + reach + 70 * astray

    def _holds(self, box):
        return (
            box.left >= 2
            and box.right <= self.width - 2
            and box.top >= 2
            and (box.bottom <= self.height - FOOT)
        )

    @property
    def words(self):
        """What the map shows, for those who do not see it: how far each place is, and which way.

        Without a home there is nothing to tell from.
        """
        home = next((stop for stop in self.stops if stop.is_home), None)
        others = [stop for stop in self.stops if home and stop is not home]
        return [f"{' '.join(stop.names)}: {self._way(home, stop)}" for stop in others]

    def _way(self, home, stop):
        ends = [Point(each.latitude, each.longitude) for each in (home, stop)]
        km = great_circle_km(*ends)
        (x1, y1), (x2, y2) = self._km(home), self._km(stop)
        turn = math.degrees(math.atan2(x2 - x1, y1 - y2))
        return f"about {km:.0f} km {COMPASS[round(turn / 45) % 8]} of home"

    @property
    def unlabelled(self):
        """The names of places whose label found no room."""
        return [name for mark in self.marks if not mark.label for name in mark.stop.names]

    @cached_property
    def scale(self):
        """A bar of a round number of kilometres, a quarter of the width at most."""
        km = _round(self.width / 4 / self.per_km)
        return Scale(12.0, self.height - 10, round(km * self.per_km, 1), f"{km:g} km")


COMPASS = (
    "north",
    "north-east",
    "east",
    "south-east",
    "south",
    "south-west",
    "west",
    "north-west",
)
# (quarter turns from the right, clockwise, as an angle; whether the words end at the place)
SIDES = (
    (0.0, False),
    (180.0, True),
    (-50.0, False),
    (50.0, False),
    (-130.0, True),
    (130.0, True),
    (-90.0, False),
    (90.0, False),
    (-90.0, True),
    (90.0, True),
)


def _badge(places, taken):
    """Return where on a trip its number stands: near the middle of its first leg if it is free."""
    choices = [
        (round(x1 + (x2 - x1) * part, 1), round(y1 + (y2 - y1) * part, 1))
        for (x1, y1), (x2, y2) in pairwise(places[:-1] if len(places) > 2 else places)
        for part in PARTS
    ]

    def room(place):
        return min(math.hypot(place[0] - x, place[1] - y) for x, y in taken)

    free = (place for place in choices if room(place) >= 2 * BADGE + 2)
    return next(free, None) or max(choices, key=room)


def _placed(names, wide, x, y, reach, turn, end):
    """Return the Label of these lines at such a distance and angle from x, y."""
    away_x = x + math.cos(math.radians(turn)) * reach
    away_y = y + math.sin(math.radians(turn)) * reach
    high = LINE * len(names)
    left = away_x - wide if end else away_x
    up = abs(turn) > 40 and abs(turn) < 140
    top = away_y - high / 2 if not up else (away_y - high if turn < 0 else away_y)
    lines = tuple((round(top + LINE * n + 13, 1), name) for n, name in enumerate(names))
    lead = None
    if reach > REACHES[0]:
        lead = (x, y, round(away_x, 1), round(away_y, 1))
    box = Box(left - 3, top - 1, left + wide + 3, top + high + 1)
    return Label(lines, round(away_x, 1), end, box, lead, reach)


def _around(x, y, radius):
    return Box(x - radius, y - radius, x + radius, y + radius)


def _near(longitude, home):
    """Return the longitude as the way round the Earth that is nearer to home."""
    return home + (longitude - home + 180) % 360 - 180


def _round(km):
    """Return the largest 1, 2 or 5 with noughts that is not above `km`."""
    power = 10 ** math.floor(math.log10(km))
    return next(step * power for step in (5, 2, 1) if step * power <= km * (1 + 1e-9))


def _lines(name, longest):
    """Return a name in two lines of so many letters at most, cut where it is longer."""
    return wrap(name, longest, max_lines=2, placeholder=SHORTEST)


def room(text):
    """Return how wide `text` is at most, in the site's sans: wide letters count for more."""
    return sum(_advance(sign) for sign in text) * TYPE


def _advance(sign):
    if ord(sign) >= 0x2E80:
        return 1.0
    if sign in "MWmw@%…":
        return 0.9
    if sign.isupper():
        return 0.67
    return 0.33 if sign in "ijl.,:;' tfI|" else 0.56
