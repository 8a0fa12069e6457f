"""What each of a student's auditions wants sent, paid and answered, and what of it is missing.

Read from a bridge.Season loaded by `with_applications`; nothing else here queries.
"""

from dataclasses import dataclass
from datetime import date
from decimal import Decimal
from functools import cached_property

from django.db.models import OuterRef
from django.urls import reverse

from planner.deadlines.wording import dated, listed
from studio.accounts.access import readable
from studio.accounts.words import money
from studio.entries import recordings
from studio.entries.applications_dates import day_of, spoken_day
from studio.entries.applications_state import State, state_of
from studio.entries.models import Entry
from studio.entries.queries import season_entries, with_seasons
from studio.entries.results import DEGREES, elsewhere, heard, reply
from studio.entries.tasks import concerns
from studio.gathered import gathered, read
from studio.institutions.models import Deadline
from studio.requirements.models import Piano, Requirement
from studio.students.models import Student

Kind = Deadline.Kind
# Word by which an application that is one for several is known from its name.
APPLICATIONS = {
    Kind.UNIVERSITY: "university",
    Kind.MUSIC: "music",
    Kind.SCHOLARSHIP: "scholarship",
}
EXPECTED = (Kind.UNIVERSITY, Kind.MUSIC)  # of universities and schools of music
PAPERS = (
    Kind.TRANSCRIPT,
    Kind.LETTER,
    Kind.ESSAY,
    Kind.CV,
    Kind.PORTFOLIO,
    Kind.REPERTOIRE,
    Kind.AID,
    Kind.SPONSORSHIP,
)
TITLES = ("Applications", "Papers", "Recordings", "Fees", "Date and pianist", "Reply")
OVER = {Entry.Result.NOT_OFFERED, Entry.Result.WITHDRAWN}
FIELDS = (
    "id",
    "audition_id",
    "kind",
    "name",
    "on",
    "before",
    "before_unit",
    "opens_on",
    "opens_after_id",
    "round",
    "late_until",
    "late_terms",
    "cost",
    "link",
)


def with_applications(who, pk):
    """Return the student's query with a whole season and all its deadlines, rules and takes."""
    due = Deadline.objects.filter(audition=OuterRef("audition"))
    entries = season_entries(who.studio.season).select_related("accompanist")
    entries = recordings.with_takes(entries)
    entries = entries.annotate(due_rows=gathered(due, "audition", FIELDS))
    return with_seasons(readable(who, Student).filter(pk=pk), entries)


@dataclass(frozen=True)
class Item:
    """One thing an institution wants: its day, how far it is, and what to know about it.

    cost: None where none is written down. price: the same in words. covers: the kinds of
    application it is one for.
    """

    name: str
    when: str
    state: State
    url: str
    link: str = ""
    notes: tuple = ()
    cost: Decimal | None = None
    price: str = ""
    covers: tuple = ()


@dataclass(frozen=True)
class Ask:
    """Something that looks forgotten, and where it is written down. presses: in red pencil."""

    text: str
    url: str
    presses: bool = False


@dataclass(frozen=True)
class Cell:
    """What belongs together on the page: its things, what is not written, what is forgotten."""

    title: str
    items: tuple = ()
    unwritten: str = ""
    asks: tuple = ()


