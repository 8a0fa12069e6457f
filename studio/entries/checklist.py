"""One audition of a part as a list to work down: applications, music, the day.

Read from a bridge.Season loaded by `queries.part`; free of addresses and marks, so that page and
handout draw the same.
"""

from dataclasses import dataclass
from functools import cached_property

from planner.deadlines import Lead, Unit, When
from planner.deadlines.wording import dated, lead_words
from planner.readiness.words import day, points
from planner.zones import spoken
from studio.accounts.words import money
from studio.entries import recordings, results
from studio.entries.bridge import asked
from studio.entries.hearings.words import latest
from studio.entries.models import Entry, Task
from studio.entries.tasks import concerns
from studio.requirements import wording


def within(days):
    """Return "today", "tomorrow", "in 25 days" or "3 days ago"."""
    if days < 0:
        return "yesterday" if days == -1 else f"{-days} days ago"
    return {0: "today", 1: "tomorrow"}.get(days, f"in {days} days")


def clock(time):
    """Write a wall time: 9:05."""
    return f"{time:%-H:%M}"


@dataclass(frozen=True)
class Fact:
    """Something known of the day."""

    label: str
    text: str


@dataclass(frozen=True)
class Step:
    """A deadline of the institution (or none: what is done for the day) and how far it is.

    What it takes stands among the cues and is not said twice.
    """

    name: str
    when: str
    link: str
    cues: tuple

    @property
    def state(self):
        """ "late", "open", "done" or "" where nothing is to be done for it."""
        if any(cue.late for cue in self.cues):
            return "late"
        if any(cue.task.state == Task.State.OPEN for cue in self.cues):
            return "open"
        return "done" if self.cues else ""

    @property
    def words(self):
        """The state with the day it was done, or with what of it is late: "done 9 October"."""
        if self.state == "late":
            late = next(cue.name for cue in self.cues if cue.late)
            return "late" if late == self.name else f"late: {late}"
        if self.state != "done":
            return self.state
        return max(self.cues, key=lambda cue: cue.task.done_on).due.sentence


@dataclass(frozen=True)
class Progress:
    """A piece and how far it is, by the teacher's checks. figure: 0 to 100 as written, or ""."""

    name: str
    figure: str
    words: str

    @property
    def text(self):
        """ "71 of 100, clean at 96 of 112"."""
        return f"{self.figure} of 100, {self.words}" if self.figure else self.words


@dataclass(frozen=True)
class Slot:
    """One requirement with the pieces chosen for it, or the heading of a group.

    missing: what is still to choose. depth: how many groups it stands inside.
    """

    name: str
    rules: str
    pieces: tuple
    missing: str
    depth: int = 0
    is_group: bool = False


