"""The line and its ranges against published values and another program."""

import random

import numpy as np
import pytest
import statsmodels.api as sm

from planner.regression import below, chance_at_least, fit, interval, predict
from planner.trend import Belief, learn

# Certified values of NIST StRD "Norris" (linear regression, 36 points); the residual standard
# deviation is quoted from memory and was confirmed by computing.
NORRIS_X = [
    0.2, 337.4, 118.2, 884.6, 10.1, 226.5, 666.3, 996.3, 448.6, 777.0, 558.2, 0.4, 0.6, 775.5,
    666.9, 338.0, 447.5, 11.6, 556.0, 228.1, 995.8, 887.6, 120.2, 0.3, 0.3, 556.8, 339.1, 887.2,
    999.0, 779.0, 11.1, 118.3, 229.2, 669.1, 448.9, 0.5,
]  # fmt: skip
NORRIS_Y = [
    0.1, 338.8, 118.1, 888.0, 9.2, 228.1, 668.5, 998.5, 449.1, 778.9, 559.2, 0.3, 0.1, 778.1,
    668.8, 339.3, 448.9, 10.8, 557.7, 228.3, 998.0, 888.8, 119.6, 0.3, 0.6, 557.6, 339.3, 888.0,
    998.5, 778.9, 10.2, 117.6, 228.9, 668.4, 449.2, 0.2,
]  # fmt: skip

# Kutner, Nachtsheim, Neter, Li, Applied Linear Statistical Models, 5th ed., chapters 1 and 2
# (Toluca Company; from memory, the data set is described in R's api2lm).
TOLUCA_X = [
    80, 30, 50, 90, 70, 60, 120, 80, 100, 50, 40, 70, 90, 20, 110, 100, 30, 50, 90, 110, 30, 90,
    40, 80, 70,
]  # fmt: skip
TOLUCA_Y = [
    399, 121, 221, 376, 361, 224, 546, 352, 353, 157, 160, 252, 389, 113, 435, 420, 212, 268, 377,
    421, 273, 468, 244, 342, 323,
]  # fmt: skip

# Clean tempos of six weeks. With the prior proportional to 1/sigma^2 the predictive distribution
# is the classical t (Gelman and others, Bayesian Data Analysis, 3rd ed., 14.2; from memory).
WEEKS = [0, 7, 14, 21, 28, 35]
TEMPOS = [60, 66, 69, 77, 80, 88]


def test_norris_agrees_with_the_certified_values():
    line = fit(NORRIS_X, NORRIS_Y)
    assert line.slope == pytest.approx(1.00211681802045, rel=1e-9)
    assert line.intercept == pytest.approx(-0.262323073774029, rel=1e-9)
    assert line.slope_se == pytest.approx(0.000429796848199937, rel=1e-9)
    assert line.intercept_se == pytest.approx(0.232818234301152, rel=1e-9)
    assert line.residual_sd == pytest.approx(0.884796396144373, rel=1e-9)


def test_toluca_agrees_with_the_textbook():
    line = fit(TOLUCA_X, TOLUCA_Y)
    assert (round(line.intercept, 2), round(line.slope, 4)) == (62.37, 3.5702)
    assert round(line.residual_sd**2) == 2384
    assert round(predict(line, 100)[0], 1) == 419.4
    assert [round(end, 1) for end in interval(line, 100, 0.9)] == [332.2, 506.6]


def test_the_predictive_probability_agrees_with_the_closed_form():
    line = fit(WEEKS, TEMPOS)
    mean, se = predict(line, 63)
    assert (mean, se) == (pytest.approx(108.619048, abs=1e-6), pytest.approx(2.611678, abs=1e-6))
    assert chance_at_least(line, 63, 112) == pytest.approx(0.132575, abs=1e-6)


@pytest.mark.parametrize("seed", range(12))
def test_random_points_agree_with_statsmodels(seed):
    rng = random.Random(seed)
    x = [rng.uniform(0, 200) for _ in range(rng.randint(3, 25))]
    y = [40 + rng.uniform(-1, 1) * day + rng.gauss(0, 6) for day in x]
    ours, theirs = fit(x, y), sm.OLS(y, sm.add_constant(x)).fit()
    assert [ours.intercept, ours.slope] == pytest.approx(list(theirs.params), rel=1e-9)
    assert [ours.intercept_se, ours.slope_se] == pytest.approx(list(theirs.bse), rel=1e-9)
    frame = theirs.get_prediction([[1, 260]]).summary_frame(alpha=0.2)
    ends = [frame["obs_ci_lower"].iloc[0], frame["obs_ci_upper"].iloc[0]]
    assert list(interval(ours, 260, 0.8)) == pytest.approx(ends, rel=1e-9)


