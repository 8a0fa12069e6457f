"""A problem made ready once: days as numbers, minutes of each day, pieces as jobs with a window."""

from collections.abc import Sequence
from dataclasses import dataclass
from datetime import date, timedelta
from itertools import accumulate

from planner.practice.model import Problem

LATER = 366  # days by which a date is tried to move


@dataclass(frozen=True)
class Job:
    """Minutes (need) to be placed on days first to due, both numbers of days and included."""

    key: str
    first: int
    due: int
    need: int


def sums(caps: Sequence[int]) -> list[int]:
    """Return how much all days before each number hold: one number more than `caps` has."""
    return [0, *accumulate(caps)]


def scaled(caps: Sequence[int], percent: int) -> list[int]:
    """Return so many percent of each day, rounded down."""
    return [minutes * percent // 100 for minutes in caps]


class Case:
    """The problem in numbers.

    Day 0 is today or, where a piece was due before, the earliest due day; days before today hold
    nothing. jobs: in order of keys, so that the order of the pieces changes nothing.
    """

    def __init__(self, problem: Problem):
        self.problem, self.settings = problem, problem.settings
        self.pieces = sorted(problem.pieces, key=lambda piece: piece.key)
        self.auditions = sorted(problem.auditions, key=lambda one: (one.on, one.key))
        ends = [problem.today, *(p.due for p in self.pieces), *(a.on for a in self.auditions)]
        self.base = min([problem.today, *(piece.due for piece in self.pieces)])
        self.today = self.number(problem.today)
        self.end = self.number(max(ends)) + 1
        self.caps = self._caps(self.end + LATER)
        self.jobs = [self._job(piece) for piece in self.pieces]

    def number(self, day: date) -> int:
        """Return a day's number."""
        return (day - self.base).days

    def day(self, number: int) -> date:
        """Return the day of a number."""
        return self.base + timedelta(number)

    def _job(self, piece) -> Job:
        due = self.number(piece.due)
        begin = self.today if piece.begin is None else self.number(piece.begin)
        # Due in the past: a window that holds nothing, so all of it is short.
        first = min(max(begin, self.today), due)
        return Job(piece.key, first, due, piece.minutes)

    def _caps(self, count: int) -> list[int]:
        caps = [0] * count
        for number in range(self.today, count):
            caps[number] = self.problem.weekdays[self.day(number).weekday()]
        for one in self.problem.extra:
            number = self.number(one.on)
            if self.today <= number < count:
                caps[number] = min(max(caps[number] + one.minutes, 0), 24 * 60)
        for away in self.problem.away:
            for number in range(max(0, self.number(away.first)), self.number(away.last) + 1):
                if number >= count:
                    break
                caps[number] = 0
        return caps
