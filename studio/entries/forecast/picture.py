"""A piece's answer as coordinates."""

from dataclasses import dataclass
from datetime import date

from planner.readiness import PieceReadiness
from planner.readiness.words import points
from studio.entries.forecast.frame import STRIP, USUAL, Heard, Size, frame, within
from studio.entries.forecast.labels import ROW, Label, labels, short

FONT_UNITS = 440.0  # of the music font to one height of the type
NOTHING = Heard()


@dataclass(frozen=True)
class Tempos:
    """The strip below: tempos of lessons and the student's own as (x, y), the target's line."""

    lessons: tuple
    own: tuple
    target_y: str
    foot: str


@dataclass(frozen=True)
class Picture:
    """Coordinates as SVG writes them, with a dot whatever the language.

    notes: (x, y) of each check; whole: likewise, of days with the whole programme. line: polyline
    points of what was heard, without a forecast up to today; ahead: those of the forecast, from
    the last check on; band: polygon points of its range; "" where there is none. floor: the points
    at the foot, 100 at the top. ready: (x, y) where the forecast meets the line of what counts as
    ready. fermata: x of the audition or None. title, words: what it shows, for those who do not
    see it.
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
    whole: tuple
    line: str
    ahead: str
    band: str
    today_x: str
    fermata: str | None
    ready: tuple | None
    tempos: Tempos | None
    labels: tuple[Label, ...]
    title: str
    words: str

    @property
    def sign(self) -> str:
        """By how much signs of the music font are made smaller."""
        return f"{self.size.text / FONT_UNITS:.4f}"

    @property
    def sign_y(self) -> str:
        """Where the fermata's middle stands."""
        return _dot(0.62 * self.size.text)

    @property
    def dot(self) -> str:
        """The radius of a tempo's mark."""
        return _dot(0.22 * self.size.text)


def picture(
    answer: PieceReadiness,
    today: date,
    ready_at: float,
    on: date | None = None,
    heard: Heard = NOTHING,
    size: Size = USUAL,
) -> Picture | None:
    """Draw a piece's answer. None: nothing was heard.

    on: the day of the audition it is drawn for, from today on.
    """
    if not answer.history:
        return None
    box = frame(answer, today, ready_at, on, heard, size)
    seen = [(day, value) for day, value in answer.history if box.shows(day)]
    band = within(answer.band, box.last)
    meets = answer.ready_on if band and box.shows(answer.ready_on or date.min) else None
    rows = 2 if meets else 1
    return Picture(
        size=size,
        height=_dot(box.base + (rows * ROW + 0.4) * size.text),
        left=_dot(box.left),
        right=_dot(box.right),
        top=_dot(box.top),
        foot=_dot(box.foot),
        base=_dot(box.base),
        floor=box.floor,
        ready_y=_dot(box.y(ready_at)),
        grid=tuple(_dot(box.y(value)) for value in box.grid),
        notes=tuple(_place(box, each) for each in seen if each[0] not in heard.programme),
        whole=tuple(_place(box, each) for each in seen if each[0] in heard.programme),
        line=_line(box, seen if band else [*seen, (today, answer.now)]),
        ahead=_line(box, [*seen[-1:], *((row[0], row[2]) for row in band)] if band else []),
        band=_line(box, [(row[0], row[3]) for row in band] + [row[:2] for row in reversed(band)]),
        today_x=_dot(box.x(today)),
        fermata=_dot(box.x(on)) if on else None,
        ready=_place(box, (meets, ready_at)) if meets else None,
        tempos=_tempos(box),
        labels=labels(box, seen[0][0] if seen else None, meets),
        title=f"{answer.name}: readiness so far" + (" and forecast" if band else ""),
        words=" ".join((_so_far(answer), *_on_the_day(band, today, on))),
    )


def _tempos(box):
    if box.strip is None:
        return None
    return Tempos(
        lessons=tuple((_dot(box.x(on)), _dot(box.tempo_y(t))) for on, t in box.strip.lessons),
        own=tuple((_dot(box.x(on)), _dot(box.tempo_y(t))) for on, t in box.strip.own),
        target_y=_dot(box.tempo_y(box.strip.target)),
        foot=_dot(box.foot + STRIP * box.size.text),
    )


def _so_far(answer):
    """What was heard, in a sentence."""
    (first, low), (last, high) = answer.history[0], answer.history[-1]
    if len(answer.history) == 1:
        return f"One check: {points(high)} of 100 on {short(last)}."
    return (
        f"{len(answer.history)} checks: from {points(low)} of 100 on {short(first)} "
        f"to {points(high)} on {short(last)}."
    )


def _on_the_day(band, today, on):
    """What is foreseen for the audition, in a sentence; nothing where nothing is."""
    if on is None or on <= today or not band or band[-1][0] < on:
        return
    _, low, middle, high = within(band, on)[-1]
    yield (
        f"On {short(on)} about {points(middle)}, four times in five between {points(low)} "
        f"and {points(high)}."
    )


def _place(box, point) -> tuple[str, str]:
    on, value = point
    return _dot(box.x(on)), _dot(box.y(value))


def _line(box, places) -> str:
    return " ".join(",".join(_place(box, place)) for place in places)


def _dot(number: float) -> str:
    return f"{number:.1f}"
