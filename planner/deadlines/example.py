"""A worked problem: one invented student on a Tuesday in December."""

from datetime import date, datetime, time

from planner.deadlines.model import Deadline, Lead, Problem, Task, Unit
from planner.zones import zone

_HOME = "America/Denver"
_DEADLINES = (
    Deadline(
        "ashgrove-apply", "Ashgrove University application", date(2026, 12, 4), time(23, 59),
        "America/Chicago", "America/Chicago",
    ),
    Deadline(
        "ashgrove-music", "Ashgrove music application", date(2027, 1, 15), time(23, 59),
        "America/New_York", "America/Chicago", date(2026, 10, 1), "ashgrove-apply",
    ),
    Deadline("lindmoor-recording", "Lindmoor recording", date(2027, 1, 5), time(17, 0), None,
             "America/New_York"),
    Deadline("lindmoor-letter", "Lindmoor letter", date(2027, 1, 15), None, "America/New_York"),
    Deadline("carrow-transcript", "Carrow transcript", date(2027, 1, 2), time(0, 0),
             "Europe/London", "Europe/London"),
)  # fmt: skip
_TASKS = (
    Task("t1", "Send the Ashgrove University application", "student", "ashgrove-apply"),
    Task("t2", "Start the Ashgrove music application", "student", "ashgrove-music", lead=Lead(7)),
    Task("t3", "Send the Ashgrove music application", "student", "ashgrove-music", takes=Lead(2)),
    Task("t4", "Make the Lindmoor recording", "student", "lindmoor-recording",
         lead=Lead(14), takes=Lead(12)),
    Task("t5", "Choose the Lindmoor take and send it", "student", "lindmoor-recording",
         takes=Lead(2)),
    Task("t6", "Ask for the Lindmoor letter", "student", "lindmoor-letter", lead=Lead(28),
         done_on=date(2026, 12, 1)),
    Task("t7", "Check that the Lindmoor letter is in", "student", "lindmoor-letter",
         lead=Lead(2, Unit.WORKING_DAYS)),
    Task("t8", "Ask for the Carrow transcript", "student", "carrow-transcript",
         lead=Lead(10, Unit.WORKING_DAYS)),
    Task("t9", "Book the hall for the mock audition", "teacher", on=date(2026, 12, 11),
         takes=Lead(3)),
)  # fmt: skip


def example() -> Problem:
    """Return the problem: one thing late, one waiting for it, one zone not stated."""
    return Problem(
        now=datetime(2026, 12, 8, 9, 30, tzinfo=zone(_HOME)),
        home_zone=_HOME,
        deadlines=_DEADLINES,
        tasks=_TASKS,
        days_off=(date(2026, 12, 24), date(2026, 12, 25), date(2027, 1, 1)),
    )
