"""The hairpin: readiness drawn as a crescendo, open as far as the music is ready.

Solid up to today, dashed where forecast, closed by a bar on the day everything is ready. Only
geometry: the engine's answer in, coordinates out, the same for score, part and paper.
"""

from collections.abc import Callable
from dataclasses import dataclass
from datetime import date

from planner.readiness import AuditionReadiness

LEAD_IN = 12.0  # where many stand on a page, as on the score


@dataclass(frozen=True)
class Hairpin:
    """Coordinates as SVG writes them, with a dot whatever the language.

    solid: polygon points of what has been heard; upper, lower: polyline points of the forecast
    ("" if there is none); closing: (x, y1, y2) of the bar on the day all is ready, or None;
    late: the audition comes first, drawn in red pencil.
    """

    solid: str
    upper: str
    lower: str
    closing: tuple[str, str, str] | None
    late: bool


def hairpin(
    answer: AuditionReadiness,
    x_of: Callable[[date], float],
    y: float,
    height: float,
    lead_in: float = LEAD_IN,
) -> Hairpin | None:
    """Draw `answer` along the line `y`; `height` is the opening at 100. None: nothing was heard.

    x_of: where a day stands, lead_in: how far before the first check it begins as a point, both
        in the drawing's units.
    """
    if not answer.history:
        return None
    heard = [(x_of(on), value * height / 200) for on, value in answer.history]
    heard.insert(0, (heard[0][0] - lead_in, 0.0))
    ahead = [(x_of(on), value * height / 200) for on, value in answer.forecast]
    return Hairpin(
        solid=_points([(x, y - half) for x, half in heard])
        + " "
        + _points([(x, y + half) for x, half in reversed(heard)]),
        upper=_points([(x, y - half) for x, half in ahead]),
        lower=_points([(x, y + half) for x, half in ahead]),
        closing=_closing(answer, x_of, y, height),
        late=answer.late,
    )


def _closing(answer, x_of, y, height):
    if answer.ready_on is None:
        return None
    return _dot(x_of(answer.ready_on)), _dot(y - height / 2), _dot(y + height / 2)


def _points(places):
    return " ".join(f"{_dot(x)},{_dot(y)}" for x, y in places)


def _dot(number):
    return f"{number:.1f}"
