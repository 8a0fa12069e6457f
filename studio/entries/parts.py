"""The part: what one student sees and works from. One object fills the page and the handout.

Read from a bridge.Season loaded by `queries.part`; asks nothing of the database.
"""

from dataclasses import dataclass
from datetime import date, timedelta
from functools import cached_property

from planner.readiness.words import day, points
from studio.entries import chances
from studio.entries.checklist import Checklist, Progress, progress
from studio.entries.cues import SOON, under_headings
from studio.entries.hairpin import Hairpin, hairpin
from studio.entries.models import Doer, Entry
from studio.entries.trial_lessons import Lessons
from studio.entries.trips import Trips
from studio.requirements.models import Piece

FADES_AFTER = timedelta(days=14)
OVERRUN = timedelta(days=42)  # how far past the audition a drawing goes to show a late hairpin
LEAD_IN = 40.0  # a drawing of this size has room to open like a crescendo
MARGIN = 8.0
LOGS_SHOWN = 3
CARE = "Stop playing if it hurts, and tell your teacher."
WHOSE = "The figure comes from the checks in lessons; what students log themselves stands apart."
DAYS = ("Monday", "Tuesday", "Wednesday", "Thursday", "Friday", "Saturday", "Sunday")


def possessive(name):
    """Return "Ines’s": in English the names that end in s take one too."""
    return f"{name}’s"


@dataclass(frozen=True)
class Drawing:
    """The hairpin in a box: where today and the audition stand; None: outside or not dated."""

    width: int
    height: int
    hairpin: Hairpin
    today_x: str
    fermata_x: str | None
    middle: str
    symbol: int

    @property
    def word_x(self):
        """Where the word for today is centred: under its line, but inside the box."""
        return f"{min(max(float(self.today_x), 20.0), self.width - 20.0):.1f}"

    @property
    def symbol_left(self):
        """Where the square of the fermata begins."""
        return f"{float(self.fermata_x) - self.symbol / 2:.1f}"

    @property
    def symbol_top(self):
        """Where the top of that square is."""
        return f"{float(self.middle) - self.symbol / 2:.1f}"


@dataclass(frozen=True)
class Log:
    """What the student wrote down on a day."""

    on: str
    tempo: int | None
    note: str

    @property
    def words(self):
        """ "104 on 12 January"."""
        return f"{self.tempo} on {self.on}" if self.tempo else self.on


@dataclass(frozen=True)
class Music:
    """A piece of the season: its progress by the checks, and the student's own logs apart."""

    piece: Piece
    progress: Progress
    sentence: str
    places: str
    last: str
    logs: tuple
    tempo: int | None

    @property
    def target(self):
        """ "quarter = 112", "" where there is no target."""
        beat = f"{self.piece.beat} = " if self.piece.beat else ""
        return f"{beat}{self.tempo}" if self.tempo else ""


