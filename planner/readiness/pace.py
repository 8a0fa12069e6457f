"""What the checks of a piece say about the days to come: when it is ready, and how likely.

Several shapes of progress (a line, curves that flatten, a pace that changes) are learned from all
checks, each a Bayesian curve (planner.trend) that starts from what is usual; they are averaged by
how well they foretold the checks. For carry_days after the last check the gain is taken to go on;
after that the curve waits until somebody listens. What was forgotten since raises the height it
must reach. Nobody has heard either, so what may be lost and half of the gain that was not
counted add to its scale: a silent piece comes later and less surely, never the reverse.

"Ready" is when the usual level, not one lucky playing, reaches the height. A piece that has
reached it is taken to stay there, so the chance never falls again. The expected day is that of
an even chance; its range lies between the days on which 1 and 9 of 10 such pieces are ready.
"""

from collections.abc import Sequence
from dataclasses import dataclass
from datetime import date, timedelta
from functools import cached_property

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

    n: checks. loss: points of the height that were forgotten. doubt: in points, of what happened
    unheard. today: the day of the question, for which the gain of `gone` days since the last
    check is counted. horizon: days from today.
    """

    curves: tuple[tuple[Belief, float], ...]
    n: int
    height: float
    loss: float
    doubt: float
    today: date
    gone: int
    horizon: int

    @cached_property
    def chances(self) -> np.ndarray:
        """Of being ready by today and by each day after it, to the horizon; looked at if asked."""
        weeks = (np.arange(self.horizon + 1) + self.gone) / 7
        return sum(
            weight * stdtr(belief.df, np.maximum.accumulate(self._odds(belief, weeks)))
            for belief, weight in self.curves
        )

    def level(self, belief: Belief, weeks: np.ndarray) -> tuple[np.ndarray, np.ndarray]:
        """Mean and scale of one curve's level so many weeks after the last check."""
        mean, scale = belief.at(weeks)
        return mean, np.hypot(scale, self.doubt)

    def _odds(self, belief: Belief, weeks: np.ndarray) -> np.ndarray:
        mean, scale = self.level(belief, weeks)
        return (mean - self.height) / scale

    @property
    def rate(self) -> float:
        """Points gained a week, as of the last check."""
        return sum(weight * belief.rate for belief, weight in self.curves)

    def chance(self, on: date) -> float:
        """Probability of being ready by that day, today at the earliest."""
        last = len(self.chances) - 1
        return float(self.chances[min(max((on - self.today).days, 0), last)])

    def below(self, on: date, points: float) -> float:
        """Probability that a check on that day, from today on, hears at most so many points."""
        ahead, total = ((on - self.today).days + self.gone) / 7, 0.0
        for belief, weight in self.curves:
            mean, scale = belief.at(ahead, own=1.0)
            total += weight * float(stdtr(belief.df, (points - mean) / np.hypot(scale, self.doubt)))
        return total

    def day(self, chance: float) -> date | None:
        """First day from tomorrow by which the piece is ready so likely; None: not foreseen."""
        # A piece that isn't ready today can be found ready tomorrow at the earliest.
        index = int(np.searchsorted(self.chances[1:], chance - 1e-9)) + 1
        return self.today + timedelta(days=index) if index < len(self.chances) else None


def measure_pace(
    days: Sequence[date], values: Sequence[float], height: float, today: date, settings: Settings
) -> Pace | None:
    """Learn from the values of those days, oldest first; None when too close for a pace."""
    if (days[-1] - days[0]).days < settings.span_days:
        return None
    passed = [0.0, *((b - a).days / 7 for a, b in zip(days, days[1:], strict=False))]
    points = list(zip(passed, values, strict=True))
    found = [trend.learn(belief, points) for belief in beliefs(settings.prior)]
    curves = tuple(zip(found, weigh(found), strict=True))
    silent = (today - days[-1]).days
    idle = max(0, silent - settings.carry_days)
    loss = forgotten(silent, settings)
    rate = sum(weight * belief.rate for belief, weight in curves)
    doubt = float(np.hypot(loss, max(rate, 0.0) / 7 * idle / 2))
    ahead, gone = settings.horizon_days, silent - idle
    return Pace(curves, len(days), height + loss, loss, doubt, today, gone, ahead)
