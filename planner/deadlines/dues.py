"""One task's part of the answer: its heading, its sentences and what it says about today."""

from dataclasses import dataclass
from datetime import UTC, date, datetime, timedelta

from planner.deadlines import wording
from planner.deadlines.closing import Closing
from planner.deadlines.dating import Dates
from planner.deadlines.model import Task, TaskDue, When

DAY = timedelta(1)


@dataclass(frozen=True, slots=True)
class Moment:
    """Now. at: in UTC, as Python compares wall times in one zone. sunday: the week's last day."""

    at: datetime
    today: date
    sunday: date

    def is_past(self, due: datetime, all_day: bool) -> bool:
        """Say whether something was due before now; 23:59 of a whole day lasts until midnight."""
        closes = due.astimezone(UTC)
        return self.at > (closes + timedelta(minutes=1) if all_day else closes)

    def last_day(self, closing: Closing) -> date:
        """Return the last day at home on which it is still taken, late or not."""
        deadline, last = closing.deadline, closing.last_day_home
        if deadline.late_until is not None and deadline.late_until > last:
            return deadline.late_until
        if self.is_past(closing.due, deadline.at is None):
            return min(last, self.today - DAY)
        return max(last, self.today)


@dataclass(frozen=True, slots=True)
class Held:
    """What holds an open task up.

    waits_for: as in TaskDue; opening: it is for its deadline to open. blocked: why it itself
    cannot be begun; not_before: the date before which it cannot, with `why`. begins: the earliest
    start, None if that cannot be said. ends: the earliest end, where that is after the last day.
    """

    waits_for: str | None = None
    opening: bool = False
    blocked: str = ""
    not_before: date | None = None
    why: str = ""
    begins: date | None = None
    ends: date | None = None


FREE = Held()


class Due:
    """One task with its dates at one moment, and what is to be said of it."""

    def __init__(self, task: Task, dates: Dates, closing: Closing, held: Held, moment: Moment):
        self.task, self.dates, self.held, self.today = task, dates, held, moment.today
        self.sunday = moment.sunday
        self.open = task.done_on is None and not task.dropped
        self.late_days = 0
        if self.open and moment.is_past(dates.due, dates.all_day):
            self.late_days = max(1, (self.today - dates.last_day).days)
        deadline = closing.deadline
        # Whatever its own date: once the deadline has passed, what counts is if it is still taken.
        passed = self.late_days and moment.is_past(closing.due, deadline.at is None)
        self.late_until = deadline.late_until if passed else None
        self.late_terms = deadline.late_terms
        self.stated = closing.stated

    @property
    def can_begin(self) -> bool:
        """Whether nothing holds it up today."""
        begins = self.held.begins
        return begins is not None and begins <= self.today

    @property
    def when(self) -> When:
        """The heading it stands under."""
        if not self.open:
            return When.DROPPED if self.task.done_on is None else When.DONE
        if self.late_days:
            return When.OVERDUE
        plan_by = self.dates.plan_by
        if plan_by <= self.today:
            return When.TODAY
        if plan_by <= self.sunday:
            return When.THIS_WEEK
        return When.NEXT_WEEK if plan_by <= self.sunday + 7 * DAY else When.LATER

    @property
    def sentence(self) -> str:
        """What to tell somebody."""
        if self.task.done_on is not None:
            return f"done {wording.short_day(self.task.done_on)}"
        if self.task.dropped:
            return "not needed"
        return "; ".join([*(self._late() if self.late_days else self._ahead()), *self._waiting()])

    @property
    def short(self) -> str:
        """The same for a narrow column."""
        if not self.open:
            return self.sentence
        dates, today, held = self.dates, self.today, self.held
        if self.late_days and self._only_planned:
            return f"{wording.brief_due(dates, today)} · zone not stated"
        if self.late_days:
            return wording.brief_late(dates.last_day, self.late_days, today)
        due = wording.brief_due(dates, today)
        if held.ends is not None:
            return due  # too late: neither waiting nor starting helps
        if held.opening or self._opens_later:
            return f"{due} · not open yet"
        if held.waits_for or not self.can_begin:
            return f"{due} · waits"
        if self.task.takes.count and dates.start_on <= today:
            return f"{due} · start today"
        return due if dates.due_home else f"{due} · zone not stated"

    def answer(self, place: dict) -> TaskDue:
        """Return the TaskDue; place: its fields that come from the network."""
        dates, until = self.dates, self.late_until
        over = until is not None and until < self.today
        starts = self.open and not self.late_days and dates.start_on <= self.today
        return TaskDue(
            key=self.task.key,
            name=self.task.name,
            doer=self.task.doer,
            due=dates.due,
            due_home=dates.due_home,
            plan_by=dates.plan_by,
            all_day=dates.all_day,
            start_on=dates.start_on,
            when=self.when,
            must_start=starts and self.can_begin,
            late_days=self.late_days,
            waits_for=self.held.waits_for,
            zone_stated=self.stated,
            sentence=self.sentence,
            short=self.short,
            reasons=tuple(dates.reasons),
            taken_until=None if over else until,
            closed=over,
            **place,
        )

    @property
    def _opens_later(self) -> bool:
        return self.dates.opens_on is not None and self.dates.opens_on > self.today

    @property
    def _only_planned(self) -> bool:
        """Whether it may not be late where it is due: the zone is not stated, and it is today."""
        return self.dates.due_home is None and self.dates.last_day == self.today

    def _late(self) -> list[str]:
        dates = self.dates
        if self._only_planned:
            parts = [wording.due_words(dates, self.today), *wording.plan_words(dates)]
        else:
            shown = dates.due_home or dates.due
            parts = [wording.late_words(shown, dates.last_day, self.late_days, self.today)]
        if self.late_until is not None:
            parts.append(wording.taken_words(self.late_until, self.late_terms, self.today))
        return parts if dates.due_home or self._only_planned else [*parts, "zone not stated"]

    def _ahead(self) -> list[str]:
        dates, today, takes = self.dates, self.today, self.task.takes
        parts = [wording.due_words(dates, today), *wording.plan_words(dates)]
        if self.held.ends is not None:
            parts.append(f"cannot be done before {wording.dated(self.held.ends, today)}")
        if takes.count:
            can = self.can_begin or dates.start_on > today
            parts.append(
                wording.start_words(dates.start_on, takes, today)
                if can
                else wording.missed_words(dates.start_on, takes, today)
            )
        return parts

    def _waiting(self) -> list[str]:
        held, parts = self.held, []
        if self._opens_later:
            parts.append(f"opens on {wording.dated(self.dates.opens_on, self.today)}")
        if held.not_before is not None:
            day = wording.dated(held.not_before, self.today)
            parts.append(f"not before {day}: {held.why}" if held.why else f"not before {day}")
        if held.blocked:
            parts.append(f"waits: {held.blocked}")
        elif held.waits_for:
            parts.append(f"waits for: {held.waits_for}")
        return parts
