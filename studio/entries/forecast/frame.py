"""Where things stand in a picture: its box, its days and its points."""

from collections.abc import Sequence
from dataclasses import dataclass
from datetime import date, timedelta

from planner.readiness import PieceReadiness

BACK_MOST = timedelta(weeks=26)
BACK_LEAST = timedelta(days=10)
AHEAD_LEAST = timedelta(days=14)
OVERRUN = timedelta(days=42)  # how far past the audition a late forecast is followed
GRID = 25  # points between figures at the side
# In heights of the type: a letter's width at most, what stands left of, above and below the points.
LETTER = 0.56
GUTTER = 6.5 * LETTER
ABOVE = 1.7
GAP, STRIP = 1.2, 4.0  # where the strip of tempos begins and ends


@dataclass(frozen=True)
class Size:
    """A box: its width, the height of the points alone, and of the type, in the same units."""

    width: float
    plot: float
    text: float


# As wide as a phone shows it; a page or a sheet shows it larger or smaller as a whole.
USUAL = Size(340, 108, 12.5)


@dataclass(frozen=True)
class Heard:
    """What is known of one piece besides its points.

    lessons, own: clean tempos as (day, tempo), of lessons and of the student alone. target: of
    them. programme: days on which the whole programme was heard in one go.
    """

    lessons: tuple[tuple[date, float], ...] = ()
    own: tuple[tuple[date, float], ...] = ()
    target: float | None = None
    programme: frozenset[date] = frozenset()


@dataclass(frozen=True)
class Strip:
    """Tempos as (day, tempo), their target, and what stands at the bottom and top of them."""

    lessons: tuple[tuple[date, float], ...]
    own: tuple[tuple[date, float], ...]
    target: float
    low: float
    high: float


@dataclass(frozen=True)
class Frame:
    """The box while it is drawn; what it gives is in units of the drawing.

    first, last: the days at its edges. floor: the points at the foot; 100 at the top. on: the day
    of the audition, None without one.
    """

    size: Size
    today: date
    on: date | None
    ready_at: float
    first: date
    last: date
    floor: int
    strip: Strip | None

    @property
    def left(self) -> float:
        """Where the first day stands."""
        return GUTTER * self.size.text

    @property
    def right(self) -> float:
        """Where the last day stands."""
        return self.size.width - self.size.text

    @property
    def top(self) -> float:
        """Where 100 stands."""
        return ABOVE * self.size.text

    @property
    def foot(self) -> float:
        """Where the floor stands."""
        return self.top + self.size.plot

    @property
    def base(self) -> float:
        """What the dates stand under."""
        return self.foot + (STRIP * self.size.text if self.strip else 0)

    def x(self, on: date) -> float:
        """Where a day stands."""
        part = (on - self.first).days / (self.last - self.first).days
        return self.left + part * (self.right - self.left)

    def y(self, points: float) -> float:
        """Where so many points stand."""
        return self.foot - (points - self.floor) / (100 - self.floor) * self.size.plot

    def tempo_y(self, tempo: float) -> float:
        """Where a tempo stands in the strip."""
        part = (self.strip.high - tempo) / (self.strip.high - self.strip.low)
        return self.foot + (GAP + part * (STRIP - GAP)) * self.size.text

    def shows(self, on: date) -> bool:
        """Whether a day is in the picture."""
        return self.first <= on <= self.last

    @property
    def grid(self) -> range:
        """The points that have a line."""
        return range(self.floor, 100, GRID)


def frame(
    answer: PieceReadiness,
    today: date,
    ready_at: float,
    on: date | None,
    heard: Heard,
    size: Size,
) -> Frame:
    """Return a frame in which everything has its place that can be shown."""
    days = [day for day, _ in (*answer.history, *heard.own)]
    first = max(min(*days, today - BACK_LEAST), today - BACK_MOST)
    last = _last(answer, today, on)
    values = [value for day, value in answer.history if day >= first]
    values += [low for _, low, _, _ in within(answer.band, last)]
    lowest = min([*values, answer.now, ready_at - 10])
    floor = max(0, GRID * int((lowest - 0.01) // GRID))
    return Frame(size, today, on, ready_at, first, last, floor, _strip(heard, first, last))


def _last(answer, today, on):
    """The last day: the audition, or the forecast's end where that comes later."""
    ends = [today + AHEAD_LEAST, on or today]
    if answer.band and answer.ready_on:
        ends.append(min(answer.latest or answer.ready_on, (on or answer.ready_on) + OVERRUN))
    return max(ends)


def _strip(heard, first, last):
    """The student's own tempos need a strip, and a target to be held against."""
    own = tuple(mark for mark in heard.own if first <= mark[0] <= last)
    if not own or not heard.target:
        return None
    lessons = tuple(mark for mark in heard.lessons if first <= mark[0] <= last)
    tempos = [tempo for _, tempo in (*own, *lessons)]
    low, high = min(0.5 * heard.target, *tempos), max(1.1 * heard.target, *tempos)
    return Strip(lessons, own, heard.target, low, high)


def within(band: Sequence, last: date) -> list:
    """The rows of a band up to a day, cut off there on its straight lines."""
    kept = [row for row in band if row[0] <= last]
    beyond = [row for row in band if row[0] > last]
    if kept and beyond and kept[-1][0] < last:
        a, b = kept[-1], beyond[0]
        part = (last - a[0]).days / (b[0] - a[0]).days
        kept.append((last, *(x + part * (y - x) for x, y in zip(a[1:], b[1:], strict=True))))
    return kept
