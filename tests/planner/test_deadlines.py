"""What a task's dates, headings and sentences are, and which problems are refused."""

from dataclasses import replace
from datetime import UTC, date, datetime, time, timedelta

import pytest
from hypothesis import given, settings
from hypothesis import strategies as st

from planner import codec
from planner.deadlines import (
    LEAD_TIMES,
    Deadline,
    Kind,
    Lead,
    Problem,
    Task,
    Unit,
    When,
    answer,
    example,
)
from planner.zones import zone

DENVER = "America/Denver"
NEW_YORK = "America/New_York"
FRIDAY = date(2027, 1, 15)


def on_day(day, clock=time(9, 0), home=DENVER):
    """Return the moment `clock` on `day` at home."""
    return datetime.combine(day, clock, zone(home))


def one(deadline, *, now=None, home=DENVER, days_off=(), **task):
    """Return the only task of a problem with this deadline."""
    tasks = (Task("t", "Send it", "student", deadline.key, **task),)
    now = now or on_day(date(2027, 1, 4))
    return answer(Problem(now, home, (deadline,), tasks, days_off)).tasks[0]


def due_on(on=FRIDAY, at=time(23, 59), stated=NEW_YORK, place=None, **rest):
    return Deadline("d", "Ashgrove", on, at, stated, place, **rest)


# When it is due


def test_a_time_is_shown_there_and_here():
    due = one(due_on())
    assert due.due.isoformat() == "2027-01-15T23:59:00-05:00"
    assert due.due_home.isoformat() == "2027-01-15T21:59:00-07:00"
    assert (due.plan_by, due.all_day, due.zone_stated) == (FRIDAY, False, True)
    assert due.sentence == "due Friday 15 January, 23:59 there, 21:59 here"


def test_a_time_in_the_students_own_zone_is_shown_once():
    assert one(due_on(stated=DENVER)).sentence == "due Friday 15 January, 23:59"


def test_a_date_far_away_carries_its_year():
    assert one(due_on(date(2028, 1, 14), None, DENVER)).sentence == "due Friday 14 January 2028"


def test_a_date_without_a_time_lasts_until_the_end_of_that_day_there():
    due = one(due_on(at=None))
    assert (due.due.time(), due.all_day, due.plan_by) == (time(23, 59), True, FRIDAY)
    assert due.sentence == "due Friday 15 January, which ends 21:59 here"


def test_a_day_that_ends_later_here_is_shown_plainly():
    assert one(due_on(at=None), home="Europe/London").sentence == "due Friday 15 January"


@pytest.mark.parametrize("place", [None, NEW_YORK])
@pytest.mark.parametrize("at", [None, time(17)])
def test_without_a_stated_zone_it_is_planned_a_day_early(at, place):
    due = one(due_on(at=at, stated=None, place=place))
    assert (due.plan_by, due.zone_stated, due.due_home) == (date(2027, 1, 14), False, None)
    assert due.due.tzinfo.key == (place or DENVER)
    shown = ", 17:00" if at else ""
    assert due.sentence == (
        f"due Friday 15 January{shown}; zone not stated, planned a day early: Thursday 14 January"
    )
    assert "Ashgrove states no time zone: planned a day early." in due.reasons


def test_steps_before_an_unstated_deadline_keep_their_distance():
    due = one(due_on(stated=None), lead=Lead(7))
    assert (due.plan_by, due.due_home) == (date(2027, 1, 7), None)


def test_a_step_is_planned_before_its_day_ends_at_home_in_any_season():
    """Samoa is 23 hours behind Auckland in June and 24 in December."""
    deadline = due_on(date(2027, 6, 15), None, "Pacific/Auckland")
    assert one(deadline, home="Pacific/Pago_Pago").plan_by == date(2027, 6, 15)
    due = one(deadline, home="Pacific/Pago_Pago", lead=Lead(180))
    assert (due.due.date(), due.plan_by) == (date(2026, 12, 17), date(2026, 12, 16))


def test_where_it_is_already_later_the_student_plans_for_the_day_at_home():
    due = one(due_on(at=time(9), stated="Australia/Sydney"))
    assert due.plan_by == date(2027, 1, 14)
    assert "9:00 there, 15:00 on Thursday 14 January here; planned for Thursday" in due.sentence
    assert due.reasons == ("By the student's clock it is still Thursday 14 January.",)


def test_where_it_is_still_earlier_the_student_plans_for_the_date_as_written():
    due = one(due_on(stated="America/Los_Angeles"), home="Europe/London")
    assert due.due_home.date() == date(2027, 1, 16)
    assert due.plan_by == FRIDAY


