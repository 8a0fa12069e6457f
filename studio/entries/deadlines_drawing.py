"""The network drawn: a staff for each institution, weeks as bars, a line for each task.

Python decides every coordinate, in units of a page 1080 wide; the template only prints them. A
task's hairline goes from its earliest to its latest start, its notehead stands at its latest
finish, and slurs join what binds. The table beside it says the same in words.
"""

from dataclasses import dataclass
from datetime import date, timedelta

from planner.deadlines.wording import MONTHS

WIDTH = 1080.0
LEFT, RIGHT = 168.0, 830.0  # of the staves; names of tasks may run on to the edge
LANE = 18.0
TOP = 30.0  # of the months
ABOVE = 26.0  # of a staff, for the fermata
NOTE = 13.0
BACK_MOST = timedelta(weeks=8)
AHEAD_MOST = timedelta(weeks=60)
WEEKS_LEAST = 8
LETTER = 7.2  # at most, of the months' names
WEEK = timedelta(weeks=1)


@dataclass(frozen=True)
class Line:
    """A task to draw. first, last: earliest and latest start, None where not known."""

    key: str
    name: str
    first: date | None
    last: date | None
    finish: date
    trouble: str = ""
    recording: bool = False


@dataclass(frozen=True)
class Strip:
    """An institution to draw. chain: the keys of the lines that bind. margin: words, `late` red."""

    name: str
    on: date | None
    lines: tuple
    chain: tuple = ()
    margin: str = ""
    late: bool = False


@dataclass(frozen=True)
class Note:
    """A task drawn. window: x from and to, None where it is not known when it can begin.

    ends: whether the window's end stands clear of the notehead.
    """

    x: float
    y: float
    name: str
    title: str
    window: tuple | None
    ends: bool
    binds: bool
    trouble: str
    symbol: str

    half = NOTE / 2

    @property
    def left(self):
        """The left edge of the notehead."""
        return round(self.x - self.half, 1)

    @property
    def top(self):
        """Its upper edge."""
        return round(self.y - self.half, 1)

    @property
    def text_x(self):
        """Where its name begins."""
        return round(self.x + self.half + 4, 1)

    @property
    def text_y(self):
        """The baseline of its name."""
        return self.y + 4.5


@dataclass(frozen=True)
class Staff:
    """An institution drawn, at its place in the page."""

    name: str
    margin: str
    late: bool
    top: float
    bottom: float
    notes: tuple
    slurs: tuple
    fermata: float | None

    @property
    def name_y(self):
        """The baseline of the name."""
        return self.top + 5

    @property
    def margin_y(self):
        """The baseline of the words under it."""
        return self.top + 22

    @property
    def sign_y(self):
        """The top of the fermata."""
        return self.top - 25


@dataclass(frozen=True)
class Drawing:
    """The whole drawing. months: (x, name)."""

    height: float
    bars: tuple
    months: tuple
    today: float
    staves: tuple

    width, left, right, top = WIDTH, LEFT, RIGHT, TOP


class _Span:
    def __init__(self, first, last):
        self.first, self.last = first, last
        self.per_day = (RIGHT - LEFT) / ((last - first).days + 1)

    def x(self, day):
        """Where the middle of a day stands; what lies outside stands at the edge."""
        day = min(max(day, self.first), self.last)
        return round(LEFT + ((day - self.first).days + 0.5) * self.per_day, 1)

    def edge(self, day):
        return round(LEFT + (day - self.first).days * self.per_day, 1)

    def bars(self):
        weeks = ((self.last - self.first).days + 1) // 7
        return tuple(self.edge(self.first + n * WEEK) for n in range(weeks + 1))

    def months(self):
        """Yield where months begin with their names, as far as these have room."""
        start = self.first
        while start <= self.last:
            then = date(start.year + start.month // 12, start.month % 12 + 1, 1)
            x, end = self.edge(start), min(self.edge(then), RIGHT)
            name = MONTHS[start.month - 1]
            names = [name, name[:3]]
            if start == self.first or start.month == 1:
                names = [f"{each} {start.year}" for each in names] + names
            yield x, next((each for each in names if len(each) * LETTER <= end - x), "")
            start = then


def draw(strips, today):
    """Return the Drawing of Strips, one below the other."""
    days = [line.finish for strip in strips for line in strip.lines]
    span = _span([*days, *(strip.on for strip in strips if strip.on)], today)
    staves, y = [], TOP + ABOVE
    for strip in strips:
        staff = _staff(strip, span, y, today)
        staves.append(staff)
        y = staff.bottom + LANE + ABOVE
    return Drawing(
        height=round(y - ABOVE, 1),
        bars=span.bars(),
        months=tuple(span.months()),
        today=span.x(today),
        staves=tuple(staves),
    )


def _span(days, today):
    first = max(min([*days, today]), today - BACK_MOST)
    first -= timedelta(days=first.weekday())
    last = min(max([*days, today]), today + AHEAD_MOST)
    last += timedelta(days=6 - last.weekday())
    return _Span(first, max(last, first + WEEKS_LEAST * WEEK - timedelta(days=1)))


def _staff(strip, span, top, today):
    lines = sorted(strip.lines, key=lambda line: (line.finish, line.last or today, line.key))
    notes = {
        line.key: _note(line, span, top + LANE * lane, line.key in strip.chain, today)
        for lane, line in enumerate(lines)
    }
    tied = [notes[key] for key in strip.chain if key in notes]
    shown = strip.on and span.first <= strip.on <= span.last
    return Staff(
        name=strip.name,
        margin=strip.margin,
        late=strip.late,
        top=top,
        bottom=top + LANE * (max(len(lines), 2) - 1),
        notes=tuple(notes.values()),
        slurs=tuple(_slur(*pair) for pair in zip(tied, tied[1:], strict=False)),
        fermata=span.x(strip.on) - 8 if shown else None,
    )


def _note(line, span, y, binds, today):
    first = line.first or (today if line.last else None)
    known = first and line.last and first <= line.last
    words = f"{line.name}, at the latest {line.finish:%-d %B}"
    return Note(
        x=span.x(line.finish),
        y=y,
        name=line.name,
        title=f"{words}: {line.trouble}" if line.trouble else words,
        window=(span.x(first), span.x(line.last)) if known else None,
        ends=bool(known and span.x(line.finish) - span.x(line.last) > NOTE / 2),
        binds=binds,
        trouble=line.trouble,
        symbol="notehead-triangle" if line.recording else "notehead",
    )


def _slur(one, other):
    """Return the path of a slur from one notehead round to the other."""
    bend = round(min(one.x, other.x) - 12, 1)
    return f"M{one.x} {one.y}C{bend} {one.y} {bend} {other.y} {other.x} {other.y}"
