"""Clock changes and elapsed time against published values."""

from datetime import UTC, date, datetime, time, timedelta

import pytest

from planner import zones
from planner.zones import zone


@pytest.mark.parametrize(
    ("name", "change", "before", "after"),
    [
        # 15 USC 260a: second Sunday of March to first Sunday of November, at 2 a.m.
        ("America/New_York", datetime(2027, 3, 14, 7, tzinfo=UTC), -300, -240),
        ("America/New_York", datetime(2027, 11, 7, 6, tzinfo=UTC), -240, -300),
        # The Summer Time Order 2002: last Sundays of March and October, 1 a.m. GMT (from memory).
        ("Europe/London", datetime(2027, 3, 28, 1, tzinfo=UTC), 0, 60),
        ("Europe/London", datetime(2027, 10, 31, 1, tzinfo=UTC), 60, 0),
    ],
)
def test_clocks_change_in_2027_at_the_moment_the_law_says(name, change, before, after):
    there = zone(name)
    assert zones.offset_minutes(change - timedelta(seconds=1), there) == before
    assert zones.offset_minutes(change, there) == after


def test_phoenix_keeps_one_time_all_of_2027():
    """15 USC 260a (a) lets a state stay out; Arizona does."""
    start = datetime(2027, 1, 1, tzinfo=UTC)
    offsets = {
        zones.offset_minutes(start + timedelta(days=day), zone("America/Phoenix"))
        for day in range(365)
    }
    assert offsets == {-420}


@pytest.mark.parametrize(
    ("name", "hours"),
    [("America/Vancouver", -7), ("America/Edmonton", -6), ("America/Winnipeg", -5)],
)
def test_the_pinned_rules_know_the_provinces_that_stopped_changing_clocks(name, hours):
    """tzdata 2026f, announced on the tz list; rules of 2025 give one hour less."""
    winter = datetime(2027, 1, 15, 18, tzinfo=UTC)
    assert zones.offset_minutes(winter, zone(name)) == hours * 60


def test_a_night_that_loses_an_hour_is_nine_hours_long():
    """From tzdata: New York, 13 March 2027 22:00 to 14 March 08:00."""
    new_york = zone("America/New_York")
    start = zones.moment(date(2027, 3, 13), time(22), new_york).at
    end = zones.moment(date(2027, 3, 14), time(8), new_york).at
    assert zones.minutes_between(start, end) == 9 * 60


def test_a_journey_east_arrives_by_the_clock_of_the_place():
    """From tzdata: Los Angeles 5 February 2027 09:00 and 5 h 30 min on, it is 17:30 in New York."""
    start = zones.moment(date(2027, 2, 5), time(9), zone("America/Los_Angeles")).at
    arrived = zones.shift(start, 330, zone("America/New_York"))
    assert arrived.replace(tzinfo=None) == datetime(2027, 2, 5, 17, 30)


def test_new_york_and_london_are_four_hours_apart_between_their_changes():
    """From tzdata: 20 March 2027 lies between the American and the British change."""
    london, new_york = zone("Europe/London"), zone("America/New_York")
    assert zones.ahead_of(datetime(2027, 3, 20, 12, tzinfo=UTC), london, new_york) == 240
    assert zones.ahead_of(datetime(2027, 3, 1, 12, tzinfo=UTC), london, new_york) == 300


def test_a_day_before_and_24_hours_before_differ_over_a_clock_change():
    """RFC 5545 section 3.3.6: a day is nominal, hours are exact. Chicago, 14 March 2027 09:30."""
    chicago = zone("America/Chicago")
    call = zones.moment(date(2027, 3, 14), time(9, 30), chicago).at
    nominal = zones.moment(call.date() - timedelta(days=1), call.time(), chicago).at
    assert nominal.isoformat() == "2027-03-13T09:30:00-06:00"
    assert zones.shift(call, -24 * 60).isoformat() == "2027-03-13T08:30:00-06:00"


@pytest.mark.parametrize(
    ("name", "wall", "clash"),
    [("America/Chicago", time(9, 30), True), ("America/Los_Angeles", time(8, 30), False)],
)
def test_two_appointments_in_two_zones_clash_as_intervals_do(name, wall, clash):
    """New York 20 February 2027 10:00, 45 minutes each; pandas.Interval agrees."""
    day = date(2027, 2, 20)
    here = zones.moment(day, time(10), zone("America/New_York")).at
    there = zones.moment(day, wall, zone(name)).at
    assert zones.overlap(here, 45, there, 45) is clash
