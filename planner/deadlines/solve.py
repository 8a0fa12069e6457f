"""From a problem to its answer."""

from datetime import UTC, date, datetime, timedelta
from zoneinfo import ZoneInfo

from planner.deadlines import wording
from planner.deadlines.checking import check
from planner.deadlines.closing import Closing, close
from planner.deadlines.counting import Workdays
from planner.deadlines.dating import Dates, dates_of
from planner.deadlines.model import Answer, Deadline, Problem, Task, TaskDue, When
from planner.zones import zone


def answer(problem: Problem) -> Answer:
    """Return every task with its dates; raise ValueError, with what to do, if it cannot be."""
    check(problem)
    desk = _Desk(problem)
    dues = sorted(
        (_task_due(task, desk) for task in problem.tasks),
        key=lambda due: (due.plan_by, due.name, due.key),
    )
    start_today = tuple(due.key for due in dues if due.must_start)
    late = tuple(due.key for due in dues if due.late_days)
    still = [due for due in dues if due.when not in (When.DONE, When.DROPPED)]
    coming = f"{still[0].name}, {wording.full_day(still[0].plan_by)}" if still else ""
    return Answer(
        tasks=tuple(dues),
        start_today=start_today,
        late=late,
        sentence=wording.summary(len(dues), len(still), len(late), len(start_today), coming),
        notes=_notes(problem, desk, still),
    )


class _Desk:
    """What all tasks of one problem share, worked out once."""

    def __init__(self, problem: Problem):
        self.home: ZoneInfo = zone(problem.home_zone)
        # Python compares wall times when both share a zone, so moments are compared in UTC.
        self.now: datetime = problem.now.astimezone(UTC)
        self.today: date = problem.now.astimezone(self.home).date()
        self.sunday: date = self.today + timedelta(6 - self.today.weekday())
        self.workdays = Workdays(problem.days_off, problem.weekend)
        self.closings = {d.key: close(d, self.home) for d in problem.deadlines}
        self.waits = _waits(problem)

    def closing(self, task: Task) -> Closing:
        """Return the closing a task counts back from: its deadline's, or its own date's end."""
        if task.deadline is not None:
            return self.closings[task.deadline]
        return close(Deadline("", "its own date", task.on, zone=self.home.key), self.home)


def _waits(problem: Problem) -> dict[str, str]:
    """Return, by deadline key, the name of what must be done before that deadline opens."""
    tasks: dict[str, list[Task]] = {}
    for task in problem.tasks:
        if task.deadline is not None:
            tasks.setdefault(task.deadline, []).append(task)
    names = {deadline.key: deadline.name for deadline in problem.deadlines}
    waits = {}
    for deadline in problem.deadlines:
        if (before := deadline.opens_after) is None:
            continue
        theirs = tasks.get(before, [])
        # What is done at the deadline itself (send, pay) is what opens the other one.
        deciding = [task for task in theirs if not task.lead.count] or theirs
        still = [task.name for task in deciding if task.done_on is None and not task.dropped]
        if still or not theirs:
            waits[deadline.key] = min(still, default=names[before])
    return waits


def _task_due(task: Task, desk: _Desk) -> TaskDue:
    closing = desk.closing(task)
    dates = dates_of(task, closing, desk.workdays, desk.home)
    open_ = task.done_on is None and not task.dropped
    late_days = _late_days(dates, desk) if open_ else 0
    waits_for = desk.waits.get(task.deadline) if open_ and task.deadline is not None else None
    return TaskDue(
        key=task.key,
        name=task.name,
        doer=task.doer,
        due=dates.due,
        due_home=dates.due_home,
        plan_by=dates.plan_by,
        all_day=dates.all_day,
        start_on=dates.start_on,
        when=_when(task, dates.plan_by, late_days, desk),
        must_start=open_ and not late_days and dates.start_on <= desk.today,
        late_days=late_days,
        waits_for=waits_for,
        zone_stated=closing.stated,
        sentence=_sentence(task, dates, late_days, waits_for, desk),
        short=_short(task, dates, late_days, waits_for, desk),
        reasons=tuple(dates.reasons),
    )


def _late_days(dates: Dates, desk: _Desk) -> int:
    closes = dates.due.astimezone(UTC)
    if dates.all_day:
        closes += timedelta(minutes=1)  # 23:59 lasts until midnight
    if desk.now <= closes:
        return 0
    return max(1, (desk.today - dates.last_day).days)


def _when(task: Task, plan_by: date, late_days: int, desk: _Desk) -> When:
    if task.done_on is not None:
        return When.DONE
    if task.dropped:
        return When.DROPPED
    if late_days:
        return When.OVERDUE
    if plan_by <= desk.today:
        return When.TODAY
    if plan_by <= desk.sunday:
        return When.THIS_WEEK
    if plan_by <= desk.sunday + timedelta(7):
        return When.NEXT_WEEK
    return When.LATER


def _sentence(task: Task, dates: Dates, late_days: int, waits_for: str | None, desk: _Desk) -> str:
    if task.done_on is not None:
        return f"done {wording.short_day(task.done_on)}"
    if task.dropped:
        return "not needed"
    if late_days:
        shown = dates.due_home or dates.due
        parts = [wording.late_words(shown, dates.last_day, late_days, desk.today)]
        if dates.due_home is None:
            parts.append("zone not stated")
    else:
        parts = [wording.due_words(dates, desk.today), *wording.plan_words(dates)]
        if task.takes.count:
            parts.append(wording.start_words(dates.start_on, task.takes, desk.today))
    if dates.opens_on is not None and dates.opens_on > desk.today:
        parts.append(f"opens on {wording.dated(dates.opens_on, desk.today)}")
    if waits_for:
        parts.append(f"waits for: {waits_for}")
    return "; ".join(parts)


def _short(task: Task, dates: Dates, late_days: int, waits_for: str | None, desk: _Desk) -> str:
    if task.done_on is not None or task.dropped:
        return _sentence(task, dates, late_days, waits_for, desk)
    if late_days:
        return wording.brief_late(dates.last_day, late_days, desk.today)
    due = wording.brief_due(dates, desk.today)
    if waits_for or (dates.opens_on is not None and dates.opens_on > desk.today):
        return f"{due} · not open yet"
    if task.takes.count and dates.start_on <= desk.today:
        return f"{due} · start today"
    return due if dates.due_home else f"{due} · zone not stated"


def _notes(problem: Problem, desk: _Desk, still: list[TaskDue]) -> tuple[str, ...]:
    """Return what to be careful about, in an order of its own."""
    notes = []
    keys = {due.key for due in still if not due.zone_stated}
    unstated = {desk.closings[t.deadline].deadline.name for t in problem.tasks if t.key in keys}
    if unstated:
        notes.append(
            f"No time zone stated: {wording.listed(sorted(unstated))}. "
            "Planned a day early; ask the institution which zone it means."
        )
    by_key = {deadline.key: deadline for deadline in problem.deadlines}
    notes += sorted(
        f"{d.name} opens only after {by_key[d.opens_after].name}, whose date is no earlier: "
        "settle that one sooner."
        for d in problem.deadlines
        if d.key in desk.waits and by_key[d.opens_after].on >= d.on
    )
    if problem.deadlines:
        notes.append(wording.CARE)
    return tuple(notes)