@pytest.mark.parametrize("home", [DENVER, NEW_YORK, "Europe/London"])
def test_midnight_ends_the_day_before(home):
    due = one(due_on(at=time(0, 0)), home=home)
    assert due.plan_by == date(2027, 1, 14)
    assert due.reasons[0] == (
        "00:00 is the end of the day before: Thursday 14 January is the last day."
    )


def test_midnight_at_home_ends_the_day_before_too():
    due = one(due_on(at=time(6), stated="Europe/London"), home="America/Chicago")
    assert (due.due_home.time(), due.plan_by) == (time(0), date(2027, 1, 14))


def test_midnight_skipped_by_the_clocks_still_ends_the_day_before():
    due = one(due_on(date(2027, 4, 30), time(0), "Africa/Cairo"), home="Africa/Cairo")
    assert due.plan_by == date(2027, 4, 29)
    assert "does not exist in Africa/Cairo" in due.reasons[0]


def test_steps_before_a_midnight_deadline_count_from_the_day_before():
    assert one(due_on(at=time(0, 0)), lead=Lead(7)).plan_by == date(2027, 1, 7)


def test_plain_days_are_counted_without_rolling():
    due = one(due_on(date(2027, 1, 16)), lead=Lead(7))
    assert (due.plan_by, due.all_day) == (date(2027, 1, 9), True)
    assert due.sentence == "due Saturday 9 January"
    assert due.reasons == ("Counted back 7 days from Ashgrove, 16 January 2027.",)


def test_working_days_roll_back_first_and_say_what_they_left_out():
    lead = Lead(3, Unit.WORKING_DAYS)
    due = one(due_on(date(2027, 1, 17)), lead=lead, days_off=(date(2027, 1, 14), FRIDAY))
    assert due.plan_by == date(2027, 1, 8)
    assert due.reasons == (
        "Counted back 3 working days from Ashgrove, 17 January 2027.",
        "Sunday 17 January is in a weekend: rolled back to Wednesday 13 January.",
    )
    due = one(due_on(date(2027, 1, 18)), lead=lead, days_off=(FRIDAY, date(2027, 1, 16)))
    assert due.reasons[1:] == ("Days off left out: 15 January.",)


def test_a_step_in_working_days_is_planned_for_a_working_day():
    monday = date(2027, 1, 18)
    due = one(due_on(monday, stated=None), lead=Lead(0, Unit.WORKING_DAYS))
    assert (due.due.date(), due.plan_by) == (monday, FRIDAY)
    assert due.reasons[-1] == "Planned for a working day, Friday 15 January."


def test_work_is_started_as_long_before_as_it_takes():
    assert one(due_on(), takes=Lead(7)).start_on == date(2027, 1, 8)
    due = one(due_on(), takes=Lead(7, Unit.WORKING_DAYS), days_off=(date(2027, 1, 6),))
    assert due.start_on == date(2027, 1, 5)
    assert due.reasons == ("Takes 7 working days: start on Tuesday 5 January.",)


def test_a_task_may_have_a_date_of_its_own():
    task = Task("t", "Book the hall", "teacher", on=FRIDAY, lead=Lead(1))
    due = answer(Problem(on_day(date(2027, 1, 4)), DENVER, (), (task,))).tasks[0]
    assert (due.plan_by, due.zone_stated) == (date(2027, 1, 14), True)


# What it means today


@pytest.mark.parametrize(
    ("today", "when"),
    [
        (date(2027, 1, 16), When.OVERDUE),
        (FRIDAY, When.TODAY),
        (date(2027, 1, 14), When.THIS_WEEK),
        (date(2027, 1, 11), When.THIS_WEEK),
        (date(2027, 1, 10), When.NEXT_WEEK),
        (date(2027, 1, 4), When.NEXT_WEEK),
        (date(2027, 1, 3), When.LATER),
    ],
)
def test_the_heading_goes_by_weeks_from_monday_to_sunday(today, when):
    assert one(due_on(stated=DENVER), now=on_day(today)).when is when


def test_next_week_ends_on_its_sunday():
    assert one(due_on(date(2027, 1, 17), stated=DENVER)).when is When.NEXT_WEEK
    assert one(due_on(date(2027, 1, 18), stated=DENVER)).when is When.LATER


def test_today_is_the_students_day_whatever_zone_now_is_in():
    now = datetime(2027, 1, 16, 4, 0, tzinfo=UTC)  # 21:00 on the 15th in Denver
    assert one(due_on(stated=DENVER), now=now).when is When.TODAY
    assert one(due_on(date(2027, 1, 16), stated=DENVER), now=now).when is When.THIS_WEEK


