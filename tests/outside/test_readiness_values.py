"""The line and its ranges against published values and another program."""

import random
from datetime import date, timedelta

import pytest
import statsmodels.api as sm

from planner.readiness import Check, Piece, Problem, answer
from planner.regression import chance_at_least, fit, interval, predict

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


def test_the_range_of_a_ready_day_is_where_statsmodels_puts_it():
    """Fieller's range: all days on which the mean's 80 % interval holds the height of ready."""
    today, first = date(2027, 1, 12), date(2026, 11, 24)
    marks = [0.36, 0.43, 0.42, 0.50, 0.49, 0.58, 0.57, 0.63]
    days = [first + timedelta(weeks=week) for week in range(8)]
    checks = tuple(Check(day, marks=(m,)) for day, m in zip(days, marks, strict=True))
    piece = answer(Problem(today, (Piece("p", "Study", checks),))).pieces[0]
    x = sm.add_constant([7.0 * week for week in range(8)])
    model = sm.OLS([100 * m / 0.9 for m in marks], x).fit()
    assert model.scale**0.5 > 2.0, "below the grain the ranges differ on purpose"
    ahead = [today + timedelta(days=n) for n in range(1, 366)]
    frame = model.get_prediction([[1, (day - first).days] for day in ahead]).summary_frame(0.2)
    for field, column in (
        ("earliest", "mean_ci_upper"), ("ready_on", "mean"), ("latest", "mean_ci_lower"),
    ):  # fmt: skip
        over = [day for day, height in zip(ahead, frame[column], strict=True) if height >= 95]
        assert getattr(piece, field) == over[0]


def test_eighty_percent_ranges_hold_about_eighty_percent_of_the_time():
    """Steady learners with a known true day: the range is to hold it 75 to 85 times in 100."""
    rng, today, held, count = random.Random(20270112), date(2027, 1, 12), 0, 1500
    for _ in range(count):
        checks, pace, scatter = rng.randint(4, 9), rng.uniform(3, 5), rng.uniform(2.5, 5)
        now = rng.uniform(60, 75)
        heard = [now - pace * week + rng.gauss(0, scatter) for week in range(checks)]
        piece = Piece("p", "Study", tuple(
            Check(today - timedelta(weeks=week), marks=(0.9 * points / 100,))
            for week, points in enumerate(heard)
        ))  # fmt: skip
        found = answer(Problem(today, (piece,))).pieces[0]
        true_day = today + timedelta(days=7 * (95 - now) / pace)
        if found.ready_on is None:
            continue
        held += found.earliest <= true_day <= (found.latest or date.max)
    assert 0.75 <= held / count <= 0.85
