"""The forecast of a piece as a band: for each day the middle of its level and the range about it.

It is the belief of `pace`, read the other way: not how likely a height is on a day, but which
height is so likely. So the middle reaches the height on the day that is expected, the upper edge
on the earliest and the lower one on the latest, but for a pace that has turned.
"""

from collections.abc import Sequence
from datetime import date, timedelta
from math import exp, lgamma, log, pi

import numpy as np
from scipy.special import stdtr, stdtrit

from .model import Settings
from .pace import Pace

STEP_DAYS = 7
# So far beyond its last audition a piece is drawn, and so far at most for the day it is ready.
_BEYOND = timedelta(weeks=8)
_NEAR = timedelta(weeks=26)
# The last step to a level is smaller than this, in points; what is left is far smaller still.
_CLOSE = 0.03

Band = tuple[tuple[date, float, float, float], ...]


def band(pace: Pace, days: Sequence[date | None], last: date, settings: Settings) -> Band:
    """(day, low, middle, high) in points, from today in weeks to some time after `last`.

    days: on which it is expected to be ready and on which its range ends, drawn where they are
    near. last: the later of today and the last audition. Edges and middle are cut at 0 and 100.
    """
    tail = (1 - settings.coverage) / 2
    near = [day for day in days if day and day <= pace.today + _NEAR]
    whole = min((max([last + _BEYOND, *near]) - pace.today).days, pace.horizon)
    ahead = [*range(0, whole, STEP_DAYS), whole]
    rows = np.clip(levels(pace, ahead, (tail, 0.5, 1 - tail)), 0.0, 100.0).T.tolist()
    return tuple(
        (pace.today + timedelta(days=each), *row) for each, row in zip(ahead, rows, strict=True)
    )


def levels(pace: Pace, ahead: Sequence[int], chances: Sequence[float]) -> np.ndarray:
    """The levels below which the usual one lies so likely, so many days from today.

    In points; a row for each chance, a column for each day. Newton's steps, halving where one
    leaves the bracket: the curves' own quantiles hold that of their mixture.
    """
    df, weights = pace.df, pace.weights
    aims = np.repeat(chances, len(ahead))
    means, scales = (np.tile(each[:, ahead], len(chances)) for each in pace.levels)
    own = means + stdtrit(df, aims) * scales
    low, high, level = own.min(axis=0), own.max(axis=0), weights @ own
    while True:
        odds = (level - means) / scales
        over = weights @ stdtr(df, odds) - aims
        low, high = np.where(over < 0, level, low), np.where(over < 0, high, level)
        step = level - over / (weights @ (_density(df, odds) / scales))
        step = np.where((step >= low) & (step <= high), step, (low + high) / 2)
        if np.abs(step - level).max() < _CLOSE:
            return step.reshape(len(chances), -1)
        level = step


def _density(df: float, t: np.ndarray) -> np.ndarray:
    """Of Student's t."""
    whole = exp(lgamma((df + 1) / 2) - lgamma(df / 2) - log(df * pi) / 2)
    return whole * (1 + t * t / df) ** (-(df + 1) / 2)
