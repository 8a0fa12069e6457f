"""Journeys in words: the trips of a plan, and those that a student's chosen dates make.

Page, part, score and paper read the same, so that they cannot disagree. Nothing here queries.
"""

from dataclasses import dataclass, replace
from functools import cached_property

from planner.dates import model
from planner.deadlines.wording import count_of, full_day, listed, short_day
from planner.travel import duration
from planner.zones import label, offset_minutes, zone
from studio.accounts.words import money
from studio.entries.checklist import clock
from studio.entries.dates import (
    answered,
    call_of,
    home,
    is_recorded,
    owns,
    place,
    travelling,
    wall_times,
)
from studio.entries.dates_words import points_of
from studio.entries.models import Entry
from studio.entries.trip_bars import TripBars
from studio.workers import Unsolved

SETTLED = frozenset({Entry.DateState.CONFIRMED, Entry.DateState.ASKED})
HOME_WORD = "home"
NOT_TOGETHER = "The dates chosen so far cannot all be reached: look at them again."


@dataclass(frozen=True)
class HopLine:
    """One way in words. leave, arrive: times of day with their clocks, "" where not known.

    day, until: the days of leaving and, where it is another, of arriving. event: the audition that
    it leads to, with its day, "" for the way home.
    """

    start: str
    end: str
    day: str
    leave: str
    until: str
    arrive: str
    how: str
    event: str

    @property
    def known(self):
        """Whether it is known how long it takes."""
        return bool(self.leave)


@dataclass(frozen=True)
class TripLine:
    """A trip in words. stops: the names of its auditions. left: when to leave, "" if not known.

    unsure: the stops whose date is not confirmed yet, where that is known.
    """

    number: int
    trip: model.Trip
    when: str
    stops: tuple[str, ...]
    hops: tuple[HopLine, ...]
    left: str
    money: str
    unsure: str = ""

    @property
    def first(self):
        """The day of leaving."""
        return self.trip.hops[0].leave.date()

    @property
    def last(self):
        """The day of coming home."""
        return self.trip.hops[-1].arrive.date()

    @property
    def title(self):
        """ "Fairmont and Carrow"."""
        return listed(list(self.stops))

    @property
    def nights(self):
        """ "2 nights away" or "no night away"."""
        return f"{count_of(self.trip.nights, 'night') if self.trip.nights else 'no night'} away"

    @property
    def school(self):
        """The school days missed, "" for none."""
        days = [f"{day:%a} {short_day(day)}" for day in self.trip.school_days]
        missed = count_of(len(days), "school day")
        return f"{missed} missed ({listed(days)})" if days else "no school day missed"

    @property
    def saved(self):
        """What joining saves, "" for a single audition."""
        points = self.trip.saved
        return f"joined, it saves {points_of(points)}" if points > 0 else ""

    @property
    def asks(self):
        """Nights, school days, money, and what is saved."""
        return ", ".join(filter(None, (self.nights, self.school, self.money, self.saved)))

    @property
    def short(self):
        """ "Trip 5–7 February: Fairmont, Carrow; leave Friday 14:10"."""
        return f"Trip {self.when}: {', '.join(self.stops)}{self.left and f'; leave {self.left}'}"


class Wording:
    """What the trips of a planner.dates.Problem are called: its stops by name, by their clocks."""

    def __init__(self, problem, currency):
        self.problem, self.currency = problem, currency
        self._of = {each.key: each for each in problem.auditions}
        self._offers = {o.key: o for each in problem.auditions for o in each.offers}
        self._own = {
            frozenset((own.start, own.end)) for own in problem.own if own.minutes is not None
        }

    def lines(self, plan):
        """Return a TripLine for each trip of a Plan."""
        chosen = {choice.audition: self._offers[choice.offer] for choice in plan.choices}
        trips = sorted(plan.trips, key=lambda trip: trip.hops[0].leave)
        return tuple(self._line(n, trip, chosen) for n, trip in enumerate(trips, start=1))

    def _line(self, number, trip, chosen):
        first, last = trip.hops[0], trip.hops[-1]
        local = {hop.start: hop.leave for hop in trip.hops}
        several = len({self._offset(key, at) for key, at in local.items()}) > 1
        hops = tuple(self._hop(hop, chosen, several) for hop in trip.hops)
        leave = self._at(first.start, first.leave)
        return TripLine(
            number=number,
            trip=trip,
            when=span(leave.date(), self._at(last.end, last.arrive).date()),
            stops=tuple(self.name(key) for key in trip.auditions),
            hops=hops,
            left=f"{leave:%A} {clock(leave.time())}" if hops[0].known else "",
            money=f"about {money(trip.money, self.currency)}" if trip.money else "",
        )

    def _hop(self, hop, chosen, several):
        leave, arrive = self._at(hop.start, hop.leave), self._at(hop.end, hop.arrive)
        known = self.is_known(hop.start, hop.end)
        offer = chosen.get(hop.end)
        return HopLine(
            start=self.name(hop.start),
            end=self.name(hop.end),
            day=full_day(leave.date()),
            leave=self._time(leave, several) if known else "",
            until="" if arrive.date() == leave.date() else full_day(arrive.date()),
            arrive=self._time(arrive, several) if known else "",
            how=f"{duration(hop.minutes)} {hop.mode}" if known else "how long is not known",
            event=_event(offer) if offer else "",
        )

    def name(self, key):
        """Return what a stop is called."""
        return self._of[key].name if key != model.HOME else HOME_WORD

    def is_known(self, start, end):
        """Whether it is known how far it is: both have a place, or there is an own figure."""
        points = [self._place(key).point for key in (start, end)]
        return None not in points or frozenset((start, end)) in self._own

    def _place(self, key):
        return self._of[key].place if key != model.HOME else self.problem.home

    def _zone(self, key):
        return zone(self._place(key).zone or self.problem.home.zone)

    def _at(self, key, at):
        return at.astimezone(self._zone(key))

    def _offset(self, key, at):
        return offset_minutes(at, self._zone(key))

    @staticmethod
    def _time(at, several):
        return f"{clock(at.time())} {label(at, at.tzinfo)}" if several else clock(at.time())


