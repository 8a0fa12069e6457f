"""What goes into the question of deadlines, and what comes out."""

from dataclasses import dataclass
from datetime import date, datetime, time
from enum import StrEnum

DOERS = ("student", "teacher", "other")
LONGEST_LEAD = 3660  # ten years of days: anything longer is a slip of the keyboard


class Unit(StrEnum):
    """What a lead is counted in."""

    DAYS = "days"
    WORKING_DAYS = "working days"


class When(StrEnum):
    """The heading a cue stands under."""

    OVERDUE = "overdue"
    TODAY = "today"
    THIS_WEEK = "this week"
    NEXT_WEEK = "next week"
    LATER = "later"
    DONE = "done"
    DROPPED = "not needed"


@dataclass(frozen=True, slots=True)
class Lead:
    """A stretch of time counted back from a date.

    count: 0 to 3660. Zero days is the date itself; zero working days is the date, or the last
    working day before it.
    Raises ValueError when count is out of range.
    """

    count: int = 0
    unit: Unit = Unit.DAYS

    def __post_init__(self):
        if not 0 <= self.count <= LONGEST_LEAD:
            raise ValueError(
                f"A lead time of {self.count} {self.unit}: give a number from 0 to {LONGEST_LEAD}."
            )


@dataclass(frozen=True, slots=True)
class Deadline:
    """A date an institution has set.

    key: unique among the deadlines of a problem.
    at: the time of day, without a zone; None when the whole day counts (it ends at 23:59).
        24:00 on a day is 00:00 on the next.
    zone: IANA name of the zone the institution states; None when it states none.
    place_zone: IANA name of the zone the institution stands in, in which times are shown.
    opens_on: the first date on which anything can be sent.
    opens_after: key of another deadline whose task must be done first.
    """

    key: str
    name: str
    on: date
    at: time | None = None
    zone: str | None = None
    place_zone: str | None = None
    opens_on: date | None = None
    opens_after: str | None = None


@dataclass(frozen=True, slots=True)
class Task:
    """One thing somebody has to do.

    key: unique among the tasks of a problem.
    doer: "student", "teacher" or "other".
    deadline: key of a Deadline; a task without one has its own date in `on`, never both.
    lead: it is due this long before the deadline.
    takes: the work it needs; it is started this long before it is planned to be finished.
    dropped: the teacher has marked it "not needed".
    """

    key: str
    name: str
    doer: str
    deadline: str | None = None
    on: date | None = None
    lead: Lead = Lead()
    takes: Lead = Lead()
    done_on: date | None = None
    dropped: bool = False


@dataclass(frozen=True, slots=True)
class Problem:
    """Everything one student (or one desk) has to do, as seen at one moment.

    now: aware datetime in any zone.
    home_zone: IANA name of the zone whose calendar the student lives by.
    days_off: public holidays and the studio's own days; working days leave them out.
    weekend: weekdays that are no working days, Monday is 0.
    """

    now: datetime
    home_zone: str
    deadlines: tuple[Deadline, ...]
    tasks: tuple[Task, ...]
    days_off: tuple[date, ...] = ()
    weekend: tuple[int, ...] = (5, 6)


@dataclass(frozen=True, slots=True)
class TaskDue:
    """One task with its dates.

    due: aware, in the deadline's zone. Where no zone is stated it is the time as given, read in
        the institution's own zone or else at home: show it, but convert it to nothing.
    due_home: the same moment by the student's clock; None where no zone is stated.
    plan_by: the date at home to plan for: never after the true moment, and a day early where no
        zone is stated.
    all_day: no time of day is given, so `due` is the day's end, 23:59.
    start_on: plan_by counted back by the work the task takes.
    when: by plan_by. Overdue only once the true moment has passed: between the day planned for
        and the true moment it is today's.
    must_start: still to do, not late, and start_on has come.
    late_days: days begun since it was due, by the student's calendar; 0 when it is not late.
    waits_for: name of the open task (or of the deadline, if it has no task) that has to be done
        before this deadline opens at all.
    sentence: what to tell somebody; short: the same for a narrow column, the day and what matters
    most about it; reasons: how the dates came about, one sentence each.
    """

    key: str
    name: str
    doer: str
    due: datetime | None
    due_home: datetime | None
    plan_by: date
    all_day: bool
    start_on: date
    when: When
    must_start: bool
    late_days: int
    waits_for: str | None
    zone_stated: bool
    sentence: str
    short: str
    reasons: tuple[str, ...]


@dataclass(frozen=True, slots=True)
class Answer:
    """Every task once, by plan_by, then name, then key.

    start_today, late: keys, in the same order.
    notes: what to be careful about; may be empty.
    """

    tasks: tuple[TaskDue, ...]
    start_today: tuple[str, ...]
    late: tuple[str, ...]
    sentence: str
    notes: tuple[str, ...]