class Checklist:
    """One entry of a Season."""

    def __init__(self, season, entry):
        self.season = season
        self.entry = entry
        self.institution = entry.audition.institution
        self.row = getattr(entry, "day", None)

    @property
    def place(self):
        """The institution's short name."""
        return self.institution.short

    @property
    def name(self):
        """Institution and audition in full."""
        return f"{self.institution}: {self.entry.audition.name}"

    @property
    def instrument(self):
        """The instrument, where it is another than the student's own."""
        own = self.season.student.instrument_id == self.entry.instrument_id
        return "" if own else self.entry.instrument.name

    @property
    def date(self):
        """The chosen date in words, "" without one."""
        return dated(self.entry.on, self.season.today) if self.entry.on else ""

    @property
    def within(self):
        """In how many days it is."""
        return within((self.entry.on - self.season.today).days) if self.entry.on else ""

    @property
    def uncertain(self):
        """What is not settled about the date, "" when it is."""
        if not self.entry.on:
            return "no date chosen yet"
        if self.entry.date_state == Entry.DateState.CONFIRMED:
            return ""
        if self.entry.date_state == Entry.DateState.OPEN:
            return "date not settled yet"
        return self.entry.get_date_state_display().lower()

    @property
    def format(self):
        """How one plays, "" where it is not stated."""
        audition = self.entry.audition
        return "" if audition.format == "not stated" else audition.get_format_display()

    @property
    def is_over(self):
        """Whether it has been, or there is nothing to play for any more."""
        past = self.entry.on is not None and self.entry.on < self.season.today
        return past or not self.entry.is_live

    @property
    def result(self):
        """What came of it, in words."""
        return results.heard(self.entry, self.season.today)

    @cached_property
    def recordings(self):
        """What is recorded for it, as recordings.Recordings; nothing once it is over."""
        return [] if self.is_over else recordings.of(self.season, self.entry)

    @property
    def hearing(self):
        """What its programme scored when it was last heard in one go, "" if it never was."""
        return latest(self.season, self.entry)

    @cached_property
    def reply(self):
        """results.Reply to an offer, or None."""
        accepted = results.elsewhere(self.entry, self.season.entries)
        return results.reply(self.entry, self.season.today, accepted)

    @property
    def answer(self):
        """planner.readiness.AuditionReadiness, None for what is decided."""
        return self.season.audition_answers.get(self.entry.pk)

    @property
    def short(self):
        """The margin in short, "7 days short"; "" without a date to be ready for."""
        return self.answer.short if self.answer and self.entry.on else ""

    @property
    def late(self):
        """Whether the margin stands in red pencil."""
        return bool(self.answer and self.answer.late)

    @property
    def call(self):
        """The time of the call at the place, "" while it is not known."""
        return clock(self.row.call) if self.row and self.row.call else ""

    @cached_property
    def facts(self):
        """What is known of the day, in the order one walks it."""
        row = self.row
        if row is None:
            return ()
        by = row.check_in_by and f"by {clock(row.check_in_by)}"
        found = (
            ("Call", self.call),
            ("Check-in", ", ".join(filter(None, [row.check_in_place, by]))),
            ("Warm-up", row.warm_up_room),
            ("Audition", row.audition_room),
        )
        return tuple(Fact(label, text) for label, text in found if text)

    @cached_property
    def steps(self):
        """The institution's deadlines in order, then the tasks with a date of their own."""
        cues = {}
        for cue in self.season.cues_at(self.entry):
            if cue.due.when != When.DROPPED:
                cues.setdefault(cue.task.deadline_id, []).append(cue)
        steps = [
            Step(each.name, self._when(each), each.link, tuple(cues.get(each.pk, ())))
            for each in self.entry.audition.deadlines.all()
            if concerns(each, self.entry) or each.pk in cues
        ]
        return steps + [
            Step(cue.name, self._planned(cue), "", (cue,)) for cue in cues.get(None, ())
        ]

    def _planned(self, cue):
        return dated(cue.due.plan_by, self.season.today) if cue.dated else cue.due.sentence

    @property
    def no_round(self):
        """What to ask where the audition has rounds of applications and none is chosen, or ""."""
        found = dict.fromkeys(each["round"] for each in getattr(self.entry, "rounds", None) or ())
        if self.entry.round or not found:
            return ""
        return f"Round of applications not chosen yet: {' or '.join(found)}"

    @property
    def steps_left(self):
        """The steps without those that are done."""
        return [step for step in self.steps if step.state != "done"]

    @property
    def steps_done(self):
        """The names of the steps that are done, for one line."""
        return ", ".join(step.name for step in self.steps if step.state == "done")

    def _when(self, deadline):
        studio, today = self.season.student.studio, self.season.today
        late = deadline.late_until
        taken = f"still taken until {dated(late, today)}" if late else ""
        parts = [
            self._day(deadline),
            f"{taken}, {deadline.late_terms}" if taken and deadline.late_terms else taken,
            f"costs {money(deadline.cost, studio.currency)}" if deadline.cost else "",
        ]
        return "; ".join(filter(None, parts))

    def _day(self, deadline):
        words = self._date(deadline)
        if not deadline.zone:
            at = f", {clock(deadline.at)}" if deadline.at else ""
            return f"{words}{at}, time zone not stated"
        return f"{words}, {clock(deadline.at)} {spoken(deadline.zone)}" if deadline.at else words

    def _date(self, deadline):
        """The deadline's date in words; of a relative one also how it is counted."""
        if deadline.on:
            return dated(deadline.on, self.season.today)
        before = Lead(deadline.before or 0, Unit(deadline.before_unit))
        ahead = f"{lead_words(before)} before the audition" if before.count else "on the day"
        if not self.entry.on:
            return f"{ahead}, whose date is not chosen yet"
        on = self.season.workdays.back(self.entry.on, before)
        return f"{dated(on, self.season.today)}, {ahead}"

    @cached_property
    def slots(self):
        """Each requirement with its pieces and their progress, under the group it belongs to.

        Alternatives that a choice is made without are left out.
        """
        lines, given = asked(self.entry)
        return [
            self._slot(line, given.get(line.requirement.pk, ()))
            for line in lines
            if line.begun or not line.spare
        ]

    def _slot(self, line, given):
        answers = self.season.piece_answers
        return Slot(
            name=line.requirement.name,
            rules=wording.asked(line.requirement),
            pieces=tuple(progress(each.piece, answers.get(each.piece_id)) for each in given),
            missing=wording.missing(line),
            depth=line.depth,
            is_group=line.node.is_group,
        )

    @property
    def checked(self):
        """Who looked at the requirements and when; "" if nobody has."""
        asked = self.entry.requirement_set
        if asked is None or asked.checked_on is None:
            return ""
        by = f" by {asked.checked_by}" if asked.checked_by else ""
        return f"Checked{by} on {asked.checked_on:%-d %B %Y}"

    @property
    def look_again(self):
        """From which day the check will be too old, in words; "" if it never is."""
        on = self.season.look_again_from(self.entry)
        return f"Look again from {day(on, self.season.today)}" if on else ""

    @cached_property
    def doubts(self):
        """Why the requirements may be the wrong ones or out of date, a sentence each."""
        if self.entry.requirement_set is None:
            return ("What it asks for is not set yet.",)
        return tuple(doubt.part for doubt in self.season.doubts(self.entry))

    @property
    def source(self):
        """Where the requirements stand."""
        return self.entry.requirement_set.source if self.entry.requirement_set else ""


def progress(piece, answer):
    """Return the Progress of a piece; answer: PieceReadiness, None where nothing is asked of it."""
    if answer is None or answer.now is None:
        return Progress(str(piece), "", "not checked yet" if answer else "")
    return Progress(str(piece), points(answer.now), answer.limit_sentence)
