"""How many hours each piece still takes one student: the teacher's estimate less what is done.

Nothing here queries.
"""

from collections import defaultdict
from dataclasses import replace
from functools import cached_property
from statistics import median

from studio.answers import solve
from studio.entries.bridge import Season, readiness_problem

MINUTES = 60
FINEST = 5  # minutes
USUAL = 10  # hours for a piece where no other tells: common practice, no source


def words(minutes):
    """Return minutes as a teacher says them: "40 min", "7.5 h", "18 h".

    To five minutes below an hour, to half hours below ten, to whole hours above: they are guesses.
    """
    if minutes >= 10 * MINUTES:
        return f"{_rounded(minutes, MINUTES):g} h"
    halves = _rounded(minutes, MINUTES // 2)
    if minutes > MINUTES - FINEST / 2:
        return f"{halves / 2:g} h"
    return f"{max(_rounded(minutes, FINEST), 1) * FINEST} min" if minutes else "0 h"


def _rounded(minutes, unit):
    return (2 * minutes + unit) // (2 * unit)


class Hours:
    """The minutes that each piece of a studio still takes the student of a bridge.Season.

    library: the studio's pieces, all of them: what others take tells what one without an
    estimate may take. An estimate shrinks with readiness: a piece that is ready takes nothing.
    """

    def __init__(self, season, library):
        self.season = season
        self.library = library

    @cached_property
    def readiness(self):
        """PieceReadiness by piece pk, of every piece the teacher has checked, assigned or not."""
        checked = _Checked(self.season.student, self.season.now)
        problem = replace(readiness_problem(checked), auditions=())
        return {int(answer.key): answer for answer in solve("readiness", problem).pieces}

    def minutes(self, piece):
        """Return the whole minutes that are still to prepare."""
        answer, ready_at = self.readiness.get(piece.pk), self.season.student.studio.ready_at
        now = min(answer.now, ready_at) if answer and answer.now is not None else 0
        return round(float(self.estimate(piece)) * MINUTES * (1 - now / ready_at))

    def left(self, piece):
        """Return the same in words."""
        return words(self.minutes(piece))

    def assumed(self, piece):
        """Whether the piece has no estimate of its own."""
        return piece.hours is None

    def estimate(self, piece):
        """Return the hours from opening the page to ready; without an estimate, a usual number.

        Usual: the median of the studio's pieces of the same kind, else of all, else 10 hours.
        """
        if piece.hours is not None:
            return piece.hours
        return self._usual.get(piece.kind, self._usual[None])

    @cached_property
    def _usual(self):
        known = defaultdict(list)
        for piece in self.library:
            if piece.hours is not None:
                known[piece.kind].append(piece.hours)
                known[None].append(piece.hours)
        return {None: USUAL} | {kind: median(hours) for kind, hours in known.items()}


class _Checked(Season):
    """A season of which every piece counts that the teacher has checked, assigned or not."""

    @cached_property
    def pieces(self):
        """All pieces checked by the teacher, once each, by composer and title."""
        first = {pk: checks[0].piece for pk, checks in self.teacher_checks.items()}
        return sorted(first.values(), key=str)