def test_late_by_so_many_days():
    due = one(due_on(date(2027, 1, 8), None), now=on_day(date(2027, 1, 12)))
    assert (due.when, due.late_days, due.must_start) == (When.OVERDUE, 4, False)
    assert due.sentence == "should have been done by 8 January, 4 days late"


def test_late_only_by_the_day_kept_in_reserve_names_the_day_it_was_planned_for():
    due = one(due_on(stated=None, place=NEW_YORK), now=on_day(FRIDAY, time(23, 30)))
    assert due.when == When.OVERDUE
    assert due.sentence == (
        "due Friday 15 January, 23:59; zone not stated, planned a day early: Thursday 14 January"
    )
    assert due.short == "due today, 23:59 · zone not stated"


def test_late_from_the_minute_after_the_time_of_day():
    deadline = due_on(at=time(17))
    assert one(deadline, now=on_day(FRIDAY, time(15, 0))).late_days == 0
    due = one(deadline, now=on_day(FRIDAY, time(15, 1)))
    assert (due.when, due.late_days) == (When.OVERDUE, 1)
    assert due.sentence == "should have been done by 15:00 today"


def test_a_whole_day_is_not_over_in_its_last_minute():
    deadline = due_on(at=None, stated=DENVER)
    assert one(deadline, now=on_day(FRIDAY, time(23, 59, 30))).late_days == 0


def test_past_the_planned_day_but_before_the_deadline_it_is_todays():
    due = one(due_on(at=None, stated=None), now=on_day(FRIDAY))
    assert (due.when, due.late_days, due.must_start) == (When.TODAY, 0, True)


def test_work_has_to_start_before_the_day_it_is_due():
    due = one(due_on(), now=on_day(date(2027, 1, 8)), takes=Lead(7))
    assert (due.when, due.must_start) == (When.NEXT_WEEK, True)
    assert due.sentence.endswith("here; start today: it takes 7 days")
    due = one(due_on(), now=on_day(date(2027, 1, 9)), takes=Lead(7))
    assert due.sentence.endswith("should have been started by 8 January: it takes 7 days")


@pytest.mark.parametrize(
    ("state", "when", "sentence"),
    [
        ({"done_on": date(2027, 1, 3)}, When.DONE, "done 3 January"),
        ({"dropped": True}, When.DROPPED, "not needed"),
    ],
)
def test_what_is_done_or_not_needed_is_never_late(state, when, sentence):
    due = one(due_on(), now=on_day(date(2027, 2, 1)), **state)
    assert (due.when, due.late_days, due.must_start, due.sentence) == (when, 0, False, sentence)


# What waits for what


def waiting(**first):
    """Return the music application's task, which opens after the university's."""
    before = Deadline("u", "University", date(2027, 1, 10), None, DENVER)
    music = due_on(opens_after="u")
    tasks = [Task("m", "Send music", "student", "d")]
    if first:
        tasks.append(Task("a", "Ask for a letter", "student", "u", lead=Lead(20)))
        tasks.append(Task("s", "Send university", "student", "u", **first))
    found = answer(Problem(on_day(date(2027, 1, 4)), DENVER, (before, music), tuple(tasks)))
    return next(due for due in found.tasks if due.key == "m")


def test_a_task_waits_until_the_deadline_before_it_is_met():
    assert waiting(dropped=False).waits_for == "Send university"
    assert waiting(dropped=False).sentence.endswith("; waits for: Send university")
    assert waiting(done_on=date(2027, 1, 2)).waits_for is None
    assert waiting(dropped=True).waits_for is None


def test_a_task_waits_for_the_deadline_itself_when_that_has_no_task():
    assert waiting().waits_for == "University"


def test_an_opening_date_is_said_until_it_comes():
    opens = due_on(opens_on=date(2027, 1, 6))
    assert one(opens).sentence.endswith("; opens on Wednesday 6 January")
    assert "opens" not in one(opens, now=on_day(date(2027, 1, 6))).sentence


