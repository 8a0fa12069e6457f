"""What is usual before a piece has been heard, and how a studio's own pieces change that."""

import math
from collections.abc import Sequence
from dataclasses import dataclass, replace
from functools import lru_cache

from planner import codec, regression, trend
from planner.trend import Belief

# So many finished pieces must there be before anything is learned from them, and so many weigh as
# much as what is usual; common practice, no source.
PIECES_NEEDED = 8
PIECES_USUAL = 10
_CHECKS_NEEDED = 4
# For so long after a check the gain is taken to go on unheard, and a holiday is at most so long;
# common practice, no source.
CARRY_DAYS = 10
PAUSE_WEEKS = 4
# Points end at 100: no figure of a prior is larger, no scale smaller than one over it.
_FIGURES_MOST = 1000.0


@dataclass(frozen=True)
class Shape:
    """One way in which progress may run. weight: how usual it is, > 0; only ratios count.

    fade: the share of the pace lost in a week as a rate, 0 for a line. drift: points a week by
    which the pace changes in one week, as a standard deviation.
    """

    weight: float
    fade: float = 0.0
    drift: float = 0.0


@dataclass(frozen=True)
class Prior:
    """What is usual. In points (0 to 100) and weeks; all defaults are common practice, no source.

    They are rounded from what kept the ranges of invented learners true (tests/planner/learners).
    start, start_sd: the first check. rate, rate_sd: the pace of a line. top, top_sd: where a
    flattening curve would end; above 100, since points stop where the need is met. scatter: one
    check about the usual level, worth `doubt` checks. wander: the level by itself in one week.
    settle: ahead of the last check a pace that changes has settled after so many weeks.
    """

    start: float = 50.0
    start_sd: float = 30.0
    rate: float = 4.5
    rate_sd: float = 3.5
    top: float = 108.0
    top_sd: float = 15.0
    scatter: float = 2.5
    doubt: float = 5.0
    wander: float = 0.25
    settle: float = 1.0
    shapes: tuple[Shape, ...] = (
        Shape(0.3, 0.0, 0.25),
        Shape(0.05, 0.07, 0.25),
        Shape(0.15, 0.14, 0.25),
        Shape(0.5, 0.0, 1.2),
    )


def sensible(prior: Prior) -> bool:
    """Whether every figure is one that can be reckoned with."""
    means = (prior.start, prior.rate, prior.top)
    scales = (prior.start_sd, prior.rate_sd, prior.top_sd, prior.scatter, prior.doubt)
    weights = [shape.weight for shape in prior.shapes]
    rest = [prior.wander, prior.settle, *(each for s in prior.shapes for each in (s.fade, s.drift))]
    return (
        min(scales) >= 1 / _FIGURES_MOST
        and min(weights, default=0) > 0
        and min(rest) >= 0
        and max(*map(abs, means), *scales, *weights, *rest) <= _FIGURES_MOST
    )


def as_json(prior: Prior) -> dict:
    """The prior as json.dumps takes it."""
    return codec.write(prior)


def from_json(data: object) -> Prior:
    """What `as_json` wrote; Prior() for anything else, so that a forecast never fails on it."""
    try:
        prior = codec.read(Prior, data)
    except codec.Unreadable:
        return Prior()
    # Written when the prior was made of other things, it would be half learned, half usual.
    return prior if data == as_json(prior) and sensible(prior) else Prior()


@lru_cache(maxsize=16)
def beliefs(prior: Prior, carry_days: int = CARRY_DAYS) -> tuple[Belief, ...]:
    """The belief before the first check for each shape; its evidence is how usual the shape is."""
    return tuple(_belief(prior, shape, carry_days / 7) for shape in prior.shapes)


def _belief(prior: Prior, shape: Shape, carry: float) -> Belief:
    unit, fade = prior.scatter**2, shape.fade
    start = prior.start_sd**2
    rate, rate_var, both = prior.rate, prior.rate_sd**2, 0.0
    if fade:
        rate = fade * (prior.top - prior.start)
        rate_var = fade * fade * (prior.top_sd**2 + start)
        both = -fade * start
    return Belief(
        level=prior.start,
        rate=rate,
        level_var=start / unit,
        both_var=both / unit,
        rate_var=rate_var / unit,
        df=prior.doubt,
        squares=prior.doubt * unit,
        fade=fade,
        level_drift=prior.wander**2 / unit,
        rate_drift=shape.drift**2 / unit,
        evidence=math.log(shape.weight),
        settle=prior.settle,
        carry=carry,
        pause=PAUSE_WEEKS,
    )


def weigh(found: Sequence[Belief]) -> list[float]:
    """How likely each shape is after the checks; they sum to 1."""
    most = max(belief.evidence for belief in found)
    likely = [math.exp(belief.evidence - most) for belief in found]
    whole = sum(likely)
    return [each / whole for each in likely]


def tells(piece: Sequence[tuple[float, float]]) -> bool:
    """Whether a finished piece was heard often enough to be learned from, on several days."""
    return len(piece) >= _CHECKS_NEEDED and piece[0][0] < piece[-1][0]


def learn(pieces: Sequence[Sequence[tuple[float, float]]], usual: Prior | None = None) -> Prior:
    """What is usual in a studio, from its finished pieces: (weeks, points) of each, oldest first.

    Empirical Bayes by moments: the mean pace, its spread less what scatter alone explains, the
    scatter, and how often each shape fitted; all are drawn towards `usual` as if that were
    PIECES_USUAL pieces. Pieces with fewer than four checks or one day only are left out; with
    fewer than PIECES_NEEDED left, `usual` (Prior() when None) comes back unchanged.
    """
    usual = usual or Prior()
    fit = [piece for piece in pieces if tells(piece)]
    if len(fit) < PIECES_NEEDED:
        return usual
    lines = [regression.fit(*zip(*piece, strict=True)) for piece in fit]
    whole = len(fit) + PIECES_USUAL
    rate = (PIECES_USUAL * usual.rate + sum(line.slope for line in lines)) / whole
    spread = sum((line.slope - rate) ** 2 - line.slope_se**2 for line in lines)
    scatter = sum(line.residual_sd**2 for line in lines)
    rate_var = (PIECES_USUAL * usual.rate_sd**2 + max(spread, 0.0)) / whole
    unit = (PIECES_USUAL * usual.scatter**2 + scatter) / whole
    fitted = [weigh([trend.learn(b, _passed(piece)) for b in beliefs(usual)]) for piece in fit]
    total = sum(shape.weight for shape in usual.shapes)
    shapes = tuple(
        replace(shape, weight=(PIECES_USUAL * shape.weight / total + sum(share)) / whole)
        for shape, share in zip(usual.shapes, zip(*fitted, strict=True), strict=True)
    )
    return replace(
        usual,
        rate=rate,
        rate_sd=math.sqrt(rate_var),
        scatter=math.sqrt(unit),
        shapes=shapes,
    )


def _passed(piece: Sequence[tuple[float, float]]) -> list[tuple[float, float]]:
    before = [piece[0][0], *(week for week, _ in piece[:-1])]
    return [(week - past, y) for past, (week, y) in zip(before, piece, strict=True)]
