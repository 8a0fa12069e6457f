"""Lessons that fall out, and those to ask about. Nothing here queries."""

from dataclasses import dataclass
from datetime import timedelta
from itertools import groupby

from planner.deadlines.wording import listed
from studio.accounts.words import counted
from studio.entries.checklist import clock
from studio.students.models import DayAway, Student
from studio.week.book import Kind
from studio.week.outings import Span, at, whole

LESSON = timedelta(minutes=60)  # how long a lesson takes: common practice, no source


@dataclass(frozen=True)
class Lost:
    """A lesson that cannot be held. sure: False where somebody has to ask whether it stands."""

    student: Student
    why: str
    sure: bool = True

    @property
    def words(self):
        """ "Sam Reyes 16:00"."""
        at = self.student.lesson_at
        return f"{self.student} {clock(at)}" if at else str(self.student)


@dataclass(frozen=True)
class LostTogether:
    """Lessons that are lost for the same reason."""

    why: str
    sure: bool
    lessons: tuple[Lost, ...]

    @property
    def title(self):
        """ "2 lessons lost: a public holiday"."""
        kind = "lost" if self.sure else "in doubt"
        return f"{counted(len(self.lessons), 'lesson')} {kind}: {self.why}"

    @property
    def names(self):
        """ "Sam Reyes 16:00 and Mia Okafor 16:45"."""
        return listed([lost.words for lost in self.lessons])

    @property
    def todo(self):
        """What to do about it."""
        one = len(self.lessons) == 1
        if self.sure:
            return "Find another time." if one else "Find other times."
        return "Ask whether the lesson stands." if one else "Ask whether the lessons stand."


def lost(book, on):
    """Return the lessons of a date that are lost or in doubt, as LostTogether."""
    found = [
        each for student in book.lessons_on[on.weekday()] if (each := _lost(book, student, on))
    ]
    found.sort(key=lambda each: (not each.sure, each.why))
    return [
        LostTogether(why, sure, tuple(some))
        for (sure, why), some in groupby(found, lambda each: (each.sure, each.why))
    ]


def _lost(book, student, on):
    """Return why a student's lesson of that date is lost or in doubt; the surest reason first."""
    lesson = _span(book, student, on)
    reasons = [
        *_closed(book, student, on, lesson),
        *_teacher_out(book, student, on, lesson),
        *_student_out(book, student, on, lesson),
    ]
    return min(reasons, key=lambda each: not each.sure, default=None)


def _span(book, student, on):
    if student.lesson_at is None:
        return whole(on, book.home)
    start = at(on, student.lesson_at, book.home)
    return Span(start, start + LESSON)


def _closed(book, student, on, lesson):
    """Yield what the studio's own days and public holidays take."""
    if book.is_holiday(on):
        yield Lost(student, "a public holiday")
    for own in book.own_on[on]:
        kind, name = own.row.kind, own.row.name
        if kind == Kind.OFF and own.about(student) and own.span(on).meets(lesson):
            yield Lost(student, f"day off ({name})")
        elif kind == Kind.TEACHER and own.span(on).meets(lesson):
            yield Lost(student, f"the teacher is away ({name})")
        elif kind == Kind.CONCERT and own.about(student) and own.span(on).meets(lesson):
            yield Lost(student, name, sure=own.timed and lesson.sure)


def _teacher_out(book, student, on, lesson):
    for outing in book.out_on[on]:
        others = outing.entry.teacher_comes and outing.student.pk != student.pk
        if others and outing.span.meets(lesson):
            yield Lost(student, f"the teacher is with {outing.student} at {outing.place}")


def _student_out(book, student, on, lesson):
    for outing in book.out_on[on]:
        if outing.student.pk != student.pk:
            continue
        if outing.span.meets(lesson):
            what = "audition at" if outing.on == on else "journey to"
            yield Lost(student, f"{what} {outing.place}")
        else:
            yield Lost(student, _around(outing, lesson), sure=False)
    for away, row in book.away_on[on]:
        if away.pk == student.pk:
            is_away = row.kind == DayAway.Kind.AWAY
            yield Lost(student, "away" if is_away else "exams at school", sure=is_away)


def _around(outing, lesson):
    leaving = lesson.end <= outing.span.start
    when = f"leaves about {clock(outing.span.start)}" if leaving else outing.back
    return f"audition at {outing.place}, {when}"
