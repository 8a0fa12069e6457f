"""A level and its rate, learned from few and irregular points: a Bayesian line, or curve.

The level gains its rate in each unit of time; the rate fades by the share exp(-fade), so that
with fade 0 the level runs in a line and else flattens towards a height of its own. Both wander a
little between points: old points weigh less, and what was not looked at for long is less sure.
Level, rate and the unknown variance of the scatter have a normal-inverse-gamma prior, so every
answer is a Student t in closed form (West and Harrison, Bayesian Forecasting and Dynamic Models,
2nd ed., 4.5; from memory). Without fading and wandering, a flat prior gives least squares.
"""

import math
from collections.abc import Iterable
from dataclasses import dataclass

import numpy as np


@dataclass(frozen=True, slots=True)
class Belief:
    """What is believed at one time: level, rate and scatter, in units of y and of time.

    level_var, both_var (covariance) and rate_var count in variances of the scatter, which is
    inverse gamma: `squares` over `df` is its point estimate. level_drift, rate_drift: what level
    and rate wander in one unit of time, as variances in the same measure. evidence: natural
    logarithm of the density of the points so far, but for what depends on `df` alone. settle: ahead
    of the last point the rate wanders for so much time only, and is then taken to have settled.
    carry, pause: between two points further apart than `carry`, up to `pause` of the time beyond it
    may have brought nothing. Every share of that gain is as likely to be missing (uniform): half
    is counted, and a third of its square is variance.
    """

    level: float
    rate: float
    level_var: float
    both_var: float
    rate_var: float
    df: float
    squares: float
    fade: float = 0.0
    level_drift: float = 0.0
    rate_drift: float = 0.0
    evidence: float = 0.0
    settle: float = math.inf
    carry: float = math.inf
    pause: float = math.inf

    @property
    def variance(self) -> float:
        """The scatter of one point, as a variance."""
        return self.squares / self.df

    def gain(self, ahead):
        """So much of the rate is gained in so much time: `ahead` itself where nothing fades."""
        return -np.expm1(-self.fade * ahead) / self.fade if self.fade else ahead

    def spread(self, ahead, own: float = 0.0):
        """Scale of the level so far ahead (>= 0; a number or an array), in units of y.

        own: 1 for a new point, whose own scatter comes on top.
        """
        gain = self.gain(ahead)
        wild = np.minimum(gain, self.settle)
        calm = gain - wild
        wander = self.rate_drift * wild * (wild * wild / 3 + calm * (wild + calm))
        known = self.level_var + gain * (2 * self.both_var + gain * self.rate_var)
        return np.sqrt(self.variance * (own + known + ahead * self.level_drift + wander))

    def at(self, ahead, own: float = 0.0):
        """Mean and scale of the level so far ahead: Student's t with `df` degrees of freedom."""
        return self.level + self.gain(ahead) * self.rate, self.spread(ahead, own)


def learn(prior: Belief, points: Iterable[tuple[float, float]]) -> Belief:
    """Belief after these points: (time passed since the one before, y); the first since `prior`."""
    level, rate, fade = prior.level, prior.rate, prior.fade
    ll, lr, rr = prior.level_var, prior.both_var, prior.rate_var
    df, squares, evidence = prior.df, prior.squares, prior.evidence
    level_drift, rate_drift = prior.level_drift, prior.rate_drift
    carry, pause = prior.carry, prior.pause
    for passed, y in points:
        if passed:
            kept = math.exp(-fade * passed)
            gain = (1 - kept) / fade if fade else passed
            wander = rate_drift * passed
            level += gain * rate
            if passed > carry and rate > 0:
                missed = prior.gain(min(passed, carry + pause)) - prior.gain(carry)
                half = missed * rate / 2
                level -= half
                ll += half * half * df / (3 * squares)
            ll += gain * (2 * lr + gain * (rr + wander / 3)) + passed * level_drift
            lr = kept * (lr + gain * rr) + gain * wander / 2
            rr = kept * kept * rr + wander
            rate *= kept
        whole = ll + 1
        off = y - level
        level += off * ll / whole
        rate += off * lr / whole
        ll, lr, rr = ll / whole, lr / whole, rr - lr * lr / whole
        miss = off * off / whole
        if squares:
            evidence -= (math.log(whole * squares) + (df + 1) * math.log1p(miss / squares)) / 2
        squares += miss
        df += 1
    return Belief(
        level, rate, ll, lr, rr, df, squares,
        fade, level_drift, rate_drift, evidence, prior.settle, carry, pause,
    )  # fmt: skip
