from dataclasses import replace
from datetime import UTC, date, datetime, time

import pytest
from hypothesis import given, settings
from hypothesis import strategies as st

from planner import zones
from planner.day import (
    Certainty,
    Extra,
    Format,
    Given,
    Key,
    Limits,
    Problem,
    Rooms,
    answer,
    example,
)
from planner.travel import Place, Point

CHICAGO = Place("home", zone="America/Chicago")
NEW_YORK = Place("the school", zone="America/New_York")
ROOMS = Rooms("214", "118", "lobby", "Mill Street", "east garage")
SATURDAY = Problem(
    day=date(2027, 2, 6),
    call=time(10, 40),
    place=NEW_YORK,
    home=CHICAGO,
    format=Format.BLIND,
    rooms=ROOMS,
    own_minutes=145,
)


def times(found):
    """Key and wall time of every step."""
    return {step.key: f"{step.wall:%H:%M}" if step.wall else None for step in found.steps}


def step(found, key):
    return next(each for each in found.steps if each.key is key)


def instant(at):
    return at.astimezone(UTC)


def test_the_day_is_counted_back_from_the_call():
    assert times(answer(SATURDAY)) == {
        Key.LEAVE_HOME: "06:15",
        Key.PARK: "09:40",
        Key.CHECK_IN: "09:55",
        Key.FIND_ROOMS: "10:05",
        Key.WARM_UP: "10:15",
        Key.WAIT: "10:35",
        Key.AUDITION: "10:40",
    }


def test_leaving_home_is_shown_in_home_time_and_in_the_time_there():
    leaving = step(answer(SATURDAY), Key.LEAVE_HOME)
    assert (leaving.wall, leaving.zone, leaving.other) == (time(6, 15), "CST", "07:15 EST")
    assert leaving.starts == datetime(2027, 2, 6, 12, 15, tzinfo=UTC)


def test_steps_at_the_place_are_shown_in_its_time():
    call = step(answer(SATURDAY), Key.AUDITION)
    assert (call.wall, call.zone, call.other) == (time(10, 40), "EST", "09:40 CST")


def test_where_clocks_agree_only_one_time_is_shown():
    found = answer(replace(SATURDAY, home=Place("home", zone="America/Detroit")))
    assert {each.other for each in found.steps} == {""}
    assert found.zone_sentence == "EST, the same time as home"


def test_the_zone_sentence_compares_with_home_on_that_date():
    assert answer(SATURDAY).zone_sentence == "EST, one hour ahead of home"
    phoenix = replace(SATURDAY, place=Place("there", zone="America/Phoenix"))
    assert answer(phoenix).zone_sentence == "MST, one hour behind home"
    july = replace(phoenix, day=date(2027, 7, 3))
    assert answer(july).zone_sentence == "MST, two hours behind home"


def test_usual_minutes_are_marked_and_named():
    found = answer(replace(SATURDAY, given=Given(warm_up=25)))
    assert step(found, Key.WARM_UP).certainty is Certainty.GIVEN
    assert step(found, Key.WAIT).certainty is Certainty.DEFAULT
    said = next(note for note in found.notes if note.startswith("Usual minutes"))
    assert "the wait 5" in said
    assert "warm-up" not in said


def test_the_last_note_is_to_confirm():
    confirm = "Confirm times and rooms with the institution before you travel."
    assert answer(SATURDAY).notes[-1] == confirm
    assert answer(Problem(SATURDAY.day)).notes[-1] == confirm


def test_a_warm_up_that_is_too_long_is_cut_and_still_ends_before_the_call():
    found = answer(replace(SATURDAY, given=Given(warm_up=60)))
    warm_up = step(found, Key.WARM_UP)
    assert (warm_up.minutes, warm_up.wall) == (30, time(10, 5))
    assert "The warm-up is cut from 60 to 30 minutes." in found.notes
    longer = replace(SATURDAY, given=Given(warm_up=60), limits=Limits(longest_warm_up=90))
    assert step(answer(longer), Key.WARM_UP).minutes == 60


