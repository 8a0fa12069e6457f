"""A straight line through few points, and how sure it is: ordinary least squares.

Plain Python sums: a piece has ten checks, not ten thousand, and an array costs more to make than
to add up here. Only the t distribution comes from a library (scipy.special; scipy.stats would
cost two seconds at import).
"""

import math
from collections.abc import Sequence
from dataclasses import dataclass
from functools import lru_cache

from scipy.special import stdtr, stdtrit


@dataclass(frozen=True, slots=True)
class Line:
    """y = intercept + slope * x, fitted to n points; units are those of x and y.

    slope_se, intercept_se and residual_sd are None when df is 0: two points make a line but say
    nothing about how sure it is. x_mean, y_mean and sxx (the sum of squared distances of x from
    its mean) are kept because every later question needs them.
    """

    n: int
    df: int
    slope: float
    intercept: float
    slope_se: float | None
    intercept_se: float | None
    residual_sd: float | None
    x_mean: float
    y_mean: float
    sxx: float

    def at(self, x0: float) -> float:
        """The line's height at x0."""
        return self.y_mean + self.slope * (x0 - self.x_mean)


def fit(x: Sequence[float], y: Sequence[float]) -> Line:
    """Fit a line by ordinary least squares.

    Raises ValueError unless x and y are equally long and hold two different x or more.
    """
    n = len(x)
    if n != len(y):
        raise ValueError(f"x has {n} values and y has {len(y)}: each point needs both")
    if n < 2 or min(x) == max(x):
        raise ValueError("a line needs at least two different x values")
    # Sums of centred values: raw sums of squares lose half the digits when x is far from 0.
    x_mean, y_mean = math.fsum(x) / n, math.fsum(y) / n
    dx = [value - x_mean for value in x]
    sxx = math.fsum([d * d for d in dx])
    slope = math.fsum([d * (value - y_mean) for d, value in zip(dx, y, strict=True)]) / sxx
    slope_se = intercept_se = residual_sd = None
    if n > 2:
        rest = [value - y_mean - slope * d for d, value in zip(dx, y, strict=True)]
        residual_sd = math.sqrt(math.fsum([r * r for r in rest]) / (n - 2))
        slope_se = residual_sd / math.sqrt(sxx)
        intercept_se = residual_sd * math.sqrt(1 / n + x_mean * x_mean / sxx)
    return Line(
        n=n,
        df=n - 2,
        slope=slope,
        intercept=y_mean - slope * x_mean,
        slope_se=slope_se,
        intercept_se=intercept_se,
        residual_sd=residual_sd,
        x_mean=x_mean,
        y_mean=y_mean,
        sxx=sxx,
    )


def predict(line: Line, x0: float) -> tuple[float, float | None]:
    """Mean and standard error of a new observation at x0 (its own scatter included).

    The standard error is None when df is 0.
    """
    if line.df < 1:
        return line.at(x0), None
    away = x0 - line.x_mean
    spread = 1 + 1 / line.n + away * away / line.sxx
    return line.at(x0), line.residual_sd * math.sqrt(spread)


def interval(line: Line, x0: float, coverage: float) -> tuple[float, float]:
    """Range that holds a new observation at x0 with probability `coverage`; needs df >= 1."""
    mean, se = _sure(line, x0)
    half = quantile(line.df, (1 + coverage) / 2) * se
    return mean - half, mean + half


def chance_at_least(line: Line, x0: float, target: float) -> float:
    """Probability that a new observation at x0 is at or above `target`; needs df >= 1."""
    mean, se = _sure(line, x0)
    if se == 0:
        return 1.0 if mean >= target else 0.0
    return below(line.df, (mean - target) / se)


def below(df: int, t: float) -> float:
    """Probability that Student's t with `df` degrees of freedom is at or below `t`."""
    return float(stdtr(df, t))


@lru_cache(maxsize=1024)
def quantile(df: int, p: float) -> float:
    """The t below which Student's t with `df` degrees of freedom falls with probability p."""
    if df < 1 or not 0 < p < 1:
        raise ValueError(f"no t quantile for df {df} and probability {p}")
    return float(stdtrit(df, p))


def _sure(line: Line, x0: float) -> tuple[float, float]:
    mean, se = predict(line, x0)
    if se is None:
        raise ValueError("two points make a line but no range: at least three are needed")
    return mean, se