class Row:
    """One audition of a Season, with everything that is sent, paid and answered for it."""

    def __init__(self, season, entry):
        self.season, self.entry, self.today = season, entry, season.today
        self.audition = entry.audition
        self.institution = entry.audition.institution
        self.url = entry.get_absolute_url()
        self.currency = season.student.studio.currency
        self.cues = {}
        for cue in season.cues_at(entry):
            self.cues.setdefault(cue.task.deadline_id, []).append(cue)

    @property
    def is_over(self):
        """Whether nothing is to be sent any more."""
        return self.entry.result in OVER

    @property
    def is_ahead(self):
        """Whether it is still to be played, so that something forgotten can be made good."""
        past = self.entry.on is not None and self.entry.on < self.today
        return self.entry.is_live and not past

    @property
    def result(self):
        """What came of it, "" while nothing has."""
        waiting = self.entry.result == Entry.Result.WAITING
        return "" if waiting else heard(self.entry, self.today)

    @cached_property
    def deadlines(self):
        """What the audition asks for in the entry's round, by its day."""
        found = [row for row, _ in read(Deadline, self.entry.due_rows, FIELDS)]
        return sorted(
            (row for row in found if concerns(row, self.entry)),
            key=lambda row: (self.day(row) or date.max, row.name),
        )

    def day(self, deadline):
        """Return the day of a deadline, None where it hangs on a date that is not chosen."""
        return day_of(deadline, self.entry, self.season)

    def state(self, deadline):
        """Return the State of a deadline by its tasks and the deadline it opens after."""
        opener = next((d for d in self.deadlines if d.pk == deadline.opens_after_id), None)
        sent = opener is None or state_of(self.cues.get(opener.pk, ()), self.today).is_done
        waits = "" if sent else opener.name
        return state_of(self.cues.get(deadline.pk, ()), self.today, waits)

    def items(self, *kinds):
        """Return the Items of these kinds, by their day."""
        return tuple(self.item(row) for row in self.deadlines if row.kind in kinds)

    def item(self, deadline):
        """Return a deadline as an Item."""
        return Item(
            name=deadline.name,
            when=spoken_day(deadline, self.day(deadline), self.today),
            state=self.state(deadline),
            url=f"{self.url}#tasks",
            link=deadline.link,
            notes=tuple(self._notes(deadline)),
            cost=deadline.cost,
            price="" if deadline.cost is None else money(deadline.cost, self.currency),
            covers=covered(deadline),
        )

    def _notes(self, deadline):
        if len(both := covered(deadline)) > 1:
            yield f"One application for {listed([APPLICATIONS[kind] for kind in both])}"
        opener = next((d for d in self.deadlines if d.pk == deadline.opens_after_id), None)
        if opener:
            yield f"Opens after: {opener.name}"
        if deadline.opens_on and deadline.opens_on > self.today:
            yield f"Opens on {dated(deadline.opens_on, self.today, full=False)}"
        if deadline.kind == Kind.LETTER:
            yield self._writer(deadline)
        if deadline.late_until:
            terms = f", {deadline.late_terms}" if deadline.late_terms else ""
            yield f"Late until {dated(deadline.late_until, self.today, full=False)}{terms}"

    def _writer(self, deadline):
        cues = self.cues.get(deadline.pk, ())
        names = {str(cue.task.recommender): None for cue in cues if cue.task.recommender_id}
        return f"{listed(list(names))} writes it" if names else "Nobody is named who writes it"

    @cached_property
    def cells(self):
        """The columns of the page."""
        return (
            self._applications(),
            self._papers(),
            self._recordings(),
            self._fees(),
            self._day(),
            self._reply(),
        )

    def _kinds(self, entry):
        """Return every kind of deadline of an entry's audition, those combined in one too."""
        rows = [row for row, _ in read(Deadline, entry.due_rows, FIELDS) if concerns(row, entry)]
        return {kind for row in rows for kind in (row.kind, *covered(row))}

    def _kinds_above(self):
        """Return those of the university that this is a school of, where the student is entered."""
        above = self.institution.part_of_id
        found = (e for e in self.season.entries if above == e.audition.institution_id)
        return {kind for entry in found if above for kind in self._kinds(entry)}

    def _unwritten(self, kinds):
        """Return which kinds stand nowhere; "" where most of them are never asked for."""
        if self.institution.kind not in DEGREES:
            return ""
        there = self._kinds(self.entry)
        return ", ".join(kind.value for kind in kinds if kind not in there)

    def _applications(self):
        there = self._kinds(self.entry) | self._kinds_above()
        lacks = [
            kind
            for kind in EXPECTED
            if kind not in there and self.institution.kind in DEGREES and self.is_ahead
        ]
        asks = (
            Ask(f"No {kind.value} is written down; is there none?", self.audition_url)
            for kind in lacks
        )
        rest = self._unwritten(kind for kind in APPLICATIONS if kind not in lacks)
        return Cell("Applications", self.items(*APPLICATIONS), rest, tuple(asks))

    @property
    def audition_url(self):
        """Where its deadlines are written down."""
        return self.audition.get_absolute_url()

    def _papers(self):
        return Cell("Papers", self.items(*PAPERS, Kind.OTHER), self._unwritten(PAPERS))

    def _recordings(self):
        items, made = self.items(Kind.RECORDING), recordings.of(self.season, self.entry)
        takes = tuple(
            Item(
                name=f"Takes, {each.name.lower()}",
                when="",
                state=State(each.step, each.sentence),
                url=reverse("recordings", args=[self.entry.pk]),
            )
            for each in made
        )
        asks = ()
        if made and not items and self.is_ahead:
            asks = (Ask("No day for a recording is written down.", self.audition_url, True),)
        return Cell(
            "Recordings", items + takes, "" if made else self._unwritten((Kind.RECORDING,)), asks
        )

    @cached_property
    def fees(self):
        """Whatever costs something, and fees whose amount is not known."""
        wanted = (row for row in self.deadlines if row.cost is not None or row.kind == Kind.FEE)
        return tuple(self.item(row) for row in wanted)

    def _fees(self):
        return Cell("Fees", self.fees, "" if self.fees else self._unwritten((Kind.FEE,)))

    def _day(self):
        items = [self._date(), *self.items(Kind.ACCOMPANIST)]
        asks = ()
        if self.entry.accompanist:
            words = f"{self.entry.accompanist} comes along"
            items.append(Item("Pianist", "", State("done", words), self.url))
        elif len(items) == 1 and self._with_piano and self.is_ahead:
            asks = (Ask("Some of it is with piano: who plays?", self.url),)
        unwritten = "" if len(items) > 1 else self._unwritten((Kind.ACCOMPANIST,))
        return Cell("Date and pianist", tuple(items), unwritten, asks)

    @property
    def _with_piano(self):
        live, asked = Requirement.Round.LIVE, self.entry.requirement_set
        return asked is not None and any(
            row.piano == Piano.WITH and row.round == live for row in asked.requirements.all()
        )

    def _date(self):
        entry, confirmed = self.entry, Entry.DateState.CONFIRMED
        words = entry.get_date_state_display().lower()
        step = "done" if entry.on and entry.date_state == confirmed else "open"
        when = dated(entry.on, self.today) if entry.on else ""
        return Item("Audition", when, State(step, words), f"{self.url}#date")

    def _reply(self):
        accepted = elsewhere(self.entry, self.season.entries)
        said = reply(self.entry, self.today, accepted)
        items = list(self.items(Kind.REPLY))
        by = self.audition.reply_by
        if said or (by and not items):
            when = dated(by, self.today, full=False) if by else ""
            step = "late" if said and said.presses else "done" if self.entry.reply else "open"
            state = State(step, said.words if said else "no offer yet")
            items.append(Item("Reply to an offer", when, state, f"{self.url}#result"))
        return Cell("Reply", tuple(items), "" if items else Kind.REPLY.value)


