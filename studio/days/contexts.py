"""The audition day as it is shown: one object for page, sheet and calendar."""

from dataclasses import dataclass
from datetime import timedelta
from functools import cached_property
from itertools import groupby

from django.utils.text import Truncator

from planner.day import Key
from planner.day.wording import CONFIRM
from studio.accounts.words import long_date
from studio.days import bridge, case, queries
from studio.days.models import lines
from studio.entries.bridge import asked
from studio.entries.checklist import clock
from studio.entries.models import Entry
from studio.requirements import wording
from studio.requirements.models import Kind, Requirement

NOT_PLAYED = {Kind.TEST, Kind.INTERVIEW, Kind.PAPER}
ASK = "ask the institution"
LONGEST_RULES = 160
SOON = timedelta(days=14)  # from here on what is missing is marked in red


@dataclass(frozen=True)
class Line:
    """One line of the day; time is "" where it is not known."""

    time: str
    title: str
    note: str
    is_call: bool = False


@dataclass(frozen=True)
class Music:
    """One thing that is played; open: no piece is chosen for it yet."""

    title: str
    note: str
    open: bool = False


@dataclass(frozen=True)
class Fact:
    """A room or a person. An unknown one says whom to ask."""

    label: str
    text: str
    unknown: bool = False


class Day:
    """The day of an entry with a date, loaded by queries.day_entries."""

    confirm = CONFIRM

    def __init__(self, entry):
        self.entry = entry
        self.row = bridge.day_of(entry)
        self.student = entry.student
        self.institution = entry.audition.institution
        self.on = entry.chosen_date.on

    @cached_property
    def answer(self):
        """planner.day.Answer"""
        return bridge.day_answer(self.entry)

    @property
    def call(self):
        """The call as it is written, "" if it is not known."""
        return clock(self.row.call) if self.row.call else ""

    @property
    def date(self):
        """The day in words."""
        return long_date(self.on)

    @property
    def title(self):
        """Where, and for what."""
        return f"{self.institution} · {self.entry.audition.name}"

    @property
    def place(self):
        """Where the date is held, if that is not the institution itself."""
        return self.entry.chosen_date.place

    @property
    def zone(self):
        """ "EST, one hour ahead of home", or what to ask."""
        return self.answer.zone_sentence or "time zone not known"

    @property
    def confirmed(self):
        """Whether the date is confirmed."""
        return self.entry.date_state == Entry.DateState.CONFIRMED

    @property
    def state(self):
        """How sure the date is, in words."""
        return self.entry.get_date_state_display().lower()

    @cached_property
    def lines(self):
        """The day's steps in order, as lines."""
        return [self._line(step) for step in self.answer.steps]

    def _line(self, step):
        note = step.detail
        if step.day and step.day != self.on:
            note = " · ".join(
                filter(None, [f"on {step.day:%A} {step.day.day} {step.day:%B}", note])
            )
        if step.key is Key.LEAVE_HOME and step.other:
            note = f"{step.zone} · {note}"
        return Line(
            step.wall and clock(step.wall) or "", step.title, note, step.key is Key.AUDITION
        )

    @cached_property
    def timeline(self):
        """The day as plain text, one step a line."""
        return "\n".join(
            " ".join(filter(None, [line.time, line.title, line.note and f"({line.note})"]))
            for line in self.lines
        )

    @cached_property
    def music(self):
        """What is played on the day, in the order of the requirements."""
        lines, given = asked(self.entry)
        return [
            _music(line, given.get(line.requirement.pk, ())) for line in lines if _is_played(line)
        ]

    @cached_property
    def facts(self):
        """Rooms and people."""
        row = self.row
        warm_up = row.warm_up_room
        if row.warm_up_from:
            warm_up = f"{warm_up or 'a room'}, from {clock(row.warm_up_from)}"
        rooms = [
            ("Check-in", row.check_in_place),
            ("Entrance", row.entrance),
            ("Parking", row.parking),
            ("Warm-up", warm_up),
            ("Audition", row.audition_room),
        ]
        if self.answer.journey.too_far and not row.parking:
            rooms = [room for room in rooms if room[0] != "Parking"]
        people = (line.partition(":") for line in lines(row.contacts))
        ask = ASK if self.entry.is_live else "not noted"
        return [Fact(label, text or ask, not text and ask == ASK) for label, text in rooms] + [
            Fact(label.strip(), text.strip()) if colon else Fact("Contact", label)
            for label, colon, text in people
        ]

    @cached_property
    def case(self):
        """What goes into the case: the usual things until somebody wrote a list."""
        text = self.row.bring if self.row.pk else case.usual_case(self.entry.instrument.family)
        return lines(text)

    @cached_property
    def notes(self):
        """What else to know; the advice to confirm stands apart."""
        said = [self.answer.hint, *self.answer.notes, *lines(self.row.notes)]
        return [note for note in said if note and note != CONFIRM]

    @property
    def unknown(self):
        """What is missing, and whom to ask; nothing once the audition is decided."""
        return self.answer.unknown if self.entry.is_live else ()

    @property
    def clashes(self):
        """What cannot all be done as it stands."""
        return self.answer.clashes

    @cached_property
    def warnings(self):
        """What to settle before the day, in one list: clashes, a night away, what to ask."""
        away = "Better travel the day before: " + " ".join(self.night.why)
        return [*self.clashes, *([away] if self.night.advised else []), *self.unknown]

    @property
    def night(self):
        """Whether a night away is needed, and why."""
        return self.answer.night_away


def _is_played(line):
    """Whether it is heard on the day: music by itself, a choice while it is not made."""
    need = line.requirement
    if need.round != Requirement.Round.LIVE or need.kind in NOT_PLAYED:
        return False
    return line.counts or line.demanded and not need.is_group


def _music(line, given):
    need = line.requirement
    note = Truncator(wording.asked(need)).chars(LONGEST_RULES)
    if given:
        pieces = "; ".join(str(each.piece) for each in given)
        return Music(pieces, " · ".join(filter(None, [need.name, note])))
    return Music(need.name, note, open=line.wanted)


@dataclass(frozen=True)
class Where:
    """All who play for the same audition at the same place on one date."""

    title: str
    days: tuple


@dataclass(frozen=True)
class Date:
    """All that is played on one date. soon: what is missing needs somebody now."""

    on: object
    soon: bool
    places: tuple

    @property
    def title(self):
        """The day in words."""
        return long_date(self.on)


class Days:
    """The season ahead: its dates in order, and the entries that have none yet."""

    def __init__(self, who, today):
        entries = list(queries.live_entries(who))
        self.undated = [entry for entry in entries if entry.on is None]
        ahead = [Day(entry) for entry in entries if entry.on and entry.on >= today]
        self.gone = len(entries) - len(self.undated) - len(ahead)
        self.dates = [
            Date(on, on <= today + SOON, _places(days))
            for on, days in groupby(ahead, lambda day: day.on)
        ]


def _places(days):
    """Return a date's days by where they are played, the earliest call first."""
    by_call = sorted(days, key=lambda day: (not day.row.call, day.row.call, day.student.name))
    places = {}
    for day in by_call:
        audition = day.entry.audition
        title = f"{audition}, {day.place}" if day.place else str(audition)
        places.setdefault((audition.pk, title), []).append(day)
    return tuple(Where(title, tuple(days)) for (_, title), days in places.items())
