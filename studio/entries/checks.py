"""All that was ever heard of a student's pieces, as the page of checks shows it."""

from dataclasses import dataclass
from itertools import groupby

from django.db.models import Prefetch

from studio.accounts.access import readable
from studio.entries import words
from studio.entries.models import LessonCheck
from studio.students.models import Student


def checked_students(who):
    """Return the students the asker may see, each with all checks, piece by piece, newest first."""
    newest = LessonCheck.objects.select_related("piece", "by").order_by(
        "piece__composer", "piece__work", "piece__section", "piece_id", "-on", "-pk"
    )
    return (
        readable(who, Student)
        .select_related("studio", "instrument")
        .prefetch_related(Prefetch("checks", newest))
    )


@dataclass(frozen=True)
class Line:
    """One check in words."""

    check: LessonCheck
    tempo: str
    rest: str


@dataclass(frozen=True)
class Heard:
    """The checks of one piece: the teacher's, and the student's own."""

    piece: object
    lessons: tuple
    own: tuple

    @property
    def sides(self):
        """(heading or "", lines) for each side that has any."""
        sides = (("In lessons", self.lessons), ("By the student", self.own))
        return [(heading, lines) for heading, lines in sides if lines]


class Checks:
    """A student's checks by piece; loaded by checked_students."""

    def __init__(self, student, who):
        self.names = who.studio.marks
        found = groupby(student.checks.all(), lambda check: check.piece)
        self.pieces = [self._heard(piece, list(some)) for piece, some in found]

    def _heard(self, piece, checks):
        def lines(source):
            return tuple(self._line(check) for check in checks if check.source == source)

        sources = LessonCheck.Source
        return Heard(piece, lines(sources.TEACHER), lines(sources.STUDENT))

    def _line(self, check):
        parts = (words.marks(check, self.names), words.memory(check), check.note)
        return Line(check, words.tempo(check), " · ".join(filter(None, parts)))
