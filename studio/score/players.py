"""What the score says of each student: the facts that the drawing, the list and the table share."""

from dataclasses import dataclass
from datetime import date

from django.urls import reverse

from planner.deadlines import Kind, When
from planner.readiness import AuditionReadiness
from planner.readiness.words import points
from studio.entries.models import Entry
from studio.entries.trips import Trips

STATES = {When.DONE: "done", When.OVERDUE: "overdue"}
DAYS = ("Mon", "Tue", "Wed", "Thu", "Fri", "Sat", "Sun")


def short_day(day):
    """Return "Fri 8 Jan"."""
    return f"{DAYS[day.weekday()]} {day.day} {day:%b}"


@dataclass(frozen=True)
class Due:
    """Something due on a day. state: "open", "overdue" or "done"."""

    on: date
    name: str
    place: str
    state: str
    recording: bool = False

    @property
    def words(self):
        """What, when, and its state."""
        state = "" if self.state == "open" else f", {self.state}"
        kind = "recording due" if self.recording else "due"
        return f"{self.place}: {self.name}, {kind} {short_day(self.on)}{state}"


@dataclass(frozen=True)
class Audition:
    """An audition on a day. past: it has been, or is decided."""

    on: date
    place: str
    name: str
    url: str
    past: bool = False

    @property
    def day(self):
        """The day in short."""
        return short_day(self.on)

    @property
    def words(self):
        """Where, what and when."""
        return f"{self.place}, {self.name}, {self.day}{', past' if self.past else ''}"


@dataclass(frozen=True)
class Away:
    """Days away."""

    first: date
    last: date
    reason: str = ""

    @property
    def words(self):
        """From when to when, and why."""
        reason = f", {self.reason}" if self.reason else ""
        return f"Away {short_day(self.first)} to {short_day(self.last)}{reason}"


@dataclass(frozen=True)
class Trip:
    """A journey of more than a day, or to more than one audition."""

    first: date
    last: date
    words: str


@dataclass(frozen=True)
class Player:
    """One student's line.

    answer: the engine's answer about the next audition, or None; figure: 0 to 100 as written, or
    "–"; short: time in hand in the engine's words; late: whether red pencil says so.
    undated: places of entries that have no date yet. doubts: where the music may be the wrong
    one, and why.
    """

    key: int
    name: str
    instrument: str
    family: str
    url: str
    answer: AuditionReadiness | None = None
    figure: str = "–"
    short: str = ""
    late: bool = False
    dues: tuple[Due, ...] = ()
    auditions: tuple[Audition, ...] = ()
    away: tuple[Away, ...] = ()
    trips: tuple[Trip, ...] = ()
    undated: tuple[str, ...] = ()
    doubts: tuple[str, ...] = ()

    @property
    def doubt(self):
        """The first of the doubts and how many more there are, "" if there is none."""
        more = f" +{len(self.doubts) - 1}" if len(self.doubts) > 1 else ""
        return f"{self.doubts[0]}{more}" if self.doubts else ""

    @property
    def ahead(self):
        """The next audition, which `answer` is about, or None."""
        return next((audition for audition in self.auditions if not audition.past), None)

    @property
    def entered(self):
        """How many auditions they go for."""
        return len(self.auditions) + len(self.undated)

    @property
    def urgency(self):
        """A key that sorts the shortest of time first."""
        if self.answer is None:
            return (3, 0)
        if self.answer.days_in_hand is not None:
            return (1, self.answer.days_in_hand)
        return (0, 0) if self.late else (2, 0)

    @property
    def label(self):
        """The line read aloud."""
        said = [f"{self.name}, {self.instrument}: {self.figure_words}", self.short, *self.doubts]
        return ", ".join(said)

    @property
    def figure_words(self):
        """The figure read aloud."""
        return "not checked yet" if self.figure == "–" else f"{self.figure} of 100"


def player(season):
    """Return the line of one student from a bridge.Season."""
    student, answer = season.student, season.next_answer
    now = answer.now if answer else season.readiness.now
    shown = [entry for entry in season.entries if entry.result != Entry.Result.WITHDRAWN]
    return Player(
        key=student.pk,
        name=student.name,
        instrument=student.instrument.name,
        family=student.instrument.get_family_display(),
        url=student.get_absolute_url(),
        answer=answer,
        figure="–" if now is None else points(now),
        short=answer.short if answer else _without_next(season, shown),
        late=bool(answer and answer.late),
        dues=tuple(_due(cue) for cue in season.cues if _is_shown(cue)),
        auditions=tuple(_audition(entry, season.today) for entry in shown if entry.on),
        away=tuple(Away(days.first, days.last, days.reason) for days in student.days_away.all()),
        trips=tuple(
            Trip(line.first, line.last, line.short)
            for line in Trips(season).lines
            if line.last > line.first or len(line.stops) > 1
        ),
        undated=tuple(entry.audition.institution.short for entry in shown if not entry.on),
        doubts=tuple(_doubts(season)),
    )


def _doubts(season):
    for entry in season.live_entries:
        for doubt in season.doubts(entry):
            if doubt.urgent and not (entry.on and entry.on < season.today):
                yield f"{entry.audition.institution.short}: {doubt.short}"


def _without_next(season, shown):
    if not shown:
        return "no auditions yet"
    return "no date chosen" if any(not e.on for e in season.live_entries) else "none ahead"


def _is_shown(cue):
    dropped = cue.due.when == When.DROPPED
    return not dropped and cue.entry.result != Entry.Result.WITHDRAWN


def _due(cue):
    deadline = cue.task.deadline
    return Due(
        on=cue.due.plan_by,
        name=cue.name,
        place=cue.place,
        state=STATES.get(cue.due.when, "open"),
        recording=bool(deadline and deadline.kind == Kind.RECORDING),
    )


def _audition(entry, today):
    return Audition(
        on=entry.on,
        place=entry.audition.institution.short,
        name=entry.audition.name,
        url=reverse("entry", args=[entry.pk]),
        past=entry.on < today or not entry.is_live,
    )
