from datetime import UTC, datetime

import pytest
from hypothesis import given
from hypothesis import strategies as st

from planner.travel import (
    Model,
    Origin,
    Place,
    Point,
    Problem,
    Stretch,
    answer,
    driving_minutes,
    duration,
    great_circle_km,
    road_minutes,
)

HOME = Place("home", Point(37.97, -87.57), "America/Chicago")
SCHOOL = Place("the school", Point(39.10, -84.51), "America/New_York")
NOON = datetime(2027, 2, 6, 17, 0, tzinfo=UTC)

points = st.builds(Point, st.floats(-90, 90), st.floats(-180, 180))


def test_an_estimate_says_that_it_is_one_and_how_it_came_about():
    found = answer(Problem(HOME, SCHOOL))
    assert found.km_from is found.minutes_from is Origin.ESTIMATED
    assert found.km == pytest.approx(1.3 * found.straight_km, abs=0.1)
    assert "in a straight line times 1.3" in found.reasons[0]
    assert "no time is added for traffic or weather" in found.reasons[1]


def test_the_teachers_own_figures_win():
    found = answer(Problem(HOME, SCHOOL, own_km=350, own_minutes=230))
    assert (found.km, found.minutes) == (350, 230)
    assert found.km_from is found.minutes_from is Origin.OWN


def test_own_kilometres_are_what_the_minutes_are_estimated_from():
    found = answer(Problem(Place("a"), Place("b"), own_km=184))
    assert (found.km_from, found.minutes_from) == (Origin.OWN, Origin.ESTIMATED)
    assert found.minutes == road_minutes(184, Model())


@pytest.mark.parametrize("start", [Place("home"), Place("home", Point(0, 0))])
def test_without_coordinates_nothing_is_guessed(start):
    found = answer(Problem(start, SCHOOL))
    assert (found.km, found.minutes, found.straight_km) == (None, None, None)
    assert found.minutes_from is Origin.UNKNOWN
    assert found.unknown[0].startswith("How long the journey takes is not known: ")
    assert "home" in found.unknown[0]


def test_what_nobody_drives_has_no_hours():
    found = answer(Problem(HOME, Place("London", Point(51.5, -0.1)), own_km=None))
    assert found.minutes is None
    assert found.straight_km > 6000
    assert "too far to drive" in found.unknown[0]


def test_own_kilometres_too_far_to_drive_have_no_hours_either():
    found = answer(Problem(HOME, Place("London", Point(51.5, -0.1)), own_km=6700))
    assert (found.km, found.minutes) == (6700, None)


def test_the_difference_of_clocks_is_the_one_on_arrival():
    found = answer(Problem(HOME, SCHOOL, arrives=NOON))
    assert found.clocks_ahead_minutes == 60
    assert found.zone_sentence == "EST, one hour ahead of home"


def test_the_difference_of_clocks_follows_the_season():
    phoenix = Place("Phoenix", Point(33.4, -112.1), "America/Phoenix")
    july = datetime(2027, 7, 1, tzinfo=UTC)
    assert answer(Problem(HOME, phoenix, arrives=NOON)).clocks_ahead_minutes == -60
    assert answer(Problem(HOME, phoenix, arrives=july)).clocks_ahead_minutes == -120


def test_an_unknown_zone_is_said_and_not_guessed():
    found = answer(Problem(HOME, Place("the school", SCHOOL.point), arrives=NOON))
    assert found.clocks_ahead_minutes is None
    assert "The time zone of the school is not known: look the town up." in found.unknown


@pytest.mark.parametrize(
    ("latitude", "longitude"), [(91, 0), (-90.1, 0), (0, 181), (0, -180.5), (float("nan"), 0)]
)
def test_a_point_off_the_globe_is_refused(latitude, longitude):
    with pytest.raises(ValueError, match="is not between"):
        Point(latitude, longitude)


@pytest.mark.parametrize(
    "figures",
    [
        {"road_factor": 0.5},
        {"stretches": ()},
        {"stretches": (Stretch(100, 50),)},
        {"stretches": (Stretch(80, 50), Stretch(20, 70), Stretch(None, 90))},
        {"stretches": (Stretch(None, 0),)},
        {"break_every_minutes": 0},
    ],
)
def test_a_model_that_makes_no_sense_is_refused(figures):
    with pytest.raises(ValueError):
        Model(**figures)


@pytest.mark.parametrize(
    "own", [{"own_km": -1}, {"own_km": float("nan")}, {"own_minutes": -1}, {"own_minutes": 10**12}]
)
def test_a_figure_that_cannot_be_is_refused(own):
    with pytest.raises(ValueError, match="give 0 to"):
        Problem(HOME, SCHOOL, **own)


def test_speed_rises_with_distance():
    """15 km at 35, 65 km at 70, 20 km at 95 km/h, counted by hand."""
    assert driving_minutes(100, Model()) == pytest.approx(25.714 + 55.714 + 12.632, abs=0.001)


def test_a_break_follows_every_two_hours_but_not_the_last():
    model = Model(stretches=(Stretch(None, 60),), set_off_minutes=0)
    assert [road_minutes(km, model) for km in (120, 121, 240, 300)] == [120, 140, 255, 330]


@given(points, points)
def test_the_way_back_is_as_long(a, b):
    assert great_circle_km(a, b) == pytest.approx(great_circle_km(b, a), abs=1e-6)
    assert 0 <= great_circle_km(a, b) <= 20_016


@given(points, points, points)
def test_a_detour_is_never_shorter(a, b, c):
    assert great_circle_km(a, c) <= great_circle_km(a, b) + great_circle_km(b, c) + 1e-3


@given(st.floats(0, 2000), st.floats(0, 500))
def test_a_longer_road_never_takes_less_time(km, more):
    assert road_minutes(km, Model()) <= road_minutes(km + more, Model())


@pytest.mark.parametrize(
    ("minutes", "words"), [(0, "0 min"), (40, "40 min"), (145, "2 h 25 min"), (180, "3 h")]
)
def test_a_duration_is_written_short(minutes, words):
    assert duration(minutes) == words
