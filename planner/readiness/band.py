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
# The level is found as closely as this, in points.
_CLOSE = 0.01

Band = tuple[tuple[date, float, float, float], ...]


def band(pace: Pace, last: date, settings: Settings) -> Band:
    """(day, low, middle, high) in points, from today in weeks to some time after `last`.

    last: the later of today and the last audition. Then on to the end of the range where that is
    near, within the horizon. Edges and middle are cut off at 0 and 100.
    """
    tail = (1 - settings.coverage) / 2
    near = pace.today + _NEAR
    known = [day for day in (pace.day(0.5), pace.day(1 - tail)) if day and day <= near]
    whole = min((max([last + _BEYOND, *known]) - pace.today).days, pace.horizon)
    ahead = [*range(0, whole, STEP_DAYS), whole]
    rows = np.clip(levels(pace, ahead, (tail, 0.5, 1 - tail)) - pace.loss, 0.0, 100.0)
    days = (pace.today + timedelta(days=each) for each in ahead)
    return tuple((day, *row) for day, row in zip(days, rows.T.tolist(), strict=True))


def levels(pace: Pace, ahead: Sequence[int], chances: Sequence[float]) -> np.ndarray:
    """The levels below which the usual one lies so likely, so many days from today.

    In points as last heard; a row for each chance, a column for each day. Newton's steps, halving
    where one leaves the bracket: the curves' own quantiles hold that of their mixture.
    """
    weeks = (np.array(ahead) + pace.gone) / 7
    found = [(weight, belief.df, *pace.level(belief, weeks)) for belief, weight in pace.curves]
    weights, df, means, scales = (np.array(each) for each in zip(*found, strict=True))
    weights, df = weights[:, None, None], df[:, None, None]
    means, scales = means[:, None, :], scales[:, None, :]
    aims = np.array(chances)[:, None]
    own = means + stdtrit(df, aims[None]) * scales
    low, high = own.min(axis=0), own.max(axis=0)
    level = (weights * own).sum(axis=0)
    while True:
        odds = (level - means) / scales
        over = (weights * stdtr(df, odds)).sum(axis=0) - aims
        low, high = np.where(over < 0, level, low), np.where(over < 0, high, level)
        step = level - over / (weights * _density(df, odds) / scales).sum(axis=0)
        step = np.where((step > low) & (step < high), step, (low + high) / 2)
        if np.abs(step - level).max() < _CLOSE:
            return step
        level = step


def _density(df: np.ndarray, t: np.ndarray) -> np.ndarray:
    """Of Student's t."""
    first = float(df.flat[0])  # all curves have heard the same checks
    whole = exp(lgamma((first + 1) / 2) - lgamma(first / 2) - log(first * pi) / 2)
    return whole * (1 + t * t / df) ** (-(df + 1) / 2)
