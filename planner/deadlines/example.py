"""A worked problem: one invented student on a Tuesday in December."""

from datetime import date, datetime, time

from planner.deadlines.model import After, Anchor, Deadline, Lead, Problem, Task, Unit
from planner.zones import zone

_HOME = "America/Denver"
_DEADLINES = (
    Deadline(
        "ashgrove-apply", "Ashgrove University application", date(2026, 12, 4), time(23, 59),
        "America/Chicago", "America/Chicago",
        late_until=date(2026, 12, 11), late_terms="with a fee of 30",
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
    Deadline("hollin-transcript", "Hollin transcript", date(2027, 1, 22), None, _HOME),
    Deadline("hollin-pianist", "Music for the Hollin pianist", None, None, _HOME,
             anchor="hollin", before=Lead(7)),
    Deadline("marlow-day", "Marlow audition day", None, None, _HOME, anchor="marlow"),
)  # fmt: skip
_ANCHORS = (
    Anchor("hollin", "the Hollin audition", earliest=date(2027, 2, 6)),
    Anchor("marlow", "the Marlow audition"),
)
_TASKS = (
    Task("t1", "Send the Ashgrove University application", "student", "ashgrove-apply"),
    Task("t2", "Start the Ashgrove music application", "student", "ashgrove-music", lead=Lead(7)),
    Task("t3", "Send the Ashgrove music application", "student", "ashgrove-music", takes=Lead(2),
         after=(After("t2"),)),
    Task("t4", "Make the Lindmoor recording", "student", "lindmoor-recording",
         lead=Lead(14), takes=Lead(12), not_before=date(2026, 12, 9),
         not_before_why="pieces expected ready"),
    Task("t5", "Choose the Lindmoor take and send it", "student", "lindmoor-recording",
         takes=Lead(2), after=(After("t4"),)),
    Task("t6", "Ask for the Lindmoor letter", "student", "lindmoor-letter", lead=Lead(28),
         done_on=date(2026, 12, 1)),
    Task("t7", "Check that the Lindmoor letter is in", "student", "lindmoor-letter",
         lead=Lead(2, Unit.WORKING_DAYS), after=(After("t6", Lead(14)),)),
    Task("t8", "Ask for the Carrow transcript", "student", "carrow-transcript",
         lead=Lead(10, Unit.WORKING_DAYS), shared="transcript"),
    Task("t9", "Book the hall for the mock audition", "teacher", on=date(2026, 12, 11),
         takes=Lead(3)),
    Task("t10", "Ask for the Hollin transcript", "student", "hollin-transcript",
         lead=Lead(10, Unit.WORKING_DAYS), shared="transcript"),
    Task("t11", "Send the Hollin pianist the music", "student", "hollin-pianist", takes=Lead(2),
         blocked="the pianist has not agreed"),
    Task("t12", "Pack for Marlow", "student", "marlow-day", lead=Lead(1)),
)  # fmt: skip


def example() -> Problem:
    """Return the problem: late, waiting, shared, blocked and without a date, one of each."""
    return Problem(
        now=datetime(2026, 12, 8, 9, 30, tzinfo=zone(_HOME)),
        home_zone=_HOME,
        deadlines=_DEADLINES,
        tasks=_TASKS,
        days_off=(date(2026, 12, 24), date(2026, 12, 25), date(2027, 1, 1)),
        anchors=_ANCHORS,
    )
