"""What the checks of a piece say about the days to come: when it is ready, and how likely.

Several shapes of progress (a line, curves that flatten, a pace that changes) are learned from all
checks, each a Bayesian curve (planner.trend) that starts from what is usual; they are averaged by
how well they foretold the checks. For carry_days after the last check the gain is taken to go on;
what would be gained after that is taken off again until somebody listens, and so is what was
forgotten. Nobody has heard either, so what may be lost and half of the gain that was not counted
add to the scale: a silent piece comes later and less surely, never the reverse.

"Ready" is when the usual level, not one lucky playing, reaches the height. A piece that has
reached it is taken to stay there, so the chance never falls again. The expected day is that of
an even chance; its range lies between the days on which 1 and 9 of 10 such pieces are ready.
"""

from bisect import bisect_left
from collections.abc import Sequence
from dataclasses import dataclass
from datetime import date, timedelta
from functools import cached_property
from math import hypot

import numpy as np
from scipy.special import stdtr

from planner import trend
from planner.trend import Belief

from .measures import forgotten
from .model import Settings
from .prior import beliefs, weigh


@dataclass(frozen=True)
class Pace:
    """The curves at the last check, their weights, and the height (points) to reach.

    All curves have heard the same checks, so all have the same degrees of freedom. n: checks.
    off: points taken off since the last check. doubt: in points, of what happened unheard. today:
    the day of the question, `silent` days after the last check. horizon: days from today.
    """

    curves: tuple[Belief, ...]
    weights: np.ndarray
    n: int
    height: float
    off: float
    doubt: float
    today: date
    silent: int
    horizon: int

    @property
    def df(self) -> float:
        """Degrees of freedom of every curve."""
        return self.curves[0].df

    @property
    def rate(self) -> float:
        """Points gained a week, as of the last check."""
        return float(self.weights @ [belief.rate for belief in self.curves])

    def _at(self, ahead: np.ndarray, own: float = 0.0) -> tuple[np.ndarray, np.ndarray]:
        weeks = (ahead + self.silent) / 7
        means, scales = zip(*(belief.at(weeks, own) for belief in self.curves), strict=True)
        return np.array(means) - self.off, np.hypot(scales, self.doubt)

    @cached_property
    def levels(self) -> tuple[np.ndarray, np.ndarray]:
        """Mean and scale in points: a row for each curve, a column for each day from today."""
        return self._at(np.arange(self.horizon + 1))

    @cached_property
    def odds(self) -> np.ndarray:
        """Of each curve (row) to have been ready by each day from today (column)."""
        means, scales = self.levels
        return np.maximum.accumulate((means - self.height) / scales, axis=1)

    def chance(self, on: date) -> float:
        """Probability of being ready by that day, today at the earliest."""
        return self._chance(min(max((on - self.today).days, 0), self.horizon))

    def _chance(self, ahead: int) -> float:
        return float(self.weights @ stdtr(self.df, self.odds[:, ahead]))

    def below(self, on: date, points: float) -> float:
        """Probability that a check on that day, from today on, hears at most so many points."""
        means, scales = self._at(np.array([(on - self.today).days]), own=1.0)
        return float(self.weights @ stdtr(self.df, (points - means[:, 0]) / scales[:, 0]))

    def day(self, chance: float) -> date | None:
        """First day from tomorrow by which the piece is ready so likely; None: not foreseen."""
        asked = chance - 1e-9
        if self._chance(self.horizon) < asked:
            return None
        # A piece that isn't ready today can be found ready tomorrow at the earliest.
        ahead = bisect_left(range(self.horizon), asked, lo=1, key=self._chance)
        return self.today + timedelta(days=ahead)


def measure_pace(
    days: Sequence[date], values: Sequence[float], height: float, today: date, settings: Settings
) -> Pace | None:
    """Learn from the values of those days, oldest first; None when too close for a pace."""
    if (days[-1] - days[0]).days < settings.span_days:
        return None
    passed = [0.0, *((b - a).days / 7 for a, b in zip(days, days[1:], strict=False))]
    points = list(zip(passed, values, strict=True))
    curves = tuple(
        trend.learn(belief, points) for belief in beliefs(settings.prior, settings.carry_days)
    )
    weights = np.array(weigh(curves))
    silent = (today - days[-1]).days
    loss = forgotten(silent, settings)
    gain = _unheard(curves, weights, silent, settings.carry_days)
    doubt = hypot(loss, gain / 2)
    return Pace(
        curves, weights, len(days), height, loss + gain, doubt, today, silent,
        settings.horizon_days,
    )  # fmt: skip


def _unheard(curves: Sequence[Belief], weights: np.ndarray, silent: int, carry: int) -> float:
    """Points that the usual gain would bring from so many days after the last check to today."""
    if silent <= carry:
        return 0.0
    gains = [belief.rate * (belief.gain(silent / 7) - belief.gain(carry / 7)) for belief in curves]
    return max(float(weights @ gains), 0.0)
