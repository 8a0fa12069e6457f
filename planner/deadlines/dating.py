"""The dates of one task, counted back from the closing of its deadline."""

from dataclasses import dataclass, field
from datetime import date, datetime, timedelta
from zoneinfo import ZoneInfo

from planner.deadlines.closing import DAY_END, Closing, last_day
from planner.deadlines.counting import Workdays
from planner.deadlines.model import Lead, Task, Unit
from planner.deadlines.wording import count_days, full_day, lead_words, listed, short_day, year_day

MANY = 4  # more days off than this are counted, not listed


@dataclass(slots=True)
class Dates:
    """When a task is due, as in TaskDue.

    due_home is None where no zone is stated; final says that it is the deadline itself, not a
    date on the way to it; needed_for names the task that needs it sooner than its own date.
    """

    due: datetime
    due_home: datetime | None
    plan_by: date
    all_day: bool
    final: bool
    opens_on: date | None
    start_on: date = date.min
    reasons: list[str] = field(default_factory=list)
    needed_for: str = ""

    @property
    def last_day(self) -> date:
        """The date by which it should be done, by the student's clock where that is known."""
        return last_day(self.due_home or self.due)


def dates_of(task: Task, closing: Closing, workdays: Workdays, home: ZoneInfo) -> Dates:
    """Return the dates of `task`, but for when to start."""
    day = workdays.back(closing.last_day, task.lead)
    if day == closing.last_day:
        dates = Dates(
            closing.due,
            closing.due_home if closing.stated else None,
            closing.plan_by,
            closing.deadline.at is None,
            final=True,
            opens_on=closing.deadline.opens_on,
        )
    else:
        dates = _on_the_way(day, closing, home)
        dates.reasons += _counted(task, closing, day, workdays)
    dates.reasons += closing.reasons
    if task.lead.unit is Unit.WORKING_DAYS:
        _plan_for_a_working_day(dates, workdays)
    return dates


def need_sooner(dates: Dates, day: date, name: str) -> None:
    """Plan for `day`, which is before the date planned for, as the task `name` needs it then."""
    dates.plan_by = day
    dates.needed_for = name
    dates.reasons.append(f"Needed by {full_day(day)} for: {name}.")


def start(dates: Dates, takes: Lead, workdays: Workdays) -> None:
    """Set when to start, as long before the date planned for as the work takes."""
    dates.start_on = workdays.back(dates.plan_by, takes)
    if takes.count:
        dates.reasons.append(f"Takes {lead_words(takes)}: start on {full_day(dates.start_on)}.")


def _on_the_way(day: date, closing: Closing, home: ZoneInfo) -> Dates:
    due = datetime.combine(day, DAY_END, closing.tz)
    due_home = due.astimezone(home)
    # The task keeps its distance from the deadline, however early that has to be planned.
    early: timedelta = closing.last_day - closing.plan_by
    plan_by = min(day - early, last_day(due_home))
    return Dates(
        due,
        due_home if closing.stated else None,
        plan_by,
        all_day=True,
        final=False,
        opens_on=closing.deadline.opens_on,
    )


def _plan_for_a_working_day(dates: Dates, workdays: Workdays) -> None:
    rolled = workdays.roll_back(dates.plan_by)
    if rolled < dates.plan_by:
        dates.plan_by = rolled
        dates.reasons.append(f"Planned for a working day, {full_day(rolled)}.")


def _counted(task: Task, closing: Closing, day: date, workdays: Workdays) -> list[str]:
    """Return how the date came out of the deadline's."""
    last = closing.last_day
    lead = f"Counted back {lead_words(task.lead)} from" if task.lead.count else "A working day for"
    reasons = [f"{lead} {closing.deadline.name}, {year_day(last)}."]
    if task.lead.unit is Unit.DAYS:
        return reasons
    start = workdays.roll_back(last)
    if start < last:
        why = "in a weekend" if last.weekday() in workdays.weekend else "a day off"
        reasons.append(f"{full_day(last)} is {why}: rolled back to {full_day(start)}.")
    if off := workdays.off_between(day, start):
        shown = [short_day(d) for d in off] if len(off) <= MANY else [count_days(len(off))]
        reasons.append(f"Days off left out: {listed(shown)}.")
    return reasons