def _event(offer):
    hours = [
        f"{word} {clock(at)}" for word, at in (("from", offer.starts), ("to", offer.ends)) if at
    ]
    return " ".join((f"audition {full_day(offer.on)},", *hours)).rstrip(",")


def span(first, last):
    """Return "5–7 February", "28 February–2 March" or "6 February"."""
    if first == last:
        return short_day(first)
    if (first.year, first.month) == (last.year, last.month):
        return f"{first.day}–{short_day(last)}"
    return f"{short_day(first)}–{short_day(last)}"


class Trips:
    """The journeys that a bridge.Season's chosen dates make: those confirmed or asked for."""

    def __init__(self, season):
        self.season, self.student = season, season.student

    @cached_property
    def entries(self):
        """The entries ahead whose date is settled so far that somebody travels."""
        today = self.season.today
        return [
            entry
            for entry in self.season.live_entries
            if entry.on
            and entry.on >= today
            and entry.date_state in SETTLED
            and not is_recorded(entry)
        ]

    @cached_property
    def problem(self):
        """planner.dates.Problem with every date fixed; days away are not asked about again."""
        return model.Problem(
            today=self.season.today,
            home=home(self.student),
            auditions=tuple(map(_fixed, self.entries)),
            **travelling(self.student, self.season.today),
            own=owns(self.entries),
            explain=False,
        )

    @cached_property
    def _answered(self):
        """The engine's Answer, and what went wrong in words."""
        try:
            answer = answered(self.problem)
        except Unsolved as error:
            return None, str(error)
        return answer, "" if answer.plan else NOT_TOGETHER

    @property
    def trouble(self):
        """Why there are no trips though there are dates, or ""."""
        return self._answered[1] if self.entries else ""

    @property
    def bars(self):
        """The trips drawn, as trip_bars.TripBars."""
        return TripBars(self.lines, self.season.today)

    @cached_property
    def lines(self):
        """A TripLine for each trip."""
        if not self.entries or self.trouble:
            return ()
        answer, _ = self._answered
        words = Wording(self.problem, self.student.studio.currency)
        return tuple(self._told(line) for line in words.lines(answer.plan))

    def _told(self, line):
        """Add what is not confirmed; of a single day with a call its own page says when to go."""
        entries = self.of(line)
        unsure = [
            entry.audition.institution.short
            for entry in entries
            if entry.date_state != Entry.DateState.CONFIRMED
        ]
        a_day = len(entries) == 1 and line.first == line.last and call_of(entries[0])
        return replace(line, unsure=listed(unsure), left="" if a_day else line.left)

    def of(self, line):
        """Return the entries that a TripLine leads to, in its order."""
        found = {str(entry.pk): entry for entry in self.entries}
        return [found[key] for key in line.trip.auditions]


def _fixed(entry):
    """Return the planner's Audition of an entry with a date."""
    date, key = entry.chosen_date, str(entry.pk)
    starts, ends = wall_times(entry, date)
    return model.Audition(
        key=key,
        name=entry.audition.institution.short,
        place=place(entry.audition.institution),
        offers=(model.Offer(key=key, on=date.on, starts=starts, ends=ends),),
        site=str(entry.audition.institution_id),
        fixed=key,
    )
