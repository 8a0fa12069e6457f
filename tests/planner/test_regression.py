"""What a fitted line says, and what it refuses to say."""

import math

import pytest
from hypothesis import given
from hypothesis import strategies as st

from planner.regression import chance_at_least, fit, interval, predict, quantile

SCATTERED = ([0, 7, 14, 21], [50, 55, 53, 62])


def test_points_on_a_line_give_that_line():
    line = fit([1, 2, 4], [5, 7, 11])
    assert (line.slope, line.intercept) == pytest.approx((2, 3))
    assert line.residual_sd == pytest.approx(0, abs=1e-12)


def test_two_points_give_a_line_but_no_range():
    line = fit([0, 10], [40, 60])
    assert line.at(20) == pytest.approx(80)
    assert (line.slope_se, line.intercept_se, line.residual_sd) == (None, None, None)
    assert predict(line, 20) == (pytest.approx(80), None)
    with pytest.raises(ValueError, match="at least three"):
        interval(line, 20, 0.8)
    with pytest.raises(ValueError, match="at least three"):
        chance_at_least(line, 20, 70)


@pytest.mark.parametrize("x, y", [([3], [1]), ([], []), ([5, 5, 5], [1, 2, 3])])
def test_one_day_is_no_line(x, y):
    with pytest.raises(ValueError, match="two different x"):
        fit(x, y)


def test_a_point_without_its_value_is_refused():
    with pytest.raises(ValueError, match="x has 3 values and y has 2"):
        fit([1, 2, 3], [1, 2])


def test_days_counted_from_year_one_lose_no_digits():
    near = fit(*SCATTERED)
    far = fit([740_000 + day for day in SCATTERED[0]], SCATTERED[1])
    assert far.slope == pytest.approx(near.slope, rel=1e-13)
    assert far.slope_se == pytest.approx(near.slope_se, rel=1e-13)


def test_the_range_widens_away_from_the_points():
    line = fit(*SCATTERED)
    widths = [high - low for low, high in (interval(line, x, 0.8) for x in (10.5, 28, 60))]
    assert widths[0] < widths[1] < widths[2]


def test_the_chance_at_an_end_of_the_range_is_its_tail():
    line = fit(*SCATTERED)
    low, high = interval(line, 30, 0.8)
    assert chance_at_least(line, 30, low) == pytest.approx(0.9)
    assert chance_at_least(line, 30, high) == pytest.approx(0.1)


def test_without_scatter_the_chance_is_yes_or_no():
    line = fit([0, 1, 2], [0, 1, 2])
    assert (chance_at_least(line, 4, 4), chance_at_least(line, 4, 4.1)) == (1.0, 0.0)


def test_a_quantile_needs_a_degree_of_freedom_and_a_probability():
    for df, p in ((0, 0.9), (3, 1.0), (3, 0.0)):
        with pytest.raises(ValueError, match="no t quantile"):
            quantile(df, p)


VALUES = st.lists(st.floats(-100, 100), min_size=3, max_size=12)


@given(VALUES, st.floats(-50, 50), st.floats(-50, 50))
def test_lifting_and_tilting_the_points_lifts_and_tilts_the_line(y, lift, tilt):
    x = list(range(len(y)))
    before = fit(x, y)
    after = fit(x, [value + lift + tilt * day for day, value in zip(x, y, strict=True)])
    assert after.slope == pytest.approx(before.slope + tilt, abs=1e-9)
    assert after.at(20) == pytest.approx(before.at(20) + lift + 20 * tilt, abs=1e-8)
    assert math.isclose(after.residual_sd, before.residual_sd, abs_tol=1e-9)
