"""The picture of one piece: what was heard, how ready it made the piece, and where that leads.

Only geometry: the engine's answer and a student's tempos in, coordinates out, the same for page
and paper. Noteheads are the teacher's checks, joined by the line so far; dashes with a band are the
forecast and its range. What a student heard alone has no points: it stands in a strip of clean
tempos below, under the same days.
"""

from collections.abc import Callable, Sequence
from dataclasses import dataclass
from datetime import date, timedelta
from itertools import pairwise

from planner.deadlines.wording import MONTHS
from planner.readiness import PieceReadiness

BACK_MOST = timedelta(weeks=26)
BACK_LEAST = timedelta(days=10)
AHEAD_LEAST = timedelta(days=14)
OVERRUN = timedelta(days=42)  # how far past the audition a late forecast is followed
GRID = 25  # points between figures at the side
LETTER = 0.56  # a letter is at most so wide, in heights of the type
ROW = 1.35  # a line of dates, likewise
GAP, STRIP = 1.2, 4.0  # where the strip of tempos begins and ends below the points, likewise
FONT_UNITS = 440.0  # of the music font to one height of the type


@dataclass(frozen=True)
class Size:
    """A box: its width, the height of the points alone, and of the type, in the same units."""

    width: float
    plot: float
    text: float


# As wide as a phone shows it; a page or a sheet shows it larger or smaller as a whole.
USUAL = Size(340, 108, 12.5)


@dataclass(frozen=True)
class Tempos:
    """Clean tempos of one piece as (day, tempo): in lessons and a student's own; the target."""

    heard: tuple[tuple[date, float], ...] = ()
    own: tuple[tuple[date, float], ...] = ()
    target: float | None = None


@dataclass(frozen=True)
class Label:
    """Words in the picture, centred at x, or where `end` ending there; y is their baseline."""

    x: float
    y: float
    text: str
    size: float
    end: bool = False
    kind: str = ""

    @property
    def wide(self) -> float:
        """How wide it is at most."""
        return LETTER * self.size * len(self.text)

    @property
    def left(self) -> float:
        """Its left edge."""
        return self.x - (self.wide if self.end else self.wide / 2)

    @property
    def right(self) -> float:
        """Its right edge."""
        return self.left + self.wide

    def meets(self, other: "Label") -> bool:
        """Whether it stands in another's way, with a letter between them."""
        apart = LETTER * self.size
        return (
            abs(self.y - other.y) < self.size
            and self.left < other.right + apart
            and other.left < self.right + apart
        )

    @property
    def anchor(self) -> str:
        """As SVG calls it."""
        return "end" if self.end else "middle"

    @property
    def at(self) -> tuple[str, str]:
        """x and y as SVG writes them."""
        return _dot(self.x), _dot(self.y)


@dataclass(frozen=True)
class Strip:
    """The tempos below: teacher's and own marks as (x, y), and the line of the target."""

    heard: tuple
    own: tuple
    target_y: str
    top: str
    foot: str


@dataclass(frozen=True)
class Picture:
    """Coordinates as SVG writes them, with a dot whatever the language.

    notes: (x, y) of each check; heard: polyline points of the line so far, without a forecast up
    to today; ahead: those of the forecast, from the last check on; band: polygon points of its
    range; "" where there is none. floor: the points at the foot, 100 at the top. ready: (x, y)
    where the forecast meets the line of what counts as ready. fermata: x of the audition or None.
    title, words: what it shows, for those who do not see it.
    """

    size: Size
    height: str
    left: str
    right: str
    top: str
    foot: str
    base: str
    floor: int
    ready_y: str
    grid: tuple
    notes: tuple
    heard: str
    ahead: str
    band: str
    today_x: str
    fermata: str | None
    ready: tuple | None
    strip: Strip | None
    labels: tuple[Label, ...]
    title: str
    words: str

    @property
    def sign(self) -> str:
        """By how much signs of the music font are made smaller."""
        return f"{self.size.text / FONT_UNITS:.4f}"

    @property
    def dot(self) -> str:
        """The radius of a tempo's mark."""
        return _dot(0.22 * self.size.text)

    @property
    def sign_y(self) -> str:
        """Where the fermata's middle stands."""
        return _dot(0.62 * self.size.text)


