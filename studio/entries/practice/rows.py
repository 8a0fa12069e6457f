"""What a student's practice is read from, in columns of the student: no query of its own."""

from dataclasses import dataclass
from datetime import timedelta
from decimal import Decimal

from django.db.models import OuterRef
from django.utils import timezone

from studio.entries.models import KeyCheck, PracticeDay, PracticeLog
from studio.gathered import gathered, read
from studio.requirements.models import Piece

LOGGED_DAYS = 60  # minutes logged earlier are left alone: what a lesson heard since tells more
CHECKED_DAYS = 366
LOG = ("on", "piece_id", "entry_id", "minutes")
DAY = ("on", "minutes")
KEY = ("sort", "tonic", "on", "tempo")
ESTIMATE = ("kind", "hours")


@dataclass(frozen=True)
class Estimate:
    """The hours that one piece of the studio takes, as far as entries.hours.Hours asks."""

    kind: str
    hours: Decimal


def with_practice(students):
    """Return `students` with the rows of their practice, and the studio's estimates of hours."""
    today = timezone.localdate()
    logs = PracticeLog.objects.filter(on__gte=today - timedelta(days=LOGGED_DAYS))
    days = PracticeDay.objects.filter(on__gte=today - timedelta(days=LOGGED_DAYS))
    keys = KeyCheck.objects.filter(on__gte=today - timedelta(days=CHECKED_DAYS))
    pieces = Piece.objects.filter(studio=OuterRef("studio"), hours__isnull=False)
    return students.annotate(
        practice_log_rows=gathered(logs.filter(student=OuterRef("pk")), "student", LOG),
        practice_day_rows=gathered(days.filter(student=OuterRef("pk")), "student", DAY),
        key_check_rows=gathered(keys.filter(student=OuterRef("pk")), "student", KEY),
        estimate_rows=gathered(pieces, "studio", ESTIMATE),
    )


def logs(student):
    """Return the student's PracticeLogs of the last LOGGED_DAYS, by day."""
    return _by_day(PracticeLog, student.practice_log_rows, LOG)


def days(student):
    """Return the student's PracticeDays of that time and of all that comes, by day."""
    return _by_day(PracticeDay, student.practice_day_rows, DAY)


def key_checks(student):
    """Return the student's KeyChecks of a year, by day."""
    return _by_day(KeyCheck, student.key_check_rows, KEY)


def estimates(student):
    """Return the Estimates of the studio's pieces that have one."""
    found = read(Piece, student.estimate_rows, ESTIMATE)
    return [Estimate(piece.kind, piece.hours) for piece, _ in found]


def _by_day(model, found, fields):
    return tuple(sorted((row for row, _ in read(model, found, fields)), key=lambda row: row.on))
