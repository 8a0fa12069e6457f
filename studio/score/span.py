"""The stretch of time that a score shows, and where a day stands in it."""

from dataclasses import dataclass
from datetime import date, timedelta
from functools import cached_property

from planner.deadlines.wording import MONTHS
from studio.score.widths import width

BACK = timedelta(weeks=4)
BACK_MOST = timedelta(weeks=30)
AFTER = timedelta(weeks=2)
AHEAD_MOST = timedelta(weeks=70)
WEEKS_LEAST = 12
MONTH_TYPE = 14.0
MONTH_AIR = 6.0


@dataclass(frozen=True)
class Month:
    """The first day of a month in the drawing, and its name (empty where it has no room)."""

    x: float
    name: str

    @property
    def name_x(self):
        """Where the name begins."""
        return self.x + MONTH_AIR


@dataclass(frozen=True)
class Span:
    """From `first` (a Monday) to `last` (a Sunday), drawn between `left` and `right`."""

    first: date
    last: date
    left: float
    right: float

    def __contains__(self, day):
        return self.first <= day <= self.last

    @cached_property
    def per_day(self):
        """The width of one day, in the drawing's units."""
        return (self.right - self.left) / ((self.last - self.first).days + 1)

    def x(self, day):
        """Return where the middle of `day` stands, also outside the span."""
        return round(self.left + ((day - self.first).days + 0.5) * self.per_day, 1)

    def edge(self, day):
        """Return where `day` begins."""
        return round(self.left + (day - self.first).days * self.per_day, 1)

    @property
    def bars(self):
        """Where each week ends."""
        weeks = ((self.last - self.first).days + 1) // 7
        return tuple(self.edge(self.first + timedelta(weeks=n)) for n in range(1, weeks + 1))

    @property
    def months(self):
        """The months that begin in the span, and the one it begins in."""
        starts = [self.first]
        while (after := _next_month(starts[-1])) <= self.last:
            starts.append(after)
        edges = [self.edge(start) for start in starts] + [self.right]
        rooms = [end - start for start, end in zip(edges, edges[1:], strict=False)]
        return tuple(
            Month(x, _month_name(start, room, start == self.first))
            for start, x, room in zip(starts, edges, rooms, strict=False)
        )


def span(days, heard, today, left, right):
    """Return the span that shows the dates `days` to come and what was `heard` so far.

    From the first of `heard`, or four weeks ago, to two weeks after the last of `days`; twelve
    weeks at least. Dates that can only be slips of the keyboard do not stretch it.
    """
    first = max(min([*heard, today - BACK]), today - BACK_MOST)
    first -= timedelta(days=first.weekday())
    last = min(max([*days, today]) + AFTER, today + AHEAD_MOST)
    last = max(last, first + timedelta(weeks=WEEKS_LEAST, days=-1))
    last += timedelta(days=6 - last.weekday())
    return Span(first, last, left, right)


def _next_month(day):
    return date(day.year + day.month // 12, day.month % 12 + 1, 1)


def _month_name(start, room, is_first):
    name = MONTHS[start.month - 1]
    dated = f"{name} {start.year}" if is_first or start.month == 1 else name
    fitting = (
        words
        for words in (dated, name, name[:3])
        if width(words, MONTH_TYPE) + 2 * MONTH_AIR <= room
    )
    return next(fitting, "")