@pytest.mark.parametrize(
    ("now", "deadline", "takes", "short"),
    [
        (date(2027, 1, 4), due_on(), 0, "due Fri 15 Jan, 21:59"),
        (date(2027, 1, 4), due_on(at=None), 0, "due Fri 15 Jan"),
        (date(2027, 1, 4), due_on(date(2028, 1, 14), None), 0, "due Fri 14 Jan 2028"),
        (FRIDAY, due_on(at=None), 0, "due today"),
        (date(2027, 1, 12), due_on(at=None), 3, "due Fri 15 Jan · start today"),
        (date(2027, 1, 12), due_on(at=None), 7, "due Fri 15 Jan"),
        (date(2027, 1, 4), due_on(at=None), 7, "due Fri 15 Jan"),
        (date(2027, 1, 4), due_on(at=None, stated=None), 0, "due Fri 15 Jan · zone not stated"),
        (
            date(2027, 1, 4),
            due_on(at=None, opens_on=date(2027, 1, 6)),
            0,
            "due Fri 15 Jan · not open yet",
        ),
        (date(2027, 1, 16), due_on(at=None), 0, "due Fri 15 Jan, 1 day late"),
        (FRIDAY, due_on(at=time(10)), 0, "due today, late"),
    ],
)
def test_in_short_it_says_the_day_and_what_matters_most(now, deadline, takes, short):
    assert one(deadline, now=on_day(now, time(9, 30)), takes=Lead(takes)).short == short


@pytest.mark.parametrize("day", [FRIDAY, date(2027, 2, 1)])
def test_an_order_that_cannot_work_is_noted(day):
    later = Deadline("u", "University", day, None, DENVER)
    tasks = (Task("m", "Send music", "student", "d"),)
    deadlines = (later, due_on(opens_after="u"))
    notes = answer(Problem(on_day(date(2027, 1, 4)), DENVER, deadlines, tasks)).notes
    assert notes[0].startswith("Ashgrove opens only after University, whose date is no earlier")


# The answer as a whole


def test_the_example_says_what_is_late_and_what_starts_today():
    found = answer(example())
    assert found.sentence == "1 thing is late, 1 must start today."
    assert (found.late, found.start_today) == (("t1",), ("t9",))
    assert found.notes[0].startswith("No time zone stated: Lindmoor recording. Planned a day early")
    assert found.notes[-1] == (
        "Dates are the institution's to change: verify with the institution itself."
    )


@pytest.mark.parametrize(
    ("day", "sentence"),
    [
        (date(2027, 1, 4), "Nothing is late and nothing must start today. "
         "Next: Send it, Friday 15 January."),
        (date(2027, 1, 15), "2 things must start today."),
        (date(2027, 1, 20), "2 things are late."),
    ],
)  # fmt: skip
def test_one_sentence_sums_it_up(day, sentence):
    tasks = tuple(Task(key, "Send it", "student", "d") for key in "ab")
    assert answer(Problem(on_day(day), DENVER, (due_on(),), tasks)).sentence == sentence


def test_order_is_by_date_then_name_then_key():
    first = Deadline("u", "University", date(2027, 1, 10), None, DENVER)
    rows = [("d", "b", "Pay"), ("d", "a", "Pay"), ("d", "c", "Ask"), ("u", "z", "Sign"),
            ("u", "y", "Send")]  # fmt: skip
    tasks = tuple(Task(key, name, "student", deadline) for deadline, key, name in rows)
    deadlines = (due_on(opens_after="u"), first)
    found = answer(Problem(on_day(date(2027, 1, 4)), DENVER, deadlines, tasks)).tasks
    assert [due.key for due in found] == ["y", "z", "c", "a", "b"]
    assert found[-1].waits_for == "Send"


def test_nothing_to_do_and_everything_done_are_said():
    empty = Problem(on_day(FRIDAY), DENVER, (), ())
    assert answer(empty).sentence == "There is nothing to do yet."
    done = Task("t", "Book", "teacher", on=FRIDAY, done_on=FRIDAY)
    assert answer(replace(empty, tasks=(done,))).sentence == "Everything is done."


def test_a_problem_survives_json():
    assert codec.read(Problem, codec.write(example())) == example()


def test_every_kind_of_deadline_brings_a_task_due_at_the_deadline():
    final = {lead.kind for lead in LEAD_TIMES if lead.lead == Lead()}
    assert final == set(Kind)
    assert {lead.basis for lead in LEAD_TIMES} == {"common practice, no source"}


# What is refused


def refused(message, **change):
    tasks = (Task("t", "Send it", "student", "d"),)
    problem = Problem(on_day(FRIDAY), DENVER, (due_on(),), tasks)
    with pytest.raises(ValueError, match=message):
        answer(replace(problem, **change))