def test_a_warm_up_room_that_is_free_late_shortens_the_warm_up():
    found = answer(replace(SATURDAY, warm_up_from=time(10, 20)))
    assert (step(found, Key.WARM_UP).minutes, times(found)[Key.WARM_UP]) == (15, "10:20")
    assert "The warm-up is cut from 20 to 15 minutes." in found.notes


def test_a_warm_up_room_that_is_free_too_late_is_a_clash():
    found = answer(replace(SATURDAY, warm_up_from=time(10, 35)))
    assert step(found, Key.WARM_UP).minutes == 20
    assert found.clashes == (
        "The warm-up room is free from 10:35: too late to warm up before the call.",
    )


def test_the_institutions_hour_of_arrival_wins_where_it_is_earlier():
    early = answer(replace(SATURDAY, check_in_by=time(9, 30)))
    assert times(early)[Key.CHECK_IN] == "09:30"
    assert times(early)[Key.LEAVE_HOME] == "05:50"
    assert times(early)[Key.FIND_ROOMS] == "10:05"
    assert times(answer(replace(SATURDAY, arrive_before=60)))[Key.CHECK_IN] == "09:40"
    assert times(answer(replace(SATURDAY, arrive_before=15)))[Key.CHECK_IN] == "09:55"


def test_a_check_in_after_the_call_is_a_clash():
    found = answer(replace(SATURDAY, check_in_by=time(11, 0)))
    assert found.clashes == ("Check-in by 11:00 is after the call at 10:40.",)


@pytest.mark.parametrize(
    ("form", "words"),
    [
        (Format.BLIND, "Do not speak to the panel"),
        (Format.FACE_TO_FACE, "Introduce yourself"),
        (Format.RECORDED, "This audition is recorded"),
    ],
)
def test_the_hint_follows_the_format(form, words):
    assert answer(replace(SATURDAY, format=form)).hint.startswith(words)


def test_nobody_parks_who_comes_on_foot():
    found = answer(replace(SATURDAY, rooms=replace(ROOMS, parking=""), given=Given(walk=0)))
    assert Key.PARK not in times(found)
    assert found.arrive == step(found, Key.CHECK_IN).starts
    assert not any("park" in said for said in found.unknown)


class TestExtras:
    def test_stand_where_their_time_puts_them(self):
        tour = Extra("Tour", time(13, 0), 60, "main door")
        found = answer(replace(SATURDAY, extras=(tour,)))
        assert found.steps[-1].title == "Tour, main door"
        assert found.steps[-1].starts == datetime(2027, 2, 6, 18, tzinfo=UTC)
        assert found.clashes == ()

    @pytest.mark.parametrize(
        ("at", "minutes", "what"),
        [
            (time(10, 20), 10, "the warm-up"),
            (time(10, 45), 30, "the audition"),
            (time(10, 20), 60, "the audition"),
            (time(10, 5), 5, "finding the rooms"),
            (time(10, 36), None, "the wait"),
        ],
    )
    def test_that_run_into_the_last_hour_are_flagged(self, at, minutes, what):
        found = answer(replace(SATURDAY, extras=(Extra("Theory test", at, minutes),)))
        (said,) = found.clashes
        assert said.startswith(f"“Theory test” ({at:%H:%M}")
        assert f"runs into {what}: ask the institution" in said

    def test_that_begin_as_the_audition_ends_do_not_clash(self):
        found = answer(replace(SATURDAY, extras=(Extra("Tour", time(10, 50), 60),)))
        assert found.clashes == ()

    def test_that_run_into_each_other_are_flagged(self):
        pair = (Extra("Tour", time(12, 30), 60), Extra("Interview", time(12, 0), 45))
        (said,) = answer(replace(SATURDAY, extras=pair)).clashes
        assert said.startswith("“Interview” (12:00 to 12:45) runs into “Tour”")

    def test_before_the_audition_bring_the_student_there_earlier(self):
        test = Extra("Theory test", time(8, 0), 60)
        found = answer(replace(SATURDAY, extras=(test,)))
        assert times(found)[Key.CHECK_IN] == "07:40"
        assert times(found)[Key.LEAVE_HOME] == "04:00"
        assert found.clashes == ()
        assert "because “Theory test” begins at 08:00" in " ".join(found.notes)

    def test_of_unknown_time_are_asked_about_and_of_unknown_length_noted(self):
        found = answer(replace(SATURDAY, extras=(Extra("Interview"),)))
        assert found.steps[-1].starts is None
        assert found.unknown == ("When “Interview” begins is not known: ask the school.",)
        assert "How long “Interview” lasts is not known." in found.notes

    def test_on_the_day_before_beg_for_a_night_away(self):
        dinner = Extra("Dinner", time(19, 0), 60, on=date(2027, 2, 5))
        found = answer(replace(SATURDAY, extras=(dinner,)))
        assert found.steps[0].title == "Dinner"
        assert times(found)[Key.CHECK_IN] == "09:55"
        assert found.night_away.advised
        assert "“Dinner” is on an earlier date" in found.night_away.why[0]