@dataclass(frozen=True)
class _Frame:
    """The box while it is drawn. x, y: where a day and so many points stand."""

    size: Size
    first: date
    last: date
    floor: int
    left: float
    top: float
    right: float

    @property
    def foot(self) -> float:
        return self.top + self.size.plot

    def x(self, on: date) -> float:
        part = (on - self.first).days / (self.last - self.first).days
        return self.left + part * (self.right - self.left)

    def y(self, value: float) -> float:
        return self.foot - (value - self.floor) / (100 - self.floor) * self.size.plot

    def shows(self, on: date) -> bool:
        return self.first <= on <= self.last


def picture(
    answer: PieceReadiness,
    today: date,
    ready_at: float,
    on: date | None = None,
    tempos: Tempos = Tempos(),
    size: Size = USUAL,
) -> Picture | None:
    """Draw a piece's answer. None: nothing was heard.

    on: the day of the audition it is drawn for, from today on.
    """
    if not answer.history:
        return None
    frame = _frame(answer, today, ready_at, on, tempos, size)
    strip = _strip(frame, tempos)
    base = frame.foot + (STRIP * size.text if strip else 0)
    seen = [(day, value) for day, value in answer.history if frame.shows(day)]
    band = _within(answer.band, frame.last)
    ahead = [(day, middle) for day, _, middle, _ in band]
    line = seen if band else [*seen, (today, answer.now)]
    meets = answer.ready_on if band and frame.shows(answer.ready_on or date.min) else None
    upper = [(day, high) for day, _, _, high in band]
    lower = [(day, low) for day, low, _, _ in band]
    labels = _labels(frame, base, today, ready_at, on, meets, seen, tempos if strip else None)
    return Picture(
        size=size,
        height=_dot(
            base + (2 * ROW + 0.4) * size.text if meets else base + (ROW + 0.4) * size.text
        ),
        left=_dot(frame.left),
        right=_dot(frame.right),
        top=_dot(frame.top),
        foot=_dot(frame.foot),
        base=_dot(base),
        floor=frame.floor,
        ready_y=_dot(frame.y(ready_at)),
        grid=tuple(_dot(frame.y(value)) for value in _grid(frame)),
        notes=tuple(_place(frame, point) for point in seen),
        heard=_points(frame, line),
        ahead=_points(frame, [*(seen[-1:] if band else ()), *ahead]),
        band=_points(frame, [*upper, *reversed(lower)]),
        today_x=_dot(frame.x(today)),
        fermata=_dot(frame.x(on)) if on else None,
        ready=_place(frame, (meets, ready_at)) if meets else None,
        strip=strip,
        labels=labels,
        title=f"{answer.name}: readiness so far" + (" and forecast" if band else ""),
        words=_words(answer, band, today, on),
    )