def covered(deadline):
    """Return the kinds of application that a deadline is one for: its own, and those it names.

    An institution with one application for several says so in its name: "university and music".
    """
    if deadline.kind not in APPLICATIONS:
        return ()
    words = deadline.name.casefold()
    return tuple(
        kind for kind, word in APPLICATIONS.items() if kind == deadline.kind or word in words
    )


class Applications:
    """All auditions of a Season as Rows, and what they cost together."""

    def __init__(self, season):
        self.season = season
        rows = [Row(season, entry) for entry in season.entries]
        self.rows = [row for row in rows if not row.is_over]
        self.over = [row for row in rows if row.is_over]

    @cached_property
    def _fees(self):
        """Every fee but those of withdrawn entries that were not paid."""
        rows = [*self.rows, *self.over]
        return [fee for row in rows for fee in row.fees if fee.state.is_done or not row.is_over]

    @property
    def paid(self):
        """What was paid."""
        return self._sum(fee for fee in self._fees if fee.state.is_done)

    @property
    def to_pay(self):
        """What is still to be paid."""
        return self._sum(fee for fee in self._fees if fee.state.is_open)

    @property
    def unknown(self):
        """How many open fees have no amount."""
        return sum(fee.cost is None and fee.state.is_open for fee in self._fees)

    @property
    def has_fees(self):
        """Whether anything costs anything."""
        return bool(self._fees)

    def _sum(self, fees):
        known = (fee.cost for fee in fees if fee.cost is not None)
        return money(sum(known, Decimal(0)), self.season.student.studio.currency)