class TestUnknown:
    def test_a_day_of_which_nothing_is_known_has_steps_but_no_times(self):
        found = answer(Problem(date(2027, 2, 6)))
        assert [each.key for each in found.steps] == list(Key)[:-1]
        assert (
            {each.starts for each in found.steps} == {each.wall for each in found.steps} == {None}
        )
        assert (found.leave_home, found.arrive, found.call, found.ends) == (None,) * 4
        assert (found.zone_sentence, found.hint) == ("", "")
        assert found.night_away.advised is None

    @pytest.mark.parametrize(
        ("change", "said"),
        [
            ({"call": None}, "The call time is not known: ask the school."),
            ({"place": Place("the school")}, "The time zone of the school is not known"),
            ({"home": Place("home")}, "The time zone of home is not known"),
            ({"own_minutes": None}, "How long the journey takes is not known"),
            ({"format": None}, "Whether the panel sits behind a screen is not known"),
            ({"rooms": replace(ROOMS, audition=None)}, "The audition room is not known"),
            ({"rooms": replace(ROOMS, warm_up=None)}, "The warm-up room is not known"),
            ({"rooms": replace(ROOMS, check_in=None)}, "Where to check in is not known"),
            ({"rooms": replace(ROOMS, entrance=None)}, "Which entrance to take is not known"),
            ({"rooms": replace(ROOMS, parking=None)}, "Where to park is not known"),
        ],
    )
    def test_each_gap_is_said_and_only_that(self, change, said):
        assert answer(SATURDAY).unknown == ()
        assert answer(replace(SATURDAY, **change)).unknown[0].startswith(said)

    def test_nobody_is_asked_where_to_park_after_a_flight(self):
        far = replace(
            SATURDAY,
            home=replace(SATURDAY.home, point=Point(51.5, -0.1)),
            place=replace(SATURDAY.place, point=Point(39.2, -86.5)),
            rooms=replace(ROOMS, parking=None),
        )
        found = answer(far)
        assert found.unknown == ()
        assert "Arrive" in {step.title for step in found.steps}

    def test_without_a_journey_everything_but_leaving_home_has_a_time(self):
        found = answer(replace(SATURDAY, own_minutes=None))
        assert [each.key for each in found.steps if each.starts is None] == [Key.LEAVE_HOME]
        assert step(found, Key.LEAVE_HOME).certainty is Certainty.UNKNOWN
        assert found.leave_home is None
        assert found.night_away.advised is None

    def test_without_the_places_zone_wall_times_stand_but_nobody_leaves_home(self):
        found = answer(replace(SATURDAY, place=Place("the school")))
        assert times(found)[Key.WARM_UP] == "10:15"
        assert times(found)[Key.LEAVE_HOME] is None
        assert all(each.starts is None and each.zone == "" for each in found.steps)
        assert found.call is None

    def test_without_the_home_zone_leaving_is_shown_in_the_places_time(self):
        found = answer(replace(SATURDAY, home=Place("home")))
        leaving = step(found, Key.LEAVE_HOME)
        assert (leaving.wall, leaving.zone) == (time(7, 15), "EST")
        assert "The time to leave home is shown in the time of the place." in found.unknown
        assert found.night_away.advised is None


