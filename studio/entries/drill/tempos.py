"""A student's clean tempos key by key: those of lessons, and those they measured themselves."""

from dataclasses import dataclass
from datetime import timedelta

from planner.readiness.words import day
from studio.entries.drill.asked import place
from studio.entries.models import LessonCheck

TEACHER, STUDENT = LessonCheck.Source.TEACHER, LessonCheck.Source.STUDENT
LOOKED_BACK = timedelta(days=28)  # how far back a trend looks


@dataclass(frozen=True)
class Track:
    """The clean tempos of one key by one source: KeyChecks, oldest first."""

    checks: tuple = ()

    @property
    def last(self):
        """The latest, or None."""
        return self.checks[-1] if self.checks else None

    @property
    def best(self):
        """The fastest, the first of those that are as fast; or None."""
        return max(self.checks, key=lambda check: check.tempo, default=None)

    @property
    def trend(self):
        """What became of it within four weeks: "up 8 in 12 days"; "" where nothing is to say."""
        if len(self.checks) < 2:
            return ""
        since = self.last.on - LOOKED_BACK
        first = next(check for check in self.checks if check.on >= since)
        days, more = (self.last.on - first.on).days, self.last.tempo - first.tempo
        if not days:
            return ""
        change = f"{'up' if more > 0 else 'down'} {abs(more)}" if more else "the same"
        return f"{change} in {days} day{'' if days == 1 else 's'}"

    def last_words(self, today):
        """ "88 on 12 January", "" if there is none."""
        return _words(self.last, today)

    def best_words(self, today):
        """The same of the fastest; "" where that is the latest."""
        return _words(self.best, today) if self.best != self.last else ""


def _words(check, today):
    return f"{check.tempo} on {day(check.on, today)}" if check else ""


class Tempos:
    """All KeyChecks of a student.

    checks: in the order of their days.
    """

    def __init__(self, checks):
        self._found = {}
        for check in checks:
            key = (*place(check.sort, check.tonic), check.source)
            self._found.setdefault(key, []).append(check)

    def of(self, key, source):
        """Return the Track of an asked.Key."""
        return Track(tuple(self._found.get((*key.place, source), ())))

    def on(self, key, source, day):
        """Return the check of one day, or None."""
        return next((check for check in self.of(key, source).checks if check.on == day), None)

    def before(self, key, day):
        """Return the latest tempo of any source before a day, or None."""
        checks = (*self.of(key, TEACHER).checks, *self.of(key, STUDENT).checks)
        earlier = [check for check in checks if check.on < day]
        return max(earlier, key=lambda check: check.on).tempo if earlier else None
