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
class Anchor:
    """A date that other dates are counted back from, such as the date of an audition.

    key: unique among the anchors of a problem; name: as in a sentence, "the Carrow audition".
    on: the date, once it is chosen. earliest: the first of the dates offered that is still to
        come; used while none is chosen, and said to be so. With neither nothing can be counted.
    settled: the institution has confirmed it.
    """

    key: str
    name: str
    on: date | None = None
    earliest: date | None = None
    settled: bool = False

    @property
    def day(self) -> date | None:
        """The date to count from, None while there is none."""
        return self.on or self.earliest


@dataclass(frozen=True, slots=True)
class After:
    """A task waits until another one is done, and for a while more.

    key: of the other task. lag: the time between its end and the beginning of this one.
    """

    key: str
    lag: Lead = Lead()


@dataclass(frozen=True, slots=True)
class Deadline:
    """A date an institution has set: of its own in `on`, or counted back from an anchor.

    key: unique among the deadlines of a problem.
    on: the date; None where `anchor` is given, and never both.
    at: the time of day, without a zone; None when the whole day counts (it ends at 23:59).
        24:00 on a day is 00:00 on the next.
    zone: IANA name of the zone the institution states; None when it states none.
    place_zone: IANA name of the zone the institution stands in, in which times are shown.
    opens_on: the first date on which anything can be sent.
    opens_after: key of another deadline whose task must be done first.
        Both hold up what is done at the deadline itself (lead 0: send, pay), or all of its tasks
        where none is: what is made ready on the way can be begun before.
    anchor: key of an Anchor; before: so long before it ("a week before the chosen date").
    late_until: the last date, by the student's calendar, on which it is still taken late.
    late_terms: on which terms, to follow "still taken until 5 January": "with a fee of 30".
    """

    key: str
    name: str
    on: date | None = None
    at: time | None = None
    zone: str | None = None
    place_zone: str | None = None
    opens_on: date | None = None
    opens_after: str | None = None
    anchor: str | None = None
    before: Lead = Lead()
    late_until: date | None = None
    late_terms: str = ""


@dataclass(frozen=True, slots=True)
class Task:
    """One thing somebody has to do.

    key: unique among the tasks of a problem.
    doer: "student", "teacher" or "other".
    deadline: key of a Deadline; a task without one has its own date in `on`, never both.
    lead: it is due this long before the deadline.
    takes: the work it needs; it is started this long before it is planned to be finished.
    dropped: the teacher has marked it "not needed". It takes no time then, but what comes after it
        still waits for what came before it.
    after: what has to be done before it is begun.
    shared: open tasks with the same mark are one thing to do, once, by the earliest of their
        dates; of those done or dropped each stands for itself. None: shared with nothing.
    not_before: the first date on which it can be begun; not_before_why: why, to follow a colon.
    blocked: why it cannot be begun at all yet ("the date is not confirmed"). "": it can. No
        earliest date is guessed for it, nor for what comes after it.
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
    after: tuple[After, ...] = ()
    shared: str | None = None
    not_before: date | None = None
    not_before_why: str = ""
    blocked: str = ""


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
    anchors: tuple[Anchor, ...] = ()


@dataclass(frozen=True, slots=True)
class TaskDue:
    """One task with its dates.

    due: aware, in the deadline's zone. Where no zone is stated it is the time as given, read in
        the institution's own zone or else at home: show it, but convert it to nothing.
    due_home: the same moment by the student's clock; None where no zone is stated.
    plan_by: the date at home to plan for: never after the true moment, a day early where no zone
        is stated, and no later than the tasks that wait for it need it.
    all_day: no time of day is given, so `due` is the day's end, 23:59.
    start_on: plan_by counted back by the work the task takes.
    when: by plan_by. Overdue only once the true moment has passed: between the day planned for
        and the true moment it is today's.
    must_start: still to do, not late, start_on has come and nothing holds it up.
    late_days: days begun since it was due, by the student's calendar; 0 when it is not late.
    waits_for: name of the open task (or of the deadline, if it has no task) that has to be done
        before this deadline opens at all, or before this task is begun; or why it is blocked.
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
    earliest_start: date | None = None
    earliest_finish: date | None = None
    latest_start: date | None = None
    latest_finish: date | None = None
    slack: int | None = None
    critical: bool = False
    impossible: bool = False
    chain: tuple[str, ...] = ()
    bound_by: str = ""
    shared_with: tuple[str, ...] = ()
    stands_for_all: bool = True
    taken_until: date | None = None
    closed: bool = False


@dataclass(frozen=True, slots=True)
class Undated:
    """A task that has no date yet, as the date it is counted from is neither chosen nor offered.

    when: DONE, DROPPED, or None while it is open. needed_by: where a task with a date waits for
    it, or shares it. sentence: why it has no date.
    """

    key: str
    name: str
    doer: str
    anchor: str
    when: When | None
    needed_by: date | None
    sentence: str


@dataclass(frozen=True, slots=True)
class Chain:
    """What holds a deadline up: the tasks that its tightest task waits for, and that task itself.

    deadline: its key. tasks: keys, in order. slack: of the last one, in days.
    """

    deadline: str
    tasks: tuple[str, ...]
    slack: int


@dataclass(frozen=True, slots=True)
class Move:
    """A date that would have to move so that everything can be done in time.

    kind: "deadline" (the last date it is taken, late_until included), "own date" (of a task without
        a deadline), "opening" (opens_on of a deadline) or "ready" (not_before of a task).
    key: of the deadline or task. on: as it is; to: the nearest date that does. days: between them,
    at least 1.
    """

    kind: str
    key: str
    name: str
    on: date
    to: date
    days: int
    sentence: str


@dataclass(frozen=True, slots=True)
class Answer:
    """Every task with a date once, by plan_by, then name, then key.

    start_today, late, impossible: keys, in the same order; of shared tasks the one for all.
    notes: what to be careful about; may be empty.
    undated: the tasks that have no date, by name, then key.
    moves: the smallest number of dates that have to move so that nothing is impossible, proven;
        of several such sets the one that spares most deadlines. Today cannot be moved.
    critical: keys of the chain with the least slack of all. chains: one for each deadline that
        still has something to do, by deadline key.
    """

    tasks: tuple[TaskDue, ...]
    start_today: tuple[str, ...]
    late: tuple[str, ...]
    sentence: str
    notes: tuple[str, ...]
    undated: tuple[Undated, ...] = ()
    impossible: tuple[str, ...] = ()
    moves: tuple[Move, ...] = ()
    critical: tuple[str, ...] = ()
    chains: tuple[Chain, ...] = ()
