"""The page of a student's practice: the fortnight by day, then by week, and what is short."""

from dataclasses import dataclass
from datetime import date, timedelta
from functools import cached_property

from planner.deadlines.wording import count_of, dated, listed, short_day
from studio.entries.practice.bridge import away, weekdays
from studio.entries.practice.strip import strip
from studio.entries.practice.today import RUN

DAYS, WEEK, WEEKS_BACK = 14, timedelta(days=7), 4
FEW = 3  # pieces named on one line
CHANGES = ("more minutes", "later date", "one piece fewer")
SMALLEST = 2  # of each kind


@dataclass(frozen=True)
class DayLine:
    """One day of the fortnight. stretches: planner.practice.Stretch; note: why there are none."""

    on: date
    name: str
    minutes: int
    available: int
    stretches: tuple
    light: bool
    note: str


@dataclass(frozen=True)
class WeekLine:
    """One of the weeks after it, in words."""

    name: str
    minutes: int
    days: str
    music: str


@dataclass(frozen=True)
class PieceRow:
    """One piece: planner.practice.PieceLine, and on what grounds its minutes stand."""

    line: object
    grounds: str


@dataclass(frozen=True)
class LoggedWeek:
    """Minutes logged in one week against those there were."""

    name: str
    logged: int
    available: int
    days: str

    @property
    def words(self):
        """ "180 of 330 min on 4 days"."""
        if not self.logged and not self.available:
            return "no day to practise"
        return f"{self.logged} of {self.available} min{f', on {self.days}' * bool(self.days)}"


class PracticePage:
    """What the page shows of a moving.Practice; the printed part takes its fortnight from here."""

    def __init__(self, practice):
        self.practice, self.answer, self.asking = practice, practice.answer, practice.asking
        self.today, self.student = practice.today, practice.student
        self._planned = {day.on: day for day in self.answer.days}
        self._own = {day.on: day.minutes for day in practice.days}

    @cached_property
    def fortnight(self):
        """The coming DAYS days as DayLines."""
        return [self._day(self.today + timedelta(days=n)) for n in range(DAYS)]

    @property
    def week(self):
        """The coming seven."""
        return self.fortnight[:7]

    @property
    def has_plan(self):
        """Whether there is any day with practice."""
        return bool(self.answer.days)

    def _day(self, on):
        planned = self._planned.get(on)
        available = planned.available if planned else self.available(on)
        return DayLine(
            on,
            "Today" if on == self.today else f"{on:%A %-d %B}",
            planned.minutes if planned else 0,
            available,
            planned.stretches if planned else (),
            bool(planned and planned.light),
            "" if planned else self._why_free(on, available),
        )

    def _why_free(self, on, available):
        if self._away(on) and not available:
            reason = self._away(on).reason
            return f"Away, {reason}" if reason else "Away"
        return "Nothing planned" if available else "Rest day"

    def _away(self, on):
        return next((each for each in self._all_away if each.first <= on <= each.last), None)

    @cached_property
    def _all_away(self):
        return away(self.student, self.today - WEEKS_BACK * WEEK)

    def available(self, on):
        """Return the minutes that a day has."""
        if on in self._own:
            return self._own[on]
        return 0 if self._away(on) else weekdays(self.student)[on.weekday()]

    @cached_property
    def later(self):
        """The weeks after the fortnight as WeekLines."""
        found, first = [], self.today + timedelta(days=DAYS)
        last = max(self._planned, default=self.today)
        while first <= last:
            days = [day for on, day in self._planned.items() if first <= on < first + WEEK]
            found.append(self._week(first, days))
            first += WEEK
        return found

    def _week(self, first, days):
        minutes = {}
        for day in days:
            for one in day.stretches:
                name = f"{one.name} run-through" if one.kind == RUN else one.name
                minutes[name] = minutes.get(name, 0) + one.minutes
        most = sorted(minutes, key=lambda name: -minutes[name])
        music = [f"{name} {minutes[name]} min" for name in most[:FEW]]
        if len(most) > FEW:
            music.append(f"{len(most) - FEW} more")
        last = first + WEEK - timedelta(days=1)
        return WeekLine(
            f"{short_day(first)} to {short_day(last)}",
            sum(day.minutes for day in days),
            count_of(len(days), "day") if days else "no day",
            listed(music),
        )

    @cached_property
    def pieces(self):
        """Every piece that is planned as a PieceRow, the next date first."""
        needs = {need.key: need for need in self.asking.planned}
        rows = [PieceRow(line, needs[line.key].grounds) for line in self.answer.pieces]
        return sorted(rows, key=lambda row: (needs[row.line.key].due, row.line.name))

    @cached_property
    def changes(self):
        """The changes that would do: the smallest of each kind first, as (first, the rest)."""
        found = sorted(self.answer.changes, key=lambda change: change.amount)
        kinds = [[one for one in found if one.kind == kind] for kind in CHANGES]
        first, rest = [], []
        for some in kinds:
            first += some[:SMALLEST]
            rest += some[SMALLEST:]
        return first, rest

    @property
    def no_date(self):
        """The names of what has no day to plan for, in words."""
        return listed([need.name for need in self.asking.no_date])

    @property
    def assumed(self):
        """What is taken for granted, a sentence each."""
        return list(self.asking.assumed)

    @cached_property
    def logged(self):
        """The last weeks as LoggedWeeks, the latest first."""
        return [self._logged(n) for n in range(WEEKS_BACK)]

    def _logged(self, back):
        last = self.today - back * WEEK
        days = [last - timedelta(days=n) for n in range(6, -1, -1)]
        logs = [log for log in self.practice.logs if log.on in set(days) and log.minutes]
        return LoggedWeek(
            f"{dated(days[0], self.today, full=False)} to {dated(last, self.today, full=False)}",
            sum(log.minutes for log in logs),
            sum(map(self.available, days)),
            count_of(len({log.on for log in logs}), "day") if logs else "",
        )

    @property
    def has_logs(self):
        """Whether anything was logged in these weeks."""
        return any(week.logged for week in self.logged)

    @cached_property
    def strip(self):
        """The strip of the fortnight, or None where nothing is planned."""
        return strip(self.fortnight) if self.has_plan else None
