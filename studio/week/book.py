"""The studio's book of days: everybody's auditions, the studio's own days, who is away when.

Nothing here queries once the book is open.
"""

from collections import defaultdict
from datetime import timedelta
from functools import cached_property

from django.utils import timezone

from planner.zones import zone
from studio.entries.bridge import Season
from studio.entries.dates import is_recorded
from studio.entries.trips import Trips
from studio.students.models import StudioDay
from studio.week import queries
from studio.week.outings import ONE_DAY, Outing, Span, at, whole

Kind = StudioDay.Kind


class Book:
    """All that stands on the days of the asker's studio. now: aware."""

    def __init__(self, who, now=None):
        self.studio = who.studio
        self.now = now or timezone.now()
        self.home = zone(self.studio.time_zone)
        self.today = self.now.astimezone(self.home).date()
        self.students = queries.of_one_studio(who, queries.booked(who))
        self.own_days = [
            OwnDay(row, self.home, (student.pk for student in row.students.all()))
            for row in self.studio.own_days.all()
        ]

    @cached_property
    def outings(self):
        """Every audition of the season with a date, by date and call."""
        found = [outing for student in self.students for outing in self._outings(student)]
        return sorted(found, key=_by_call)

    def _outings(self, student):
        """Return a student's auditions with dates, each with the journey that it is part of."""
        trips = Trips(Season(student, self.now))
        trip_of = {entry.pk: line for line in trips.lines for entry in trips.of(line)}
        return [
            Outing(entry, self.studio.time_zone, trip_of.get(entry.pk))
            for entry in student.entries.all()
            if entry.chosen_date and not is_recorded(entry)
        ]

    @cached_property
    def auditions_on(self):
        """Outings by the date at the place."""
        return _by(self.outings, lambda outing: [outing.on])

    @cached_property
    def out_on(self):
        """Outings by each day on which they take the student away."""
        return _by(self.outings, lambda outing: days(outing.first, outing.last))

    @cached_property
    def own_on(self):
        """The studio's own days by date."""
        return _by(self.own_days, lambda own: days(own.row.first, own.row.last))

    @cached_property
    def away_on(self):
        """(student, DayAway) by date."""
        rows = [(student, row) for student in self.students for row in student.days_away.all()]
        return _by(rows, lambda pair: days(pair[1].first, pair[1].last))

    @cached_property
    def lessons_on(self):
        """Students by the weekday of their lesson (Monday is 0), by its time."""
        having = [each for each in self.students if each.lesson_day is not None]
        having.sort(key=lambda each: (each.lesson_at is None, each.lesson_at, each.name))
        return _by(having, lambda each: [each.lesson_day])

    def is_holiday(self, on):
        """Whether it is a public holiday where the studio is."""
        return on in self.studio.days_off((on.year,))

    @cached_property
    def last(self):
        """The last day of which the book knows anything, today if of none ahead."""
        known = [
            *(outing.last for outing in self.outings),
            *(own.row.last for own in self.own_days),
        ]
        return max([self.today, *known])


class OwnDay:
    """A StudioDay with whom it is about. only: the pks of students; empty: it is about all."""

    def __init__(self, row, home, only=()):
        self.row, self.home, self.only = row, home, frozenset(only)

    def about(self, student):
        """Whether it is about that student."""
        return not self.only or student.pk in self.only

    @property
    def timed(self):
        """Whether it begins and ends at known times of one day."""
        row = self.row
        return bool(row.first == row.last and row.starts and row.ends)

    def span(self, on):
        """Return what it takes of one of its days, as a Span."""
        row, day = self.row, whole(on, self.home)
        starts = at(on, row.starts, self.home) if row.starts and on == row.first else day.start
        ends = at(on, row.ends, self.home) if row.ends and on == row.last else day.end
        return Span(starts, ends, self.timed)


def days(first, last):
    """Yield every date from the first to the last."""
    while first <= last:
        yield first
        first += ONE_DAY


def monday(on):
    """Return the Monday of a date's week."""
    return on - timedelta(days=on.weekday())


def _by(rows, keys):
    found = defaultdict(list)
    for row in rows:
        for key in keys(row):
            found[key].append(row)
    return found


def _by_call(outing):
    row = outing.day.row
    return outing.on, row.call is None, row.call, outing.student.name
