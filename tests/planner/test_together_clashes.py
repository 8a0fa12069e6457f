"""Which days of a companion are impossible as they stand."""

from datetime import date, datetime, timedelta
from zoneinfo import ZoneInfo

import pytest

from planner.together.clashes import Booking, Closed, Companion, clashes

DAY = date(2027, 2, 6)
CHICAGO, NEW_YORK = ZoneInfo("America/Chicago"), ZoneInfo("America/New_York")
PIA = Companion("pia", "Pia Lund", (Closed(DAY + timedelta(7), DAY + timedelta(9), "tour"),), 2)
OLA = Companion("ola", "Ola Berg")


def booking(student, site="near", clock=None, day=DAY, zone=CHICAGO, companion="pia"):
    """A booking; clock: (hour, minute, minutes)."""
    starts = ends = None
    if clock:
        starts = datetime(day.year, day.month, day.day, *clock[:2], tzinfo=zone)
        ends = starts + timedelta(minutes=clock[2])
    return Booking(companion, day, site, f"{site.title()} Hall", student, starts, ends)


def found(*bookings, minutes=None):
    """The kinds of the clashes."""
    return [clash.kind for clash in clashes(bookings, (PIA, OLA), minutes)]


def test_nothing_clashes_at_one_place():
    assert found(booking("Ann"), booking("Bo")) == []
    assert found() == []


def test_two_places_on_a_day():
    (clash,) = clashes([booking("Ann"), booking("Bo", "far")], (PIA,))
    assert clash.kind == "two places" and len(clash.bookings) == 2
    assert clash.sentence == (
        "Pia Lund cannot be at Far Hall and at Near Hall on the same Saturday 6 February."
    )
    other = booking("Bo", "far", companion="ola")
    assert found(booking("Ann"), other) == []
    assert found(booking("Ann"), booking("Bo", "far", day=DAY + timedelta(1))) == []


def test_two_places_go_with_stated_times_and_enough_time_between():
    first, second = booking("Ann", clock=(9, 0, 30)), booking("Bo", "far", (11, 0, 30))
    assert found(first, second) == ["two places"]
    assert found(first, second, minutes=90) == []
    assert found(second, first, minutes=90) == []
    assert found(first, second, minutes=91) == ["two places"]
    assert found(first, booking("Bo", "far"), minutes=0) == ["two places"]


def test_the_time_between_is_real_time_across_zones():
    # Ten in New York is nine in Chicago: half an hour after half past eight.
    first = booking("Ann", clock=(8, 0, 30))
    second = booking("Bo", "far", (10, 0, 30), zone=NEW_YORK)
    assert found(first, second, minutes=30) == []
    assert found(first, second, minutes=31) == ["two places"]


def test_only_those_who_do_not_go_together_are_named():
    some = [booking("Ann", clock=(9, 0, 30)), booking("Bo", "far", (11, 0, 30))]
    late = booking("Cy", "far", (9, 10, 30))
    (clash,) = clashes([*some, late], (OLA, PIA), 30)[:1]
    assert clash.kind == "two places"
    assert [one.student for one in clash.bookings] == ["Ann", "Cy"]


def test_at_once():
    (clash,) = clashes([booking("Ann", clock=(9, 0, 30)), booking("Bo", clock=(9, 29, 30))], (PIA,))
    assert clash.kind == "at once"
    assert clash.sentence == (
        "Pia Lund cannot play for Ann and Bo at once at Near Hall on Saturday 6 February."
    )
    assert found(booking("Ann", clock=(9, 0, 30)), booking("Bo", clock=(9, 30, 30))) == []
    assert found(booking("Ann", clock=(9, 0, 0)), booking("Bo", clock=(9, 0, 0))) == ["at once"]
    assert found(booking("Ann", clock=(9, 0, 30)), booking("Bo")) == []


def test_too_many():
    (clash,) = clashes([booking(name) for name in ("Ann", "Bo", "Cy")], (PIA,))
    assert clash.kind == "too many"
    assert clash.sentence == (
        "Pia Lund would play at 3 auditions on Saturday 6 February; 2 a day is the most."
    )


def test_away():
    (clash,) = clashes([booking("Ann", day=DAY + timedelta(8))], (PIA,))
    assert clash.kind == "away"
    assert clash.sentence == "Pia Lund is away on Sunday 14 February (tour), but Ann plays then."
    edges = [booking("Ann", day=DAY + timedelta(days)) for days in (6, 7, 9, 10)]
    assert [clash.day.day for clash in clashes(edges, (PIA,))] == [13, 15]


def test_clashes_come_in_order_of_time():
    some = [
        *(booking(name, day=DAY + timedelta(1)) for name in "XYZ"),
        booking("Ann"),
        booking("Bo", "far"),
    ]
    assert found(*some) == ["two places", "too many"]


def test_what_makes_no_sense_is_refused():
    with pytest.raises(ValueError, match='no companion "ola"'):
        clashes([booking("Ann", companion="ola")], (PIA,))
    with pytest.raises(ValueError, match="needs its offset"):
        clashes([booking("Ann", clock=(9, 0, 30), zone=None)], (PIA,))
