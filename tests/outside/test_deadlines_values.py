"""Dates counted back, against published rules and other people's programs."""

from datetime import UTC, date, datetime, time, timedelta

import holidays
import numpy as np
import pytest
from hypothesis import given, settings
from hypothesis import strategies as st

from planner.deadlines import (
    After,
    Anchor,
    Deadline,
    Lead,
    Problem,
    Task,
    Unit,
    Workdays,
    answer,
)
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


# Projects of the critical path method. Each job is a task of one deadline, the end of the project.
# Hillier & Lieberman, Introduction to Operations Research, the Reliable Construction project: the
# durations mostly read at solutioninn.com/14060241, the rest and the results from memory.
HOUSE = {
    "A": (2, ""), "B": (4, "A"), "C": (10, "B"), "D": (6, "C"), "E": (4, "C"), "F": (5, "E"),
    "G": (7, "D"), "H": (9, "EG"), "I": (7, "C"), "J": (8, "FI"), "K": (4, "J"), "L": (5, "J"),
    "M": (2, "H"), "N": (6, "KL"),
}  # fmt: skip
# GLPK, the example cpp.mod, which says: "The optimal solution is 46"; the starts as glpsol finds.
CPP = {
    "A": (3, ""), "B": (4, "A"), "C": (3, "B"), "D": (10, "B"), "E": (8, "D"), "F": (4, "D"),
    "G": (6, "D"), "H": (8, "CEFG"), "I": (5, "H"), "J": (5, "H"), "K": (4, "I"), "L": (2, "J"),
    "M": (4, "KL"),
}  # fmt: skip
# Wikipedia, "Program evaluation and review technique", the example of seven activities, from
# memory: optimistic, likely and pessimistic times, of which (o + 4m + p)/6 is expected.
PERT = {
    "a": (2, 4, 6, ""), "b": (3, 5, 9, ""), "c": (4, 5, 7, "a"), "d": (4, 6, 10, "a"),
    "e": (4, 5, 7, "bc"), "f": (3, 4, 8, "d"), "g": (3, 5, 8, "e"),
}  # fmt: skip


def project(jobs, end):
    """Return the answer for a project that begins today and has to end so many days later."""
    home, start = "America/New_York", date(2026, 1, 1)
    deadline = Deadline("end", "End", start + timedelta(end), zone=home)
    tasks = tuple(
        Task(name, name, "other", "end", takes=Lead(days), after=tuple(map(After, before)))
        for name, (days, before) in jobs.items()
    )
    now = datetime.combine(start, time(8), zone(home))
    found = answer(Problem(now, home, (deadline,), tasks))
    return found, {due.key: due for due in found.tasks}


def starts(dues):
    """Return the day of the project on which each job starts at the earliest."""
    return {key: (due.earliest_start - date(2026, 1, 1)).days for key, due in dues.items()}


def test_the_house_of_fourteen_jobs_takes_44_days():
    found, dues = project(HOUSE, 44)
    assert found.impossible == ()
    assert "".join(found.critical) == "ABCEFJLN"
    assert {key for key, due in dues.items() if due.critical} == set("ABCEFJLN")
    slack = {key: due.slack for key, due in dues.items() if due.slack}
    assert slack == {"D": 4, "G": 4, "H": 4, "M": 4, "I": 2, "K": 1}


def test_a_day_less_than_44_is_impossible_and_says_by_how_much():
    found, dues = project(HOUSE, 43)
    assert found.impossible == ("N",)
    assert [(move.kind, move.key, move.days) for move in found.moves] == [("deadline", "end", 1)]
    assert {due.slack for due in dues.values() if due.critical} == {-1}


def test_the_thirteen_jobs_of_glpk_take_46_days():
    found, dues = project(CPP, 46)
    assert found.impossible == ()
    assert project(CPP, 45)[0].impossible == ("M",)
    critical = {key: start for key, start in starts(dues).items() if dues[key].critical}
    assert critical == {"A": 0, "B": 3, "D": 7, "E": 17, "H": 25, "I": 33, "K": 38, "M": 42}
    assert starts(dues)["C"] == 7


def test_expected_times_of_pert():
    """In sixths of a day, so that the expected times (o + 4m + p)/6 are whole numbers."""
    jobs = {key: (o + 4 * m + p, before) for key, (o, m, p, before) in PERT.items()}
    found, dues = project(jobs, 117)
    assert found.impossible == ()
    assert project(jobs, 116)[0].impossible == ("g",)
    assert pytest.approx(19.5, abs=0.01) == 117 / 6
    slack = {key: due.slack / 6 for key, due in dues.items()}
    assert slack == pytest.approx(
        {"a": 0, "c": 0, "e": 0, "g": 0, "b": 3.83, "d": 4.67, "f": 4.67}, abs=0.01
    )


@settings(deadline=None)
@given(day=days, count=st.integers(0, 60), near=st.sets(st.integers(0, 90), max_size=30))
def test_counting_ahead_agrees_with_numpy(day, count, near):
    """numpy.busday_offset(..., roll="forward"): the first day that counts back far enough."""
    off = [day + timedelta(after) for after in near]
    expected = np.busday_offset(day, count, roll="forward", holidays=off)
    assert Workdays(off).ahead(day, Lead(count, Unit.WORKING_DAYS)) == expected.item()


def test_a_week_before_an_audition_steps_over_the_holidays():
    """Five working days before Monday 4 January 2027 is 24 December, as above."""
    anchor = Anchor("a", "the audition", date(2027, 1, 4), settled=True)
    before = Lead(5, Unit.WORKING_DAYS)
    deadline = Deadline("d", "Music", zone="America/New_York", anchor="a", before=before)
    problem = Problem(
        datetime(2026, 9, 1, tzinfo=UTC), "America/New_York", (deadline,),
        (Task("t", "Send the music", "student", "d"),), days_off(2026, 2027), anchors=(anchor,),
    )  # fmt: skip
    assert answer(problem).tasks[0].plan_by == date(2026, 12, 24)
