"""One student's audition day as it takes people away from the studio. Nothing here queries.

The day is that of the place; whom it takes away, and for how long, is said by the studio's clocks.
"""

from dataclasses import dataclass
from datetime import datetime, time, timedelta
from functools import cached_property

from planner.day import Key
from planner.zones import moment, shift, zone
from studio.accounts import journeys
from studio.days.contexts import Day
from studio.entries.checklist import clock

ONE_DAY = timedelta(days=1)
MIDNIGHT = time(0)


@dataclass(frozen=True)
class Span:
    """A stretch of time, aware. sure: False where a whole day stands for times nobody knows."""

    start: datetime
    end: datetime
    sure: bool = True

    def meets(self, other):
        """Whether the two share a moment."""
        return self.start < other.end and other.start < self.end


class Outing:
    """An entry with a date. home: the studio's time zone, by name.

    trip: entries.trips.TripLine of the journey that it is part of, None where none is planned yet.
    """

    def __init__(self, entry, home, trip=None):
        self.entry, self.home, self.trip = entry, zone(home), trip
        self.student = entry.student
        self.day = Day(entry)

    @property
    def answer(self):
        """planner.day.Answer."""
        return self.day.answer

    @property
    def on(self):
        """The date at the place."""
        return self.entry.chosen_date.on

    @property
    def place(self):
        """The institution's short name."""
        return self.entry.audition.institution.short

    @property
    def site(self):
        """What is one place to be at: the institution, or where else the date is held."""
        elsewhere = self.entry.chosen_date.place.strip().casefold()
        return f"{self.entry.audition.institution_id} {elsewhere}".strip()

    @property
    def call(self):
        """The call by the clocks of the place: "10:40", "" where it is not known."""
        return self.day.call

    @property
    def at_home(self):
        """The same by the studio's clocks, "9:40 here", where they show another time; or ""."""
        call = self.answer.call
        here = call and call.astimezone(self.home)
        if here is None or here.utcoffset() == call.utcoffset():
            return ""
        when = clock(here)
        return f"{when} here" if here.date() == self.on else f"{when} on {here:%A} here"

    @cached_property
    def warm_up(self):
        """planner.day.Step of the warm-up, None where there is none."""
        return next((step for step in self.answer.steps if step.key is Key.WARM_UP), None)

    @property
    def minutes(self):
        """The way there in minutes, or None."""
        return self.answer.journey.minutes

    @property
    def is_long(self):
        """Whether one better travels the day before: too far, or the day says so."""
        longest = journeys.settings(self.student.studio).long_minutes
        far = self.minutes is not None and self.minutes > longest
        too_far = self.minutes is None and self.answer.journey.too_far
        return bool(far or too_far or self.answer.night_away.advised)

    @cached_property
    def span(self):
        """From leaving home to coming back, by the studio's clocks, as a Span.

        A trip of several days is what the journeys make of it. Else it is reckoned from the day
        itself; where the call, a zone or the journey is not known it is the whole day. A long
        journey that is not planned yet begins on the day before.
        """
        if self.trip and self.trip.first != self.trip.last:
            hops = self.trip.trip.hops
            start, end = (at.astimezone(self.home) for at in (hops[0].leave, hops[-1].arrive))
            return Span(start, end, all(line.known for line in self.trip.hops))
        span = self._day
        if self.trip is None and self.is_long:
            return Span(at(self._eve(span.start), None, self.home), span.end, span.sure)
        return span

    @property
    def _day(self):
        leave, ends = self.answer.leave_home, self.answer.ends
        if leave is None or ends is None or self.minutes is None:
            return whole(self.on, self.home)
        return Span(leave.astimezone(self.home), shift(ends, self.minutes, self.home))

    def _eve(self, start):
        call = self.answer.call
        on = call.astimezone(self.home).date() if call else self.on
        return min(start.date(), on - ONE_DAY)

    @property
    def is_away_overnight(self):
        """Whether it takes more than its own day."""
        return self.first != self.last

    @property
    def first(self):
        """The first day on which they are away, by the studio's calendar."""
        return self.span.start.date()

    @property
    def last(self):
        """The last one."""
        return (self.span.end - timedelta(seconds=1)).date()

    def journey_on(self, on):
        """Say what is travelled on a day on which they are away and do not play, for several."""
        place = self.trip.title if self.trip else self.place
        together = ", with the teacher" if self.entry.teacher_comes else ""
        if on == self.first:
            left = f" at {clock(self.span.start)}" if self.trip and self.span.sure else ""
            return f"to {place}{left}{together}, back on {self.last:%A}"
        way = "back from" if on == self.last else "away for"
        return f"{way} {place}{together}"

    @property
    def back(self):
        """ "back about 15:30" on the last day; "" where that is not known."""
        return f"back about {clock(self.span.end)}" if self.span.sure else ""


def at(on, clock_time, tz):
    """Return the moment of a wall time on a date; None: the day's beginning."""
    return moment(on, clock_time or MIDNIGHT, tz).at


def whole(on, tz):
    """Return a whole day as a Span."""
    return Span(at(on, None, tz), at(on + ONE_DAY, None, tz), sure=False)
