"""Dates counted back, against published rules and other people's programs."""

from datetime import UTC, date, datetime, time, timedelta

import holidays
import numpy as np
import pytest
from hypothesis import given, settings
from hypothesis import strategies as st

from planner.deadlines import Deadline, Lead, Problem, Task, Unit, Workdays, answer
from planner.zones import zone

# Federal holidays of 2026 by the rule of 5 USC 6103, as listed at
# ca6.uscourts.gov/federal-holidays; 4 July is a Saturday, so Friday 3 July is kept.
FEDERAL_2026 = [
    date(2026, month, day)
    for month, day in [(1, 1), (1, 19), (2, 16), (5, 25), (6, 19), (7, 3), (9, 7), (10, 12),
                       (11, 11), (11, 26), (12, 25)]
]  # fmt: skip


def days_off(*years):
    """Return the federal holidays as the site gets them, from the package `holidays`."""
    return tuple(sorted(holidays.country_holidays("US", years=years)))


def test_the_package_of_holidays_gives_the_days_of_the_law():
    on_weekdays = [day for day in days_off(2026) if day.weekday() < 5]
    assert on_weekdays == FEDERAL_2026


# Computed with numpy's busday_offset and pandas' CustomBusinessDay, federal holidays left out.
@pytest.mark.parametrize(
    ("start", "count", "due"),
    [
        (date(2026, 12, 1), 10, date(2026, 11, 16)),
        (date(2027, 1, 4), 5, date(2026, 12, 24)),
        (date(2026, 11, 28), 3, date(2026, 11, 23)),  # a Saturday: rolled back first
    ],
)
def test_working_days_count_back_as_other_programs_do(start, count, due):
    deadline = Deadline("d", "Transcript", start, zone="America/New_York")
    task = Task("t", "Ask", "student", "d", lead=Lead(count, Unit.WORKING_DAYS))
    now = datetime(2026, 9, 1, tzinfo=UTC)
    problem = Problem(now, "America/New_York", (deadline,), (task,), days_off(2026, 2027))
    assert answer(problem).tasks[0].plan_by == due


def test_a_period_counted_backward_rolls_backward():
    """FRCP 6(a)(5), read at laws9.com; the example, before Labor Day 2007, is from memory."""
    workdays = Workdays(days_off(2007))
    assert workdays.roll_back(date(2007, 9, 1)) == date(2007, 8, 31)


days = st.dates(date(2020, 1, 1), date(2035, 12, 31))


@settings(deadline=None)
@given(
    day=days,
    count=st.integers(0, 60),
    off=st.lists(days, max_size=30),
    near=st.sets(st.integers(0, 90), max_size=30),
    weekend=st.sets(st.integers(0, 6), max_size=6),
)
def test_counting_back_agrees_with_numpy(day, count, off, near, weekend):
    """numpy.busday_offset(..., roll="backward") is the oracle, with any weekend."""
    off = [*off, *(day - timedelta(ago) for ago in near)]
    mask = [weekday not in weekend for weekday in range(7)]
    expected = np.busday_offset(day, -count, roll="backward", weekmask=mask, holidays=off)
    assert Workdays(off, weekend).back(day, Lead(count, Unit.WORKING_DAYS)) == expected.item()


# From the pinned tzdata, 2026f (British Columbia and Alberta also at lists.iana.org); a system's
# older files give an hour less in winter.
@pytest.mark.parametrize(
    ("place", "offset"),
    [("America/Vancouver", -7), ("America/Edmonton", -6), ("America/Winnipeg", -5)],
)
def test_winter_2027_deadlines_use_the_pinned_rules(place, offset):
    due = deadline_at(date(2027, 1, 15), time(17), place, "America/New_York")
    assert due.due.utcoffset() == timedelta(hours=offset)
    assert due.due_home.time() == time(17 + -5 - offset)


# New York changes at 07:00Z on 14 March 2027 and 06:00Z on 7 November: 15 USC 260a; London at
# 01:00Z on 28 March 2027, so that the two are four hours apart on 20 March.
@pytest.mark.parametrize(
    ("day", "utc_hour", "london_hour"),
    [
        (date(2027, 3, 13), 22, 22),
        (date(2027, 3, 14), 21, 21),
        (date(2027, 3, 20), 21, 21),
        (date(2027, 3, 28), 21, 22),
        (date(2027, 11, 6), 21, 21),
        (date(2027, 11, 7), 22, 22),
    ],
)
def test_a_deadline_keeps_its_wall_time_over_a_clock_change(day, utc_hour, london_hour):
    due = deadline_at(day, time(17), "America/New_York", "Europe/London")
    assert due.due.astimezone(UTC).hour == utc_hour
    assert due.due_home.hour == london_hour
    assert due.plan_by == day


def test_a_student_in_phoenix_has_an_hour_less_in_summer():
    """Arizona does not change its clocks: 15 USC 260a and tzdata 2026f."""
    winter, summer = (
        deadline_at(day, time(23, 59), "America/New_York", "America/Phoenix").due_home
        for day in (date(2027, 3, 13), date(2027, 3, 14))
    )
    assert (winter.hour, summer.hour) == (21, 20)


def deadline_at(day, clock, place, home):
    """Return the one task due at this deadline."""
    deadline = Deadline("d", "Application", day, clock, place)
    now = datetime(2026, 12, 1, tzinfo=zone(home))
    task = Task("t", "Send it", "student", "d")
    return answer(Problem(now, home, (deadline,), (task,))).tasks[0]