class Part:
    """A part for its student, or the same for those who teach them, or for their guardian."""

    care = CARE
    whose = WHOSE

    def __init__(self, season, staff=False, guardian=False, may_tick=True):
        self.season = season
        self.student = season.student
        self.staff = staff
        self.guardian = guardian
        self.reads_only = not may_tick

    @property
    def is_own(self):
        """Whether its student reads it."""
        return not self.staff and not self.guardian

    @property
    def title(self):
        """Whose part it is: "Ines’s part"."""
        return f"{possessive(self.student.called)} part"

    @property
    def instrument(self):
        """The instrument's name."""
        return self.student.instrument.name

    @cached_property
    def auditions(self):
        """Checklists in the order of their dates, those without a date last."""
        return [Checklist(self.season, entry) for entry in self.season.entries]

    @property
    def ahead(self):
        """Auditions still to be played."""
        return [each for each in self.auditions if not each.is_over]

    @property
    def over(self):
        """Auditions that have been, or are decided."""
        return [each for each in self.auditions if each.is_over]

    @cached_property
    def next(self):
        """The next audition with a date, or None."""
        return next((each for each in self.ahead if each.entry.on), None)

    @cached_property
    def focus(self):
        """The audition that the hairpin is about: the next, or one without a date yet."""
        return self.next or next(iter(self.ahead), None)

    @property
    def answer(self):
        """planner.readiness.AuditionReadiness of `focus`, or None."""
        return self.focus and self.focus.answer

    @property
    def figure(self):
        """How ready, 0 to 100 as written; "" while nothing was heard."""
        return points(self.answer.now) if self.answer and self.answer.now is not None else ""

    @property
    def sentence(self):
        """How ready, in the engine's words."""
        return self.answer.sentence if self.answer else ""

    @property
    def range(self):
        """How sure the day is, "" where there is no range."""
        return chances.in_range(self.answer, self.season.today) if self.answer else ""

    @property
    def chance(self):
        """How likely all is ready in time, "" where it is not known."""
        return chances.at(self.season, self.answer) if self.answer else ""

    @property
    def unknown(self):
        """What the engine does not know, beyond what its sentence says."""
        found = self.answer.unknown if self.answer else ()
        return [each for each in found if each not in self.sentence]

    def drawing(self, width=360, height=72):
        """Return the Drawing of the hairpin in a box of that size, or None if nothing was heard."""
        return self.answer and draw(self.answer, self.season.today, width, height)

    @cached_property
    def cues(self):
        """What is to be done in order: for staff everything, for the student their own."""
        return [cue for cue in self.season.open_cues if self.staff or _own(cue)]

    @property
    def groups(self):
        """The cues up to next week as CueGroups."""
        return under_headings(self.cues)

    @property
    def is_too_late(self):
        """Whether something of it can no longer be done in time."""
        return any(cue.trouble == "too late" for cue in self.cues)

    @property
    def later(self):
        """The cues after next week."""
        return [cue for cue in self.cues if cue.due.when not in SOON]

    @cached_property
    def undated(self):
        """What is to be done once the date is known that it is counted from."""
        return [cue for cue in self.season.open_undated if self.staff or _own(cue)]

    @cached_property
    def waiting(self):
        """What the student waits for: the teacher's cues and other people's."""
        cues = (*self.season.open_cues, *self.season.open_undated)
        return [] if self.staff else [cue for cue in cues if not _own(cue)]

    @cached_property
    def done(self):
        """What was done in the last fortnight, latest first; a student's own."""
        since = self.season.today - FADES_AFTER
        cues = [
            cue
            for cue in (*self.season.cues, *self.season.undated)
            if cue.done
            and cue.task.done_on >= since
            and cue.entry.result != Entry.Result.WITHDRAWN
            and (self.staff or _own(cue))
        ]
        return sorted(cues, key=lambda cue: cue.task.done_on, reverse=True)

    @property
    def all_done(self):
        """Whether there were cues, and nothing of them is left."""
        left = self.season.open_cues or self.season.open_undated
        return bool(self.season.cues) and not left

    @cached_property
    def music(self):
        """The pieces of the season."""
        return [self._music(piece) for piece in self.season.pieces]

    def _music(self, piece):
        season = self.season
        answer = season.piece_answers[piece.pk]
        checks = season.teacher_checks.get(piece.pk, ())
        asked = {
            entry.audition.institution.short: None
            for entry in season.live_entries
            for each in entry.assignments.all()
            if each.piece_id == piece.pk
        }
        return Music(
            piece=piece,
            progress=progress(piece, answer),
            sentence=answer.sentence,
            places=", ".join(asked),
            last=day(checks[-1].on, season.today) if checks else "",
            logs=tuple(
                Log(day(check.on, season.today), check.tempo, check.note)
                for check in reversed(season.own_checks.get(piece.pk, [])[-LOGS_SHOWN:])
            ),
            tempo=season.target(piece),
        )

    @cached_property
    def trial_lessons(self):
        """trial_lessons.Lesson each: those to come, then those that were."""
        return Lessons.of(self.season).shown

    @property
    def trial_lessons_ahead(self):
        """Those to come."""
        return [each for each in self.trial_lessons if each.is_ahead]

    @property
    def replies(self):
        """The auditions whose offer wants a reply that presses."""
        return [each for each in self.auditions if each.reply and each.reply.presses]

    @cached_property
    def trips(self):
        """The trips.Trips of the dates that are confirmed or asked for."""
        return Trips(self.season)

    @property
    def minutes(self):
        """Weekly practice, "" where none is set."""
        daily = zip(DAYS, self.student.weekly_minutes, strict=True)
        return ", ".join(f"{name} {minutes}" for name, minutes in daily if minutes)

    @property
    def weekly(self):
        """Minutes of practice a week."""
        return sum(self.student.weekly_minutes)

    @property
    def away(self):
        """Days away that are not over."""
        return [each for each in self.student.days_away.all() if each.last >= self.season.today]


def draw(answer, today, width, height):
    """Return the Drawing of one audition's hairpin, or None if nothing was heard."""
    if not answer.history:
        return None
    symbol = height // 3
    scale = _scale(answer, today, width - symbol)
    return Drawing(
        width=width,
        height=height,
        hairpin=hairpin(answer, scale, height / 2, height - 8, lead_in=LEAD_IN),
        today_x=f"{scale(today):.1f}",
        fermata_x=f"{scale(answer.on):.1f}" if answer.on else None,
        middle=f"{height / 2:.1f}",
        symbol=symbol,
    )


def _own(cue):
    return cue.task.doer == Doer.STUDENT


def _scale(answer, today, width):
    """Return where a day stands between the margins: from the first check to the last that counts.

    A hairpin that opens long after the audition leaves the picture.
    """
    first = min(answer.history[0][0], today)
    ends = [today + timedelta(days=7)]
    if answer.on:
        ends.append(answer.on)
    if answer.ready_on:
        ends.append(min(answer.ready_on, (answer.on or answer.ready_on) + OVERRUN))
    last = max(ends)
    left = MARGIN + LEAD_IN
    step = (width - left - MARGIN) / (last - first).days

    def x_of(on: date) -> float:
        return left + (on - first).days * step

    return x_of
