"""A trial lesson as an event: when it is, how sure, and what to know of it."""

from dataclasses import dataclass
from datetime import date, datetime, time, timedelta
from functools import cached_property

from planner import zones
from studio.entries.models import TrialLesson
from studio.entries.trial_lessons import Lesson

LASTS = timedelta(hours=1)  # nobody writes down how long: common practice, no source
GUESS = "How long it lasts is a guess: one hour."
EVENING = time(19)
ALL_DAY = timedelta(hours=-15)  # 9:00 on the day before
Reply = TrialLesson.Reply


@dataclass(frozen=True)
class Trial:
    """A trial_lessons.Lesson that has a day."""

    lesson: Lesson

    @property
    def row(self):
        """The TrialLesson."""
        return self.lesson.row

    @cached_property
    def start(self) -> date | datetime:
        """In the zone of the place; floating where that is not known; the day without a time."""
        row = self.row
        if row.at is None:
            return row.on
        return self.lesson.when.at or datetime.combine(row.on, row.at)

    @property
    def end(self):
        """An hour later, or the day after."""
        if not isinstance(self.start, datetime):
            return self.start + timedelta(days=1)
        if self.start.tzinfo is None:
            return self.start + LASTS
        return zones.shift(self.start, LASTS.seconds // 60)

    @property
    def status(self):
        """How sure it is, in the words of iCalendar."""
        if self.row.reply == Reply.NO:
            return "CANCELLED"
        return "CONFIRMED" if self.row.held or self.row.reply == Reply.YES else "TENTATIVE"

    @property
    def reminder(self):
        """From its beginning back to the evening before, by the clock at home."""
        if not isinstance(self.start, datetime):
            return ALL_DAY
        before = self.row.on - timedelta(days=1)
        if self.start.tzinfo is None:
            return datetime.combine(before, EVENING) - self.start
        home = zones.zone(self.lesson.home_zone)
        eve = zones.moment(before, EVENING, home).at
        return timedelta(minutes=-zones.minutes_between(eve, self.start))

    def said(self, *, own):
        """Return the lines of its description; own: the student's own calendar."""
        when = self.lesson.when
        lines = [
            f"With {self.row.teacher}.",
            f"{when.words}{', ' if when.here else ''}{when.here}.",
            GUESS if self.row.at else "",
            "" if self.status == "CONFIRMED" else f"{self.lesson.state}.",
        ]
        questions = self.lesson.questions if own else []
        return [*lines, *(["To ask:"] if questions else []), *(f"- {each}" for each in questions)]
