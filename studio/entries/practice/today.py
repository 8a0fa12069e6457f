"""Today's practice: what is played in which order, how far it is done, and what moved."""

from dataclasses import dataclass
from functools import cached_property

from planner.deadlines.wording import count_of
from planner.practice.words import CARE
from studio.entries.practice.bridge import away, weekdays
from studio.entries.practice.forms import DayForm, LogForm, log_id
from studio.entries.practice.moving import Practice, what

RUN = "run-through"
A_FEW = 3  # minutes that nobody counts: common practice, no source


@dataclass(frozen=True)
class Line:
    """One stretch of the day. what: as a log's choice has it. done: minutes logged of it.

    before: minutes on the same thing in earlier stretches of the day.
    """

    what: str
    name: str
    minutes: int
    done: int
    before: int
    why: str
    form: LogForm | None = None

    @property
    def is_done(self):
        """Whether all of it is logged, but for a few minutes: the list may move under the hand."""
        return self.done > max(0, self.minutes - A_FEW)

    @property
    def then(self):
        """The minutes in all to log when it is ticked, or taken back."""
        return self.before if self.is_done else self.before + self.minutes

    @property
    def state(self):
        """How far it is done, in words; "" where nothing of it is."""
        if self.is_done:
            return "done"
        return f"{self.done} of {self.minutes} min done" if self.done else ""


class Today:
    """Today's list of a Practice.

    is_own: whether the student reads it, and no one else. may_log: whether the asker may write
    minutes. wrong: a form that could not be saved, shown where it was.
    """

    care = CARE[0]

    def __init__(self, practice: Practice, *, is_own=True, may_log=False, wrong=None):
        self.practice, self.season, self.student = practice, practice.season, practice.student
        self.is_own, self.may_log, self.wrong = is_own, may_log, wrong
        self.on = practice.today

    @cached_property
    def day(self):
        """planner.practice.Day of today, or None if nothing is planned."""
        days = self.practice.answer.days
        return days[0] if days and days[0].on == self.on else None

    @cached_property
    def _logged(self):
        found = {}
        for log in self.practice.logged_today:
            found[what(log)] = found.get(what(log), 0) + log.minutes
        return found

    @cached_property
    def lines(self):
        """The day's stretches as Lines, in order."""
        upto, found = {}, []
        for one in self.day.stretches if self.day else ():
            key = f"run-{one.key}" if one.kind == RUN else f"piece-{one.key}"
            before = upto.get(key, 0)
            upto[key] = before + one.minutes
            done = min(max(self._logged.get(key, 0) - before, 0), one.minutes)
            name = f"{one.name}: run-through" if one.kind == RUN else one.name
            form = None if before else self._form(key)
            found.append(Line(key, name, one.minutes, done, before, one.why, form))
        return found

    def _form(self, key):
        """Return the form for other minutes on a line, with what was typed where it was wrong."""
        if not self.may_log:
            return None
        if isinstance(self.wrong, LogForm) and self.wrong.auto_id == log_id(key):
            return self.wrong
        initial = {"what": key, "on": self.on, "minutes": self._logged.get(key)}
        return LogForm(season=self.season, hidden=True, auto_id=log_id(key), initial=initial)

    @cached_property
    def other_form(self):
        """The form for what is not on the list, or for an earlier day; None if not allowed."""
        if not self.may_log:
            return None
        if isinstance(self.wrong, LogForm) and not self.wrong.hidden:
            return self.wrong
        return LogForm(season=self.season, auto_id=log_id(""), initial={"on": self.on})

    @cached_property
    def day_form(self):
        """The form for another number of minutes; None if not allowed."""
        if not self.may_log:
            return None
        if isinstance(self.wrong, DayForm):
            return self.wrong
        initial = {"on": self.on, "minutes": self.available}
        return DayForm(season=self.season, auto_id="practice-day-%s", initial=initial)

    @property
    def planned(self):
        """Minutes on the list."""
        return sum(line.minutes for line in self.lines)

    @property
    def done(self):
        """Minutes logged today, on the list or not."""
        return sum(self._logged.values())

    @property
    def others(self):
        """What was practised beside the list, in words."""
        listed = {line.what for line in self.lines}
        names = dict(LogForm(season=self.season).fields["what"].choices)
        return [
            f"{names.get(key, 'Something else')}, {minutes} min"
            for key, minutes in self._logged.items()
            if minutes and key not in listed
        ]

    @property
    def progress(self):
        """ "45 of 60 min done"."""
        if not self.planned:
            return f"{self.done} min done" if self.done else ""
        if self.done > self.planned:
            return f"{self.done} min done, {self.planned} were planned"
        return f"{self.done} of {self.planned} min done"

    @property
    def available(self):
        """The minutes that today has."""
        own = next((day.minutes for day in self.practice.days if day.on == self.on), None)
        if own is not None:
            return own
        return 0 if self.away else weekdays(self.student)[self.on.weekday()]

    @property
    def away(self):
        """The row of days away that today lies in, or None."""
        rows = away(self.student, self.on)
        return next((each for each in rows if each.first <= self.on), None)

    @property
    def is_set(self):
        """Whether the student has any minutes to plan with."""
        own = any(day.minutes for day in self.practice.days if day.on >= self.on)
        return own or any(weekdays(self.student))

    @property
    def light(self):
        """Why the day is a light one, or ""."""
        if not (self.day and self.day.light):
            return ""
        coming = (each for each in self.practice.asking.ahead if each.chosen)
        place = next((each.place for each in coming), "")
        return f"Kept light on purpose: {place} is near." if place else "Kept light on purpose."

    @property
    def nothing(self):
        """Why the list is empty, and what happens next; "" where it is not."""
        if self.lines or not self.is_set:
            return ""
        if self.away and not self.available:
            return f"Away{f', {self.away.reason}' if self.away.reason else ''}: no practice today."
        if not self.available:
            return "A rest day: rest is part of practice."
        return self._all_done()

    def _all_done(self):
        asking = self.practice.asking
        if not asking.needs:
            return "No music is chosen yet, so there is nothing to practise for a date."
        if not asking.planned:
            return "No audition has a date yet, so there is nothing to plan towards."
        if not any(need.minutes for need in asking.planned):
            return "All of the music is ready: play what you like."
        return "Nothing is planned for today; all of it has its place on other days."

    @property
    def short(self):
        """How much does not fit, or ""."""
        missing = self.practice.answer.missing
        return f"{count_of(missing, 'minute')} do not fit before their dates." if missing else ""

    @property
    def sentence(self):
        """The day in one line: for the lesson page."""
        if not self.is_set:
            return "no practice minutes are set yet"
        if not self.lines:
            return self.nothing[:1].lower() + self.nothing[1:].removesuffix(".")
        return ", ".join(f"{line.name} {line.minutes} min" for line in self.lines)
