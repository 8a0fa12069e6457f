"""What a long silence between two points says of the pace; published values are in outside/."""

from dataclasses import replace

import pytest

from planner.trend import Belief, learn

USUAL = Belief(50.0, 4.5, 100.0, 0.0, 1.5, df=6.0, squares=36.0, carry=1.5, pause=4.0)
BLIND = replace(USUAL, carry=100.0)


def heard(belief, *points):
    return learn(belief, [(0.0, 50.0), *points])


def test_a_pause_of_one_point_is_half_counted_with_a_third_of_its_square():
    rate, sure = 6.0, 1e-9
    before = Belief(50.0, rate, sure, 0.0, sure, df=1e9, squares=4e9, carry=1.5, pause=4.0)
    # Nearly no weight on the point itself: what is left is the level before it was heard.
    found = learn(replace(before, level_var=1e-6), [(3.5, 0.0)])
    missed = 2.0 * rate
    told = (missed / 2) ** 2 / 3 / 4
    assert found.level == pytest.approx((50 + 3.5 * rate - missed / 2) / (1 + told), rel=1e-4)
    assert found.level_var == pytest.approx(told / (1 + told), rel=1e-4)


def test_a_holiday_is_no_slower_pace():
    """Four points a week, three weeks away, four points a week again."""
    weeks = [(1.0, 54.0), (1.0, 58.0), (1.0, 62.0), (4.0, 66.0), (1.0, 70.0)]
    assert heard(BLIND, *weeks).rate < 3 < heard(USUAL, *weeks).rate < 4.5


def test_points_close_together_know_of_no_pause():
    weeks = [(1.0, 54.0), (1.5, 59.0), (1.0, 62.0)]
    assert replace(heard(USUAL, *weeks), carry=100.0) == heard(BLIND, *weeks)


def test_no_pause_is_longer_than_the_longest():
    """After half a year away the pace is at most what it would be with four weeks less."""
    away = [(1.0, 54.0), (26.0, 110.0)]
    assert heard(BLIND, *away).rate < heard(USUAL, *away).rate
    shorter = heard(BLIND, (1.0, 54.0), (22.0, 110.0)).rate
    assert heard(USUAL, *away).rate < shorter


def test_a_falling_level_is_not_taken_for_a_pause():
    falling = replace(USUAL, rate=-3.0)
    blind = replace(falling, carry=100.0)
    assert replace(learn(falling, [(4.0, 40.0)]), carry=100.0) == learn(blind, [(4.0, 40.0)])