def learned(prior, x, y):
    """Belief after the points, the prior standing at x[0]."""
    before = [x[0], *x[:-1]]
    return learn(prior, [(b - a, value) for a, b, value in zip(before, x, y, strict=True)])


# Without knowledge: 1/sigma^2 for the scatter is df -2 and no squares; level and rate anywhere.
FLAT = Belief(0.0, 0.0, 1e9, 0.0, 1e9, df=-2.0, squares=0.0)


def test_the_belief_without_knowledge_agrees_with_the_closed_form():
    belief = learned(FLAT, WEEKS, TEMPOS)
    mean, scale = belief.at(63 - 35, own=1.0)
    assert (belief.df, mean, scale) == (
        4, pytest.approx(108.619048, abs=1e-5), pytest.approx(2.611678, abs=1e-5)
    )  # fmt: skip
    assert below(4, (mean - 112) / scale) == pytest.approx(0.132575, abs=1e-5)


def test_the_belief_with_known_scatter_agrees_with_the_closed_form():
    """Bishop, Pattern Recognition and Machine Learning, 3.3, alpha 0.01, beta 0.25; from memory.

    Scatter of variance 4 as good as known; level and rate about 0 with variance 100, 25 times that.
    """
    sure = Belief(0.0, 0.0, 25.0, 0.0, 25.0, df=1e12, squares=4e12)
    mean, scale = learned(sure, WEEKS, TEMPOS).at(63 - 35, own=1.0)
    assert mean == pytest.approx(110.401258, abs=1e-6)
    assert scale**2 == pytest.approx(14.232396, abs=1e-6)
    assert below(10**9, (mean - 112) / scale) == pytest.approx(0.335863, abs=1e-6)


@pytest.mark.parametrize("seed", range(6))
def test_the_belief_without_knowledge_agrees_with_statsmodels(seed):
    rng = random.Random(seed)
    x = sorted(rng.uniform(0, 20) for _ in range(rng.randint(4, 25)))
    y = [40 + rng.uniform(-1, 1) * week + rng.gauss(0, 6) for week in x]
    belief, theirs = learned(FLAT, x, y), sm.OLS(y, sm.add_constant(x)).fit()
    frame = theirs.get_prediction([[1, x[-1] + 8]]).summary_frame(alpha=0.2)
    mean, scale = belief.at(8.0)
    assert mean == pytest.approx(frame["mean"].iloc[0], rel=1e-5)
    assert scale == pytest.approx(frame["mean_se"].iloc[0], rel=1e-5)


@pytest.mark.parametrize("fade, drift", [(0.0, 0.3), (0.14, 0.05)])
def test_wandering_and_fading_agree_with_the_whole_covariance(fade, drift):
    """The steps give what one large normal distribution of all points gives, built in full."""
    x, y = [0.0, 1.0, 2.5, 3.0, 6.0], [50.0, 54.0, 57.0, 61.0, 63.0]
    sure = Belief(45.0, 4.0, 9.0, -1.0, 2.0, df=1e12, squares=4e12, fade=fade, rate_drift=drift)
    belief = learned(sure, x, y)
    start, noise = np.array([[9.0, -1.0], [-1.0, 2.0]]), []
    states, steps = [np.eye(2)], []
    for passed in np.diff(x):
        gain = (1 - np.exp(-fade * passed)) / fade if fade else passed
        step = np.array([[1, gain], [0, np.exp(-fade * passed)]])
        wander = drift * passed * np.array([[gain**2 / 3, gain / 2], [gain / 2, 1]])
        noise.append(wander)
        steps.append(step)
        states.append(step @ states[-1])
    cover = np.zeros((5, 5, 2, 2))
    own = [start]
    for step, wander in zip(steps, noise, strict=True):
        own.append(step @ own[-1] @ step.T + wander)
    for i in range(5):
        moved = own[i]
        cover[i, i] = moved
        for j in range(i + 1, 5):
            moved = steps[j - 1] @ moved
            cover[j, i], cover[i, j] = moved, moved.T
    heard = cover[:, :, 0, 0] + np.eye(5)
    means = np.array([(state @ [45.0, 4.0])[0] for state in states])
    weights = cover[4, :, :, 0].T @ np.linalg.inv(heard)
    level, rate = states[4] @ [45.0, 4.0] + weights @ (np.array(y) - means)
    rest = cover[4, 4] - weights @ cover[4, :, :, 0]
    assert (belief.level, belief.rate) == (pytest.approx(level), pytest.approx(rate))
    assert [belief.level_var, belief.both_var, belief.rate_var] == pytest.approx(
        [rest[0, 0], rest[0, 1], rest[1, 1]]
    )
