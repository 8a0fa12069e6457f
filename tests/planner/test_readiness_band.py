"""The band of a forecast: the same belief as its days, wider the longer nothing was heard."""

from datetime import timedelta
from itertools import pairwise

import pytest

from planner.readiness import Audition, Check, Piece, Problem, Settings, Slot, answer
from planner.readiness.band import levels
from planner.readiness.pace import measure_pace
from tests.planner.learners import TODAY, learners

WEEK = timedelta(weeks=1)
# The band is found as finely as this, in points.
FINE = 1e-3
READY_AT = Settings().ready_at - FINE


def hear(checks, *days, silent=0, **settings):
    """The answer for one piece that auditions of these days ask for, heard `silent` days ago."""
    going = tuple(
        Audition(f"a{n}", "Fairmont", on, (Slot("Solo", 1, ("p",)),)) for n, on in enumerate(days)
    )
    piece = Piece("p", "Study 14", tuple(checks))
    today = TODAY + timedelta(days=silent)
    return answer(Problem(today, (piece,), going, Settings(**settings))).pieces[0]


def weekly(*marks):
    """Checks a week apart up to today, one mark each."""
    return [Check(TODAY - n * WEEK, marks=(mark,)) for n, mark in enumerate(reversed(marks))]


def crossing(band, edge):
    """The two days of the band between which that edge (1 low, 2 middle, 3 high) is ready."""
    for before, after in pairwise(band):
        if before[edge] < READY_AT <= after[edge]:
            return before[0], after[0]
    return None


LEARNERS = learners(40, 11)


@pytest.fixture(scope="module")
def forecasts():
    all_found = [hear(each.checks, silent=silent) for each in LEARNERS for silent in (0, 15, 30)]
    return [found for found in all_found if found.known == "forecast"]


@pytest.mark.parametrize("edge, name", [(1, "latest"), (2, "ready_on"), (3, "earliest")])
def test_the_band_reaches_ready_on_the_days_that_are_said(forecasts, edge, name):
    """A curve that turned counts for the days as far as it came: a day or two at the edges."""
    slack = timedelta(days=1 if name == "ready_on" else 2)
    said = [found for found in forecasts if found.band[0][edge] < READY_AT]
    assert len(said) > 200
    for found in said:
        between, day = crossing(found.band, edge), getattr(found, name)
        if between is None:
            assert day is None or day > found.band[-1][0] - slack
        else:
            assert between[0] - slack <= day <= between[1] + slack


def test_the_band_is_in_order_within_100_and_begins_today(forecasts):
    for found in forecasts:
        for _, low, middle, high in found.band:
            assert 0 <= low <= middle <= high <= 100
        days = [row[0] for row in found.band]
        assert all(timedelta(0) < after - before <= WEEK for before, after in pairwise(days))
    assert hear(weekly(0.5, 0.6)).band[0][0] == TODAY


def test_it_goes_on_eight_weeks_after_the_last_audition_that_asks_for_the_piece():
    checks = weekly(0.4, 0.45, 0.5, 0.56, 0.61)
    soon, late = TODAY + 3 * WEEK, TODAY + 10 * WEEK
    assert hear(checks, late, soon, None).band[-1][0] == late + 8 * WEEK
    assert hear(checks, TODAY - WEEK).band[-1][0] == max(
        TODAY + 8 * WEEK, hear(checks).latest or TODAY
    )
    assert hear(checks, late, horizon_days=50).band[-1][0] == TODAY + timedelta(days=50)


def test_it_goes_on_to_the_end_of_the_range_where_that_is_near(forecasts):
    ends = [each for each in forecasts if each.latest]
    near = [each for each in ends if TODAY + 13 * WEEK < each.latest < TODAY + 26 * WEEK]
    far = [each for each in ends if each.latest > TODAY + 31 * WEEK]
    assert near and far
    assert all(found.band[-1][0] == found.latest for found in near)
    assert all(found.band[-1][0] < found.latest for found in far)


def test_a_wider_coverage_is_a_wider_band():
    checks = weekly(0.4, 0.45, 0.5, 0.56)
    half, most = (hear(checks, coverage=share).band[4] for share in (0.5, 0.9))
    assert most[1] < half[1] < half[2] == pytest.approx(most[2], abs=0.05)
    assert half[2] < half[3] < most[3]


def test_a_piece_that_does_not_gain_has_a_band_that_never_is_ready():
    found = hear(weekly(0.7, 0.65, 0.6))
    assert found.known == "not gaining"
    assert all(middle < READY_AT for _, _, middle, _ in found.band)


def test_the_longer_nothing_was_heard_the_wider_is_every_day_still_to_come():
    """As of each day of silence, for the same days ahead and for the same days of the calendar.

    But for a share of 0.003: where the curves disagree, doubt may even out their range a little.
    """
    for learner in LEARNERS:
        widths, middles = zip(*(_still_to_come(learner, n) for n in range(0, 43, 3)), strict=True)
        for (before, after), (higher, lower) in zip(
            pairwise(widths), pairwise(middles), strict=True
        ):
            assert all(after >= 0.997 * before)
            assert all(lower[3:] <= higher[3:] + 0.01)
        assert all(widths[-1] > widths[0])


def _still_to_come(learner, silent):
    """Width and middle on three days ahead and two of the calendar, after so long a silence."""
    days, heard = zip(*learner.heard, strict=True)
    today = days[-1] + timedelta(days=silent)
    pace = measure_pace(days, heard, 95, today, Settings())
    low, middle, high = levels(pace, [0, 14, 56, 60 - silent, 120 - silent], (0.1, 0.5, 0.9))
    return high - low, middle


@pytest.mark.parametrize(
    "checks",
    [
        [],
        weekly(0.5),
        weekly(0.7, 0.8, 0.9),
        # The points are there, the marks are not: what is still missing is not in points.
        [Check(TODAY - n * WEEK, 112, 112, (0.79 - 0.01 * n,), 1.0) for n in range(4)],
    ],
)
def test_without_a_forecast_of_the_points_there_is_no_band(checks):
    assert hear(checks).band == ()


def test_a_piece_too_long_unheard_has_no_band():
    assert hear(weekly(0.5, 0.6, 0.7), silent=43).band == ()