@pytest.mark.parametrize(
    ("task", "message"),
    [
        (Task("t", "Send it", "student"), "no deadline and no date: give it one"),
        (Task("t", "Send it", "student", "x"), 'the deadline "x", which is not there'),
        (Task("t", "Send it", "student", "d", FRIDAY), "a date of its own: keep one"),
        (Task("t", "Send it", "studnet", "d"), "say student, teacher, other"),
        (Task("t", "Send it", "student", on=date(27, 1, 15)), "write the year in full"),
        (Task("t", "Send it", "student", on=on_day(FRIDAY)), "give the date alone"),
    ],
)
def test_a_task_that_cannot_be_dated_is_refused(task, message):
    refused(message, tasks=(task,))


@pytest.mark.parametrize(
    ("deadline", "message"),
    [
        (due_on(opens_after="x"), 'opens after "x", which is not there'),
        (due_on(opens_after="d"), "open only after each other: Ashgrove"),
        (due_on(at=time(9, tzinfo=UTC)), "name the zone in `zone`"),
        (due_on(stated="America/Denvr"), 'Ashgrove: "America/Denvr" is not a time zone name'),
    ],
)
def test_a_deadline_that_cannot_be_read_is_refused(deadline, message):
    refused(message, deadlines=(deadline,))


def test_a_ring_of_deadlines_is_refused():
    ring = [replace(due_on(opens_after=after), key=key) for key, after in ("da", "ab", "bd")]
    refused("open only after each other", deadlines=tuple(ring))


def test_keys_used_twice_are_refused():
    refused('2 deadlines have the key "d"', deadlines=(due_on(), due_on()))
    refused('2 tasks have the key "t"', tasks=(Task("t", "Send it", "student", "d"),) * 2)


def test_a_calendar_or_clock_that_cannot_work_is_refused():
    refused("aware datetime", now=datetime(2027, 1, 4))  # noqa: DTZ001
    refused("not all seven", weekend=tuple(range(7)))
    refused("not a time zone name", home_zone="Denver?")
    with pytest.raises(ValueError, match="a number from 0"):
        Lead(-1)


# What always holds

ZONES = ["America/Los_Angeles", NEW_YORK, "Europe/London", "Asia/Kolkata", "Australia/Sydney",
         "Pacific/Auckland", "Pacific/Kiritimati", "Pacific/Pago_Pago", "Africa/Cairo"]  # fmt: skip
days = st.dates(date(2026, 6, 1), date(2027, 12, 31))
leads = st.builds(Lead, st.integers(0, 40), st.sampled_from(Unit))
some_zone = st.none() | st.sampled_from(ZONES)
clocks = st.sampled_from([None, time(0), time(23, 59)]) | st.times()


@st.composite
def problems(draw):
    """Draw any problem that can be answered."""
    deadlines = tuple(
        Deadline(
            f"d{i}", f"Deadline {i}", draw(days), draw(clocks), draw(some_zone),
            draw(some_zone), draw(st.none() | days), draw(st.sampled_from([None, *before])),
        )
        for i, before in enumerate(([], ["d0"], ["d0", "d1"])[: draw(st.integers(1, 3))])
    )  # fmt: skip
    tasks = []
    for i in range(draw(st.integers(0, 6))):
        key = draw(st.none() | st.sampled_from([d.key for d in deadlines]))
        own = None if key else draw(days)
        tasks.append(
            Task(f"t{i}", draw(st.sampled_from("AB")), "student", key, own, draw(leads),
                 draw(leads), draw(st.none() | days), draw(st.booleans()))
        )  # fmt: skip
    now = draw(st.datetimes(datetime(2026, 6, 1), datetime(2027, 12, 31)))  # noqa: DTZ001
    off = tuple(draw(st.lists(days, max_size=20)))
    home = draw(st.sampled_from(ZONES))
    return Problem(now.replace(tzinfo=UTC), home, deadlines, tuple(tasks), off)


@settings(deadline=None)
@given(problems())
def test_the_plan_is_never_after_the_true_moment_and_the_start_never_after_the_plan(problem):
    for due in answer(problem).tasks:
        at_home = due.due.astimezone(zone(problem.home_zone))
        planned = due.plan_by + timedelta(0 if due.zone_stated else 1)
        assert planned <= at_home.date()
        assert due.start_on <= due.plan_by
        assert due.due_home in (None, due.due)


@settings(deadline=None)
@given(problems(), st.randoms())
def test_every_task_comes_out_once_whatever_the_order_going_in(problem, random):
    def mixed(items):
        return tuple(random.sample(items, len(items)))

    found = answer(problem)
    assert sorted(due.key for due in found.tasks) == sorted(task.key for task in problem.tasks)
    shuffled = replace(
        problem,
        deadlines=mixed(problem.deadlines),
        tasks=mixed(problem.tasks),
        days_off=mixed(problem.days_off),
    )
    assert answer(shuffled) == found