def _frame(answer, today, ready_at, on, tempos, size):
    days = [day for day, _ in (*answer.history, *tempos.own)]
    first = max(min(*days, today - BACK_LEAST), today - BACK_MOST)
    ends = [today + AHEAD_LEAST]
    if on:
        ends.append(on)
    if answer.band:
        aim = answer.latest or answer.ready_on or today
        ends.append(min(aim, (on or answer.ready_on or today) + OVERRUN))
    last = max(ends)
    values = [value for day, value in answer.history if day >= first]
    values += [low for _, low, _, _ in _within(answer.band, last)]
    lowest = min([*values, answer.now, ready_at - 10])
    floor = max(0, GRID * int((lowest - 0.01) // GRID))
    gutter = LETTER * size.text * 6.5
    return _Frame(size, first, last, floor, gutter, 1.7 * size.text, size.width - size.text)


def _within(band: Sequence, last: date) -> list:
    """The band up to a day, cut off there on its straight lines."""
    kept = [row for row in band if row[0] <= last]
    beyond = [row for row in band if row[0] > last]
    if kept and beyond and kept[-1][0] < last:
        a, b = kept[-1], beyond[0]
        part = (last - a[0]).days / (b[0] - a[0]).days
        kept.append((last, *(x + part * (y - x) for x, y in zip(a[1:], b[1:], strict=True))))
    return kept


def _grid(frame):
    return range(int(frame.floor), 100, GRID)


def _strip(frame, tempos):
    """The student's own tempos need a strip, and a target to be held against."""
    own = [mark for mark in tempos.own if frame.shows(mark[0])]
    if not own or not tempos.target:
        return None
    heard = [mark for mark in tempos.heard if frame.shows(mark[0])]
    y = _tempo_y(frame, tempos, [tempo for _, tempo in (*own, *heard)])
    return Strip(
        heard=tuple((_dot(frame.x(on)), _dot(y(tempo))) for on, tempo in heard),
        own=tuple((_dot(frame.x(on)), _dot(y(tempo))) for on, tempo in own),
        target_y=_dot(y(tempos.target)),
        top=_dot(frame.foot + GAP * frame.size.text),
        foot=_dot(frame.foot + STRIP * frame.size.text),
    )


def _tempo_y(frame, tempos, values) -> Callable[[float], float]:
    """Return where a tempo stands in the strip: from half the target to a little above it."""
    low = min(0.5 * tempos.target, *values)
    high = max(1.1 * tempos.target, *values)
    top, tall = frame.foot + GAP * frame.size.text, (STRIP - GAP) * frame.size.text
    return lambda tempo: top + (high - tempo) / (high - low) * tall


def _labels(frame, base, today, ready_at, on, meets, seen, tempos):
    """Every word in the picture, none in another's way: what matters most is placed first."""
    size = frame.size.text
    placed = [_today(frame, today, on), *_side(frame, ready_at, tempos)]
    if meets:
        text = f"ready {_short(meets)}"
        placed.append(_under(frame, base + 2 * ROW * size, frame.x(meets), text, "ready"))
    days = [on] if on else []
    days += [seen[0][0]] if seen else []
    days += [day for day in _months(frame) if day not in days]
    for day in days:
        label = _under(frame, base + ROW * size, frame.x(day), _short(day))
        if not any(label.meets(other) for other in placed):
            placed.append(label)
    return tuple(placed)


def _today(frame, today, on):
    """The word above today's line, moved to the left where the fermata stands beside it."""
    size = frame.size.text
    label = Label(frame.x(today), size, "today", size, kind="today")
    if on is None:
        return label
    room = frame.x(on) - 0.8 * size
    x = min(label.x, room - label.wide / 2)
    return Label(max(x, label.wide / 2), size, "today", size, kind="today")


def _side(frame, ready_at, tempos):
    """What stands at the side: what counts as ready, figures it leaves room for, the target."""
    size, x = frame.size.text, frame.left - 0.5 * frame.size.text
    low = 0.35 * size  # from the middle of a figure to its baseline
    labels = [Label(x, frame.y(ready_at) + low, "ready", size, True, "ready")]
    for value in _grid(frame):
        label = Label(x, frame.y(value) + low, str(value), size, True)
        if not any(label.meets(other) for other in labels):
            labels.append(label)
    if tempos:
        labels += _tempo_side(frame, tempos, x)
    return labels


def _tempo_side(frame, tempos, x):
    size = frame.size.text
    values = [tempo for on, tempo in (*tempos.own, *tempos.heard) if frame.shows(on)]
    y = _tempo_y(frame, tempos, values)(tempos.target) + 0.35 * size
    below = y + size <= frame.foot + STRIP * size
    word = Label(x, y + size if below else y - size, "tempo", size, True, "tempo")
    return [Label(x, y, f"{tempos.target:g}", size, True, "tempo"), word]


def _under(frame, y, x, text, kind=""):
    """A label centred under a place, but inside the box."""
    label = Label(x, y, text, frame.size.text, kind=kind)
    half = label.wide / 2
    x = min(max(x, half), frame.size.width - half)
    return Label(x, y, text, frame.size.text, kind=kind)


def _months(frame):
    """The first days of months in the picture."""
    days = (frame.first + timedelta(days=n) for n in range((frame.last - frame.first).days + 1))
    return [day for day in days if day.day == 1]


def _short(on: date) -> str:
    return f"{on.day} {MONTHS[on.month - 1][:3]}"


def _words(answer, band, today, on):
    """The picture in sentences."""
    count = len(answer.history)
    first, last = answer.history[0], answer.history[-1]
    said = [f"One check: {last[1]:.0f} of 100 on {_short(last[0])}."]
    if count > 1:
        said = [
            f"{count} checks: from {first[1]:.0f} of 100 on {_short(first[0])} "
            f"to {last[1]:.0f} on {_short(last[0])}."
        ]
    for a, b in pairwise(band):
        if on and a[0] <= on <= b[0] and on > today:
            _, low, middle, high = _within((a, b), on)[-1]
            said.append(
                f"On {_short(on)} about {middle:.0f}, four times in five between {low:.0f} "
                f"and {high:.0f}."
            )
            break
    return " ".join(said)


def _place(frame, point) -> tuple[str, str]:
    on, value = point
    return _dot(frame.x(on)), _dot(frame.y(value))


def _points(frame, points) -> str:
    return " ".join(",".join(_place(frame, point)) for point in points)


def _dot(number: float) -> str:
    return f"{number:.1f}"
