"""The words in a picture: few, and none in another's way."""

from dataclasses import dataclass
from datetime import date, timedelta

from planner.deadlines.wording import MONTHS
from studio.entries.forecast.frame import LETTER, STRIP, Frame

ROW = 1.35  # a line of dates, in heights of the type
FERMATA = 0.8  # half of it with some air, likewise
LOW = 0.35  # from the middle of a figure to its baseline, likewise


@dataclass(frozen=True)
class Label:
    """Words centred at x, or where `end` ending there; y is their baseline, size their height."""

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
        return f"{self.x:.1f}", f"{self.y:.1f}"


def labels(frame: Frame, begins: date | None, meets: date | None) -> tuple[Label, ...]:
    """Every word of a frame; what matters most is placed first.

    begins: the first check in the picture. meets: the day on which the forecast is ready, if it
    is in the picture.
    """
    placed = [_today(frame), *_side(frame)]
    if meets:
        placed.append(_under(frame, meets, 2, f"ready {short(meets)}", "ready"))
    days = [day for day in (frame.on, begins) if day]
    for day in [*days, *(each for each in _months(frame) if each not in days)]:
        label = _under(frame, day, 1, short(day))
        if not any(label.meets(other) for other in placed):
            placed.append(label)
    return tuple(placed)


def short(on: date) -> str:
    """Return "6 Feb"."""
    return f"{on.day} {MONTHS[on.month - 1][:3]}"


def _today(frame):
    """The word above today's line, moved to the left where the fermata stands beside it."""
    size, half = frame.size.text, LETTER * frame.size.text * len("today") / 2
    x = frame.x(frame.today)
    if frame.on:
        x = max(min(x, frame.x(frame.on) - FERMATA * size - half), half)
    return Label(x, size, "today", size, kind="today")


def _side(frame):
    """What stands at the side: what counts as ready, figures it leaves room for, the target."""
    found = [_beside(frame, frame.y(frame.ready_at), "ready", "ready")]
    for points in frame.grid:
        label = _beside(frame, frame.y(points), str(points))
        if not any(label.meets(other) for other in found):
            found.append(label)
    if frame.strip:
        y = frame.tempo_y(frame.strip.target)
        found.append(_beside(frame, y, f"{frame.strip.target:g}", "tempo"))
        size = frame.size.text
        below = y + (1 + LOW) * size <= frame.foot + STRIP * size
        found.append(_beside(frame, y + size if below else y - size, "tempo", "tempo"))
    return found


def _beside(frame, y, text, kind=""):
    """A label at the side of a height."""
    size = frame.size.text
    return Label(frame.left - 0.5 * size, y + LOW * size, text, size, end=True, kind=kind)


def _under(frame, day, row, text, kind=""):
    """A label centred under a day, but inside the box."""
    size = frame.size.text
    half = LETTER * size * len(text) / 2
    x = min(max(frame.x(day), half), frame.size.width - half)
    return Label(x, frame.base + row * ROW * size, text, size, kind=kind)


def _months(frame):
    """The first days of months in the picture."""
    days = (frame.first + timedelta(days=n) for n in range((frame.last - frame.first).days + 1))
    return [day for day in days if day.day == 1]
