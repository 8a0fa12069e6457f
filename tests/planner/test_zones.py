import zoneinfo
from datetime import UTC, date, datetime, time

import pytest
from hypothesis import given
from hypothesis import strategies as st

from planner import zones
from planner.zones import UnknownZone, zone

NEW_YORK = zone("America/New_York")


def test_zones_come_from_the_package_and_not_from_the_system():
    assert zoneinfo.TZPATH == ()


@pytest.mark.parametrize(
    ("written", "meant"),
    [
        ("America/Chicgo", "America/Chicago"),
        ("america/chicago", "America/Chicago"),
        ("New York", "America/New_York"),
        ("Chicago", "America/Chicago"),
    ],
)
def test_an_unknown_zone_is_answered_with_a_close_one(written, meant):
    with pytest.raises(UnknownZone) as refused:
        zone(written)
    assert refused.value.suggestions[0] == meant
    assert str(refused.value).startswith(f'"{written}" is not a time zone name; did you mean')


@pytest.mark.parametrize("written", ["", None, "../etc/passwd", "America", "/", "zzzz", 5])
def test_what_is_no_zone_is_refused(written):
    with pytest.raises(UnknownZone, match="is not a time zone name"):
        zone(written)


def test_a_wall_time_skipped_in_spring_moves_forward_and_says_so():
    found = zones.moment(date(2027, 3, 14), time(2, 30), NEW_YORK)
    assert found.at == datetime(2027, 3, 14, 7, 30, tzinfo=UTC)
    assert found.at.hour == 3
    assert "02:30 on 2027-03-14 does not exist" in found.note
    assert "read as 03:30" in found.note


def test_of_a_wall_time_that_occurs_twice_the_first_is_taken_and_said():
    found = zones.moment(date(2027, 11, 7), time(1, 30), NEW_YORK)
    assert found.at.astimezone(UTC) == datetime(2027, 11, 7, 5, 30, tzinfo=UTC)
    assert "occurs twice" in found.note
    assert "EDT" in found.note


def test_an_ordinary_wall_time_has_nothing_to_say():
    assert zones.moment(date(2027, 2, 6), time(10, 40), NEW_YORK).note == ""


@given(
    st.datetimes(datetime(2026, 1, 1), datetime(2028, 12, 31)),
    st.sampled_from(["America/New_York", "Europe/London", "Australia/Lord_Howe", "Asia/Kolkata"]),
)
def test_a_moment_shows_its_wall_time_unless_a_note_says_otherwise(naive, name):
    found = zones.moment(naive.date(), naive.time(), zone(name))
    back = found.at.astimezone(UTC).astimezone(zone(name)).replace(tzinfo=None)
    assert back == naive or "does not exist" in found.note


@given(
    st.datetimes(datetime(2026, 1, 1), datetime(2028, 12, 31), timezones=st.just(NEW_YORK)),
    st.integers(-3000, 3000),
)
def test_shifting_by_minutes_is_exact_whatever_the_clocks_do(start, minutes):
    assert zones.minutes_between(start, zones.shift(start, minutes)) == minutes


@pytest.mark.parametrize(
    ("minutes", "words"),
    [
        (0, "the same time as home"),
        (60, "one hour ahead of home"),
        (-120, "two hours behind home"),
        (345, "five hours and 45 minutes ahead of home"),
        (-30, "30 minutes behind home"),
        (1080, "18 hours ahead of home"),
    ],
)
def test_a_difference_of_clocks_is_said_in_words(minutes, words):
    assert zones.compared(minutes) == words


def test_a_zone_without_letters_is_called_by_its_city():
    at = datetime(2027, 2, 6, 12, tzinfo=UTC)
    assert zones.label(at, zone("America/Sao_Paulo")) == "Sao Paulo time"
    assert zones.label(at, NEW_YORK) == "EST"


@pytest.mark.parametrize(
    ("name", "words"),
    [
        ("America/New_York", "New York time"),
        ("America/Indiana/Indianapolis", "Indianapolis time"),
        ("UTC", "UTC"),
        ("Etc/UTC", "UTC"),
    ],
)
def test_a_zone_is_said_as_people_say_it(name, words):
    assert zones.spoken(name) == words


def test_stretches_that_only_touch_do_not_overlap():
    ten = datetime(2027, 2, 6, 10, tzinfo=UTC)
    half_past = datetime(2027, 2, 6, 10, 30, tzinfo=UTC)
    assert not zones.overlap(ten, 30, half_past, 15)
    assert zones.overlap(ten, 31, half_past, 15)
    assert zones.overlap(ten, 60, half_past, 0)
