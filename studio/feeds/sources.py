"""Whose calendar it is, what goes into it, and how to tell that nothing of it has changed."""

import hashlib
from collections import Counter
from dataclasses import dataclass
from datetime import UTC, date, datetime, time
from functools import cache

from django.conf import settings
from django.db.models import Count, Max, Q
from django.utils import timezone

from planner import zones
from studio.accounts.access import at_address, reader_of
from studio.accounts.models import Change, Studio
from studio.entries.bridge import Season
from studio.entries.queries import whole_season
from studio.entries.trial_lessons import with_lessons
from studio.students.models import Student

CODE = ("planner", "studio")
SETTINGS = ("name", "season", "time_zone", "country", "day_minutes")


@dataclass(frozen=True)
class Source:
    """What stands at one calendar address: a student's part, or a whole studio (student None)."""

    studio: Studio
    student: Student | None = None

    @property
    def title(self):
        """The calendar's name. A student's says only what they go by."""
        return f"{self.student.called}, {self.studio}" if self.student else str(self.studio)

    def students(self):
        """Return the students whose seasons go in, loaded."""
        rows = with_lessons(whole_season(reader_of(self.studio)))
        return list(rows.filter(pk=self.student.pk) if self.student else rows)

    def changes(self):
        """Return every recorded change that can show in this calendar."""
        rows = Change.objects.filter(studio=self.studio)
        if self.student:
            rows = rows.filter(Q(student_pk=self.student.pk) | Q(student_pk=None))
        return rows.order_by()

    def zone_names(self):
        """Return the time zones in which "today" matters here."""
        if self.student:
            return [self.student.home_zone]
        own = Student.objects.filter(studio=self.studio).order_by().values_list("time_zone")
        return sorted({name or self.studio.time_zone for (name,) in own.distinct()})


def student_source(token):
    """Return the Source at a student's address, or None."""
    student = at_address(Student.objects.select_related("studio__learned_pace"), token)
    return student and Source(student.studio, student)


def studio_source(token):
    """Return the Source at a studio's address, or None."""
    studio = at_address(Studio.objects.select_related("learned_pace"), token)
    return studio and Source(studio)


def midnight(zone_name):
    """Return the moment at which today began in a zone.

    Calendars are written as of the day's beginning, so that one stays as it is all day.
    """
    zone = zones.zone(zone_name)
    return zones.moment(timezone.localdate(timezone=zone), time(0), zone).at


def seasons(source):
    """Return the Season of each student of the source, as of the beginning of their today."""
    return [Season(student, midnight(student.home_zone)) for student in source.students()]


def called(students):
    """Return by pk what each student is called: with an initial where two would be the same."""
    often = Counter(student.called for student in students)
    return {
        student.pk: student.called
        if often[student.called] == 1
        else f"{student.called} {student.name.split()[-1][0]}."
        for student in students
    }


def version(source, host):
    """Return what identifies the calendar's present text, without building it: three queries.

    It hangs on the rows (their changes), the studio's settings, the pace it has learned (when
    pieces are ready), the day (sentences count days), the address the site is reached by, and
    the code.
    """
    rows = source.changes().aggregate(last=Max("pk"), number=Count("pk"))
    today = [midnight(name).date() for name in source.zone_names()]
    own = [getattr(source.studio, name) for name in SETTINGS]
    learned = getattr(source.studio, "learned_pace", None)
    pace = learned and learned.usual
    parts = (rows["last"], rows["number"], today, own, pace, host, code_version())
    return hashlib.sha256(repr(parts).encode()).hexdigest()[:32]


@cache
def code_version():
    """Return a hash of the program's own code, which decides how a calendar is written."""
    files = (path for name in CODE for path in sorted((settings.BASE_DIR / name).rglob("*.py")))
    return hashlib.sha256(b"".join(path.read_bytes() for path in files)).hexdigest()


@dataclass(frozen=True)
class Stamp:
    """When an event was last changed, and a number that grows with each change."""

    at: datetime = datetime.combine(date(2000, 1, 1), time(0), UTC)
    number: int = 0


class Stamps:
    """The last change of each row of a source, in one query."""

    def __init__(self, source):
        last = source.changes().values_list("model", "object_pk").annotate(Max("at"), Max("pk"))
        self.of_row = {(model, pk): Stamp(at, number) for model, pk, at, number in last}

    def of(self, *rows):
        """Return the Stamp of an event that is made of `rows` (None are left out).

        The number is that of the latest change, so it grows whatever row of the event changes,
        and also when one row takes another's place.
        """
        keys = ((row._meta.label_lower, row.pk) for row in rows if row is not None)
        found = [self.of_row[key] for key in keys if key in self.of_row]
        return max(found, key=lambda stamp: stamp.number, default=Stamp())
