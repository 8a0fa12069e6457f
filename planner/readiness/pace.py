"""The line through a piece's checks: when it reaches ready, between which days, how likely.

The line is fitted to points against days. For carry_days after the last check the gain is taken
to go on; after that the line waits until somebody listens. What was forgotten since raises the
height it must reach. Nobody has heard either, so what may be lost and half of the gain that was
not counted add to its standard error: a silent piece comes later and less surely, never the
reverse.

"Ready" is when the line itself (the usual level), not one lucky playing, reaches the height. The
day's range is Fieller's for that: all days on which the t distribution can't tell the line from
the height at the coverage asked for. It has no end when the gain itself isn't sure.
"""

import math
from collections.abc import Callable, Sequence
from dataclasses import dataclass
from datetime import date, timedelta

from planner import regression

from .measures import forgotten
from .model import Settings


@dataclass(frozen=True, slots=True)
class Pace:
    """A fitted line and the height (points) that it must reach.

    scatter: of one check, in points. idle: days for which it waits. doubt: standard error, in
    points, of what happened unheard.
    """

    line: regression.Line
    height: float
    scatter: float
    idle: int
    doubt: float

    def odds(self, on: date) -> float:
        """Standard errors by which the line will be above the height on that day; df >= 1."""
        line, away = self.line, on.toordinal() - self.idle - self.line.x_mean
        variance = self.scatter**2 * (1 / line.n + away * away / line.sxx) + self.doubt**2
        return (line.y_mean + line.slope * away - self.height) / math.sqrt(variance)

    def chance(self, on: date) -> float | None:
        """Probability that the line is at or above the height on that day; None with two checks."""
        return regression.below(self.line.df, self.odds(on)) if self.line.df else None


def measure_pace(
    days: Sequence[date],
    values: Sequence[float],
    height: float,
    silent: int,
    settings: Settings,
) -> Pace | None:
    """Fit the recent values, the last of them `silent` days old.

    None when they are too few or too close together for a pace.
    """
    since = days[-1] - timedelta(days=settings.window_days)
    start = min(sum(day < since for day in days), max(0, len(days) - 3))
    if (days[-1] - days[start]).days < settings.span_days:
        return None
    line = regression.fit([day.toordinal() for day in days[start:]], values[start:])
    # Checks that happen to lie on a line are not free of error; nor is any ear that fine.
    scatter = max(line.residual_sd or 0.0, settings.grain)
    idle = max(0, silent - settings.carry_days)
    loss = forgotten(silent, settings)
    doubt = math.hypot(loss, max(line.slope, 0.0) * idle / 2)
    return Pace(line, height + loss, scatter, idle, doubt)


def reached(pace: Pace, today: date, settings: Settings) -> date | None:
    """The day the line reaches its height, tomorrow at the earliest; None: not on this pace."""
    line = pace.line
    if line.slope <= 0:
        return None
    away = line.x_mean - today.toordinal() + (pace.height - line.y_mean) / line.slope + pace.idle
    if away > settings.horizon_days:
        return None
    # A piece that isn't ready today can be found ready tomorrow at the earliest.
    return today + timedelta(days=max(1, math.ceil(away - 1e-9)))


def between(pace: Pace, today: date, settings: Settings) -> tuple[date | None, date | None]:
    """Earliest and latest day of the range; None: beyond the horizon, or no range (two checks)."""
    if not pace.line.df:
        return None, None
    t = regression.quantile(pace.line.df, (1 + settings.coverage) / 2)
    return (
        _first_day(lambda on: pace.odds(on) >= -t, today, settings.horizon_days),
        _first_day(lambda on: pace.odds(on) >= t, today, settings.horizon_days),
    )


def _first_day(holds: Callable[[date], bool], today: date, horizon: int) -> date | None:
    """First day from tomorrow on which `holds`, by halving; None if not at the horizon."""
    low, high = 1, horizon
    if holds(today + timedelta(days=low)):
        return today + timedelta(days=low)
    if not holds(today + timedelta(days=high)):
        return None
    while high - low > 1:
        middle = (low + high) // 2
        if holds(today + timedelta(days=middle)):
            high = middle
        else:
            low = middle
    return today + timedelta(days=high)
