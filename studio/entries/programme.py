"""The page of one entry: its date, its music, its tasks, and what to look at twice."""

from dataclasses import dataclass
from functools import cached_property

from django.urls import reverse

from planner.deadlines.wording import dated
from studio.entries import chances, choices, recordings
from studio.entries.bridge import asked
from studio.entries.checklist import Checklist, Progress, progress
from studio.entries.forms import DateForm, ResultForm
from studio.entries.models import Assignment, Task
from studio.entries.parts import draw
from studio.requirements import wording
from studio.requirements.tree import Line


@dataclass(frozen=True)
class DateChoice:
    """An offered date, and in words why it may be the wrong one."""

    date: object
    title: str
    place: str
    doubts: tuple
    chosen: bool


@dataclass(frozen=True)
class Chosen:
    """A piece chosen for a requirement."""

    assignment: Assignment
    progress: Progress


@dataclass(frozen=True)
class Slot:
    """A requirement with its pieces, or the heading of a group.

    missing: how many pieces are too few or too many. groups: (label, pieces) to choose another
    from.
    """

    line: Line
    rules: str
    chosen: tuple
    missing: str
    groups: tuple

    @property
    def need(self):
        """Its requirement."""
        return self.line.requirement

    @property
    def is_open(self):
        """Whether nothing is chosen where something must be."""
        return self.line.wanted and not self.line.begun

    @property
    def invites(self):
        """Whether a piece is likely to be chosen here next: it is short of one, or an alternative
        of a choice that is not made."""
        return bool(self.line.lacking) and not self.line.spare


class Programme:
    """One entry of a bridge.Season, whose student was loaded by `choices.with_entry`.

    pk: the entry's key. forms: those that were posted and are wrong, by name (date, result,
    assign).
    """

    def __init__(self, season, pk, who, **forms):
        self.season, self.who = season, who
        self.student = season.student
        self.entry = next(entry for entry in season.entries if entry.pk == pk)
        self.audition = self.entry.audition
        self.checklist = Checklist(season, self.entry)
        self.answer = season.audition_answers.get(self.entry.pk)
        self.date_form = forms.get("date") or DateForm(instance=self.entry, who=who)
        self.result_form = forms.get("result") or ResultForm(instance=self.entry, who=who)
        self.assign_form = forms.get("assign")

    @property
    def may_edit(self):
        """Whether the asker may change it."""
        return self.who.is_teacher

    @cached_property
    def drawing(self):
        """The hairpin; nothing where the engine has no answer."""
        return self.answer and draw(self.answer, self.season.today, 640, 76)

    @property
    def chance(self):
        """How likely all is ready in time, "" where it is not known."""
        return chances.at(self.season, self.answer) if self.answer else ""

    @property
    def range(self):
        """How sure the day is that it is expected, "" where there is no range."""
        return chances.in_range(self.answer, self.season.today) if self.answer else ""

    # the date

    @cached_property
    def dates(self):
        """Every date the audition offers."""
        return [self._date(each) for each in choices.dates(self.who, self.entry)]

    def _date(self, date):
        doubts = [f"not for {self.entry.instrument}"] if date.limited and not date.suits else []
        if date.away is not None:
            reason = f" ({date.away})" if date.away else ""
            doubts.append(f"{self.student.called} is away that day{reason}")
        if date.on < self.season.today and date.pk != self.entry.chosen_date_id:
            doubts.append("gone by")
        title = dated(date.on, self.season.today)
        chosen = str(self.date_form["chosen_date"].value() or "") == str(date.pk)
        return DateChoice(date, title, date.place, tuple(doubts), chosen)

    @property
    def date_doubts(self):
        """What speaks against the date that is chosen."""
        chosen = self.entry.chosen_date_id
        return next((each.doubts for each in self.dates if each.date.pk == chosen), ())

    # the music

    @property
    def requirement_set(self):
        """What the institution asks; None: not chosen yet."""
        return self.entry.requirement_set

    @cached_property
    def doubts(self):
        """Why the requirements may be the wrong ones or out of date, as requirements.doubts."""
        return self.season.doubts(self.entry)

    @property
    def errata_open(self):
        """Whether a correction has to be passed on to the student."""
        return any(doubt.erratum for doubt in self.doubts)

    @cached_property
    def pieces(self):
        """The pieces to choose from, for those who may."""
        return list(choices.pieces(self.who)) if self.may_edit else []

    @cached_property
    def slots(self):
        """Every requirement with its pieces, under the group it belongs to."""
        lines, given = asked(self.entry)
        return [self._slot(line, given.get(line.requirement.pk, [])) for line in lines]

    def _slot(self, line, given):
        need = line.requirement
        return Slot(
            line=line,
            rules=wording.asked(need),
            chosen=tuple(self._chosen(each) for each in given),
            missing=wording.missing(line) or wording.surplus(line),
            groups=self._groups(need, given) if need.is_music else (),
        )

    def _groups(self, need, given):
        there = {each.piece_id for each in given}
        rest = [piece for piece in self.pieces if piece.pk not in there]
        fits = [piece for piece in rest if self._fits(piece, need)]
        others = [piece for piece in rest if not self._fits(piece, need)]
        groups = ((f"{need.get_kind_display()}, {self.entry.instrument}", fits), ("Others", others))
        return tuple(group for group in groups if group[1])

    def _fits(self, piece, need):
        return piece.kind == need.kind and piece.instrument_id in {None, self.entry.instrument_id}

    def _chosen(self, assignment):
        piece = assignment.piece
        return Chosen(assignment, progress(piece, self.season.piece_answers.get(piece.pk)))

    @cached_property
    def left_over(self):
        """Pieces chosen for requirements that the entry no longer goes by."""
        asked = {slot.need.pk for slot in self.slots}
        given = self.entry.assignments.all()
        return [each for each in given if each.requirement_id not in asked]

    @cached_property
    def recordings(self):
        """What is recorded for it, as recordings.Recordings."""
        return recordings.of(self.season, self.entry)

    # the tasks

    @property
    def tasks(self):
        """Tasks to do, as Cues in order of the day to plan for."""
        return self._cues(Task.State.OPEN)

    @property
    def done(self):
        """Tasks that are done, latest first."""
        cues = self._cues(Task.State.DONE)
        return sorted(cues, key=lambda cue: cue.task.done_on, reverse=True)

    @property
    def dropped(self):
        """Tasks that are not needed."""
        return self._cues(Task.State.DROPPED)

    def _cues(self, state):
        """The entry's cues in one state, once each: two letters may be one errand."""
        cues = self.season.cues_at(self.entry)
        return list({cue.key: cue for cue in cues if cue.task.state == state}.values())


def no_auditions(student):
    """Say what to do while the season has no auditions to enter for."""
    return {
        "student": student,
        "empty": {
            "title": f"No auditions in {student.studio.season} yet",
            "text": "Write down an institution with its audition of this season first, or load "
            "them from the workbook. Then enter the student here.",
            "url": reverse("institutions"),
            "label": "Go to the institutions",
        },
    }
