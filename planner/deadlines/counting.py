"""Counting back over working days, and the counting ahead that goes with it."""

from bisect import bisect_left
from collections.abc import Iterable
from datetime import date, timedelta

from planner.deadlines.model import Lead, Unit


class Workdays:
    """The working days of one calendar: all but the weekend and the days off."""

    def __init__(self, days_off: Iterable[date] = (), weekend: Iterable[int] = (5, 6)):
        """Take days off in any order and weekdays from 0 (Monday), fewer than seven of them."""
        self.weekend = frozenset(weekend)
        # A day off inside a weekend stops nobody, so it is not one to explain either.
        self._off = sorted({d for d in days_off if d.weekday() not in self.weekend})
        self._off_set = frozenset(self._off)
        self._known: dict[tuple[date, int], date] = {}
        self._ahead: dict[tuple[date, int], date] = {}

    def is_working(self, day: date) -> bool:
        """Say whether `day` is a working day."""
        return day.weekday() not in self.weekend and day not in self._off_set

    def roll_back(self, day: date) -> date:
        """Return `day`, or the last working day before it."""
        return self._step(day, 0)

    def back(self, day: date, lead: Lead) -> date:
        """Return the date `lead` before `day`.

        Working days: first roll back to a working day, then count; plain days do not roll.
        A period counted backward rolls backward: FRCP 6(a)(5).
        """
        if lead.unit is Unit.DAYS:
            return day - timedelta(lead.count) if lead.count else day
        return self._step(day, lead.count)

    def ahead(self, day: date, lead: Lead) -> date:
        """Return the first date from which counting back `lead` does not pass `day`.

        The adjoint of `back`: ahead(a, lead) <= b exactly where a <= back(b, lead). So what
        starts on `a` is done in time for `b` whichever way it is counted. Dates still roll
        backward only: this is the first date that rolls back far enough.
        """
        if lead.unit is Unit.DAYS:
            return day + timedelta(lead.count) if lead.count else day
        asked = (day, lead.count)
        if asked not in self._ahead:
            self._ahead[asked] = self._forward(day, lead.count)
        return self._ahead[asked]

    def _forward(self, day: date, count: int) -> date:
        while not self.is_working(day):
            day += _DAY
        for _ in range(count):
            day += _DAY
            while not self.is_working(day):
                day += _DAY
        return day

    def off_between(self, first: date, last: date) -> list[date]:
        """Return the days off from `first` to `last`, both included, outside weekends."""
        return self._off[bisect_left(self._off, first) : bisect_left(self._off, last + _DAY)]

    def _step(self, day: date, count: int) -> date:
        asked = (day, count)
        if asked not in self._known:
            while not self.is_working(day):
                day -= _DAY
            for _ in range(count):
                day -= _DAY
                while not self.is_working(day):
                    day -= _DAY
            self._known[asked] = day
        return self._known[asked]


_DAY = timedelta(1)