class TestNightAway:
    def test_is_not_advised_for_an_ordinary_day(self):
        assert answer(SATURDAY).night_away.advised is False
        assert answer(SATURDAY).night_away.why == ()

    @pytest.mark.parametrize(("minutes", "advised"), [(190, False), (191, True)])
    def test_is_advised_when_the_student_would_leave_before_the_hour(self, minutes, advised):
        away = answer(replace(SATURDAY, own_minutes=minutes)).night_away
        assert away.advised is advised
        if advised:
            assert away.why == ("The student would leave home at 05:29, before 05:30.",)

    def test_is_advised_when_the_student_would_leave_the_evening_before(self):
        away = answer(replace(SATURDAY, own_minutes=600)).night_away
        assert "leave home at 22:40 on an earlier date" in away.why[0]

    @pytest.mark.parametrize(("minutes", "advised"), [(240, False), (241, True)])
    def test_is_advised_for_a_long_journey(self, minutes, advised):
        late = replace(SATURDAY, call=time(15, 0), own_minutes=minutes)
        assert answer(late).night_away.advised is advised

    def test_is_advised_two_zones_east_but_not_two_zones_west(self):
        denver, there = Place("home", zone="America/Denver"), time(15, 0)
        east = answer(replace(SATURDAY, home=denver, call=there)).night_away
        assert east.why == (
            "Clocks there are two hours ahead of home: the call at 15:00 feels like 13:00.",
        )
        west = replace(SATURDAY, home=NEW_YORK, place=denver, call=there)
        assert answer(west).night_away.advised is False

    def test_follows_the_limits_that_are_set(self):
        limits = Limits(earliest_leaving=time(7, 0))
        assert answer(replace(SATURDAY, limits=limits)).night_away.advised


class TestClockChanges:
    SPRING = replace(SATURDAY, day=date(2027, 3, 14), home=NEW_YORK)

    def test_on_the_way_are_said_and_allowed_for(self):
        found = answer(replace(self.SPRING, own_minutes=480))
        assert found.leave_home.strftime("%H:%M %Z") == "00:40 EST"
        assert found.notes[0].startswith(
            "The clocks at the place and at home go forward one hour between leaving home and"
        )

    def test_of_the_night_before_are_said(self):
        found = answer(self.SPRING)
        assert found.notes[0].startswith(
            "The clocks at the place and at home go forward one hour in the day before leaving"
        )

    def test_in_autumn_go_back(self):
        found = answer(replace(self.SPRING, day=date(2027, 11, 7)))
        assert "go back one hour" in found.notes[0]

    def test_of_one_end_only_are_said_of_that_end(self):
        phoenix = Place("home", zone="America/Phoenix")
        found = answer(replace(self.SPRING, home=phoenix))
        assert found.notes[0].startswith("The clocks at the place go forward one hour")

    def test_are_not_spoken_of_on_other_days(self):
        assert not any("clocks" in note for note in answer(SATURDAY).notes)

    def test_a_call_that_the_clocks_skip_is_said(self):
        found = answer(replace(self.SPRING, call=time(2, 30)))
        assert "02:30 on 2027-03-14 does not exist" in found.notes[0]


