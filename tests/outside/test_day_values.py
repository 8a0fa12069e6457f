"""The day counted back over a clock change, against an independent calendar library."""

from datetime import date, time

from planner.day import Given, Problem, answer
from planner.travel import Place

# Chicago, 14 March 2027, 09:30, minus 60, 30, 45, 20, 55 and 480 minutes. The values agree with
# the polyfill of TC39 Temporal (ZonedDateTime.subtract).
EXPECTED = [
    "2027-03-13T21:00:00-06:00",
    "2027-03-14T06:00:00-05:00",
    "2027-03-14T06:55:00-05:00",
    "2027-03-14T07:15:00-05:00",
    "2027-03-14T08:00:00-05:00",
    "2027-03-14T08:30:00-05:00",
    "2027-03-14T09:30:00-05:00",
]


def test_minutes_before_the_call_are_exact_over_the_clock_change():
    chicago = Place("Chicago", zone="America/Chicago")
    found = answer(
        Problem(
            day=date(2027, 3, 14),
            call=time(9, 30),
            place=chicago,
            home=chicago,
            given=Given(wait=60, warm_up=30, find_rooms=45, check_in=20, walk=55),
            own_minutes=480,
        )
    )
    assert [step.starts.isoformat() for step in found.steps] == EXPECTED
    assert found.leave_home.isoformat() == EXPECTED[0]