@pytest.mark.parametrize(
    "wrong",
    [
        lambda: Given(wait=-1),
        lambda: Given(walk=1441),
        lambda: Extra("Tour", minutes=-5),
        lambda: Problem(date(1, 1, 1)),
        lambda: Problem(date(2027, 2, 6), own_minutes=-1),
        lambda: Problem(date(2027, 2, 6), arrive_before=-1),
        lambda: Problem(date(2027, 2, 6), place=Place(zone="Chicago")),
    ],
)
def test_a_problem_that_makes_no_sense_is_refused(wrong):
    with pytest.raises(ValueError):
        wrong()


def test_an_estimated_journey_is_marked_as_one():
    home = Place("home", Point(37.97, -87.57), "America/Chicago")
    place = Place("the school", Point(39.17, -86.52), "America/New_York")
    found = answer(replace(SATURDAY, own_minutes=None, home=home, place=place))
    assert step(found, Key.LEAVE_HOME).certainty is Certainty.ESTIMATED
    assert step(found, Key.LEAVE_HOME).detail.startswith("about ")
    assert found.leave_home is not None


def test_the_example_leaves_home_when_the_sheet_says():
    found = answer(example())
    assert found.leave_home.strftime("%H:%M %Z") == "06:20 CST"
    assert found.zone_sentence == "EST, one hour ahead of home"


names = st.sampled_from(
    ["America/New_York", "America/Los_Angeles", "America/Phoenix", "Europe/London",
     "Australia/Lord_Howe", "Asia/Kolkata", "Pacific/Auckland"]
)  # fmt: skip
places = st.builds(Place, st.just("x"), st.none(), names)
lengths = st.none() | st.integers(0, 90)
hours = st.none() | st.times().map(lambda at: at.replace(second=0, microsecond=0))
problems = st.builds(
    Problem,
    day=st.dates(date(2026, 1, 1), date(2028, 12, 31))
    | st.sampled_from([date(2027, 3, 14), date(2027, 11, 7), date(2027, 3, 28)]),
    call=hours,
    place=places | st.just(Place("x")),
    home=places | st.just(Place("home")),
    given=st.builds(Given, lengths, lengths, lengths, lengths, lengths, lengths),
    check_in_by=hours,
    arrive_before=st.none() | st.integers(0, 120),
    warm_up_from=hours,
    extras=st.lists(st.builds(Extra, st.just("Tour"), hours, lengths), max_size=3).map(tuple),
    own_minutes=st.none() | st.integers(0, 2000),
)


@settings(max_examples=200, deadline=None)
@given(problems)
def test_the_steps_never_overlap_and_the_last_ends_at_the_call(problem):
    found = answer(problem)
    timed = [each for each in found.steps if each.starts and each.key is not Key.EXTRA]
    for each, following in zip(timed, timed[1:], strict=False):
        gap = zones.minutes_between(each.starts, following.starts) - each.minutes
        # Time may be left over after check-in only.
        assert gap == 0 or (gap > 0 and each.key in (Key.PARK, Key.CHECK_IN))
    if found.call:
        assert instant(timed[-1].starts) == instant(found.call)


@settings(max_examples=200, deadline=None)
@given(problems)
def test_elapsed_time_is_exact_across_zones_and_clock_changes(problem):
    found = answer(problem)
    if found.leave_home:
        road = zones.minutes_between(found.leave_home, found.arrive)
        assert road == problem.own_minutes
    if found.call:
        assert (
            zones.minutes_between(found.call, found.ends)
            == found.steps[[each.key for each in found.steps].index(Key.AUDITION)].minutes
        )


@settings(max_examples=200, deadline=None)
@given(problems)
def test_nothing_without_a_known_zone_is_given_a_moment(problem):
    found = answer(problem)
    if problem.place.zone is None or problem.call is None:
        assert found.leave_home is found.call is None
    assert all(each.starts.utcoffset() is not None for each in found.steps if each.starts)
