"""The page of one entry: its date, its music, its tasks, and what to look at twice."""

from dataclasses import dataclass
from functools import cached_property

from django.urls import reverse

from planner.deadlines.wording import dated
from studio.entries import choices
from studio.entries.checklist import ADVICE, Checklist, Progress, progress, rules
from studio.entries.forms import DateForm, ResultForm
from studio.entries.models import Assignment, Task
from studio.entries.parts import draw


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
    """A requirement with its pieces; groups: (label, pieces) to choose another from."""

    need: object
    rules: str
    chosen: tuple
    missing: str
    groups: tuple


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

    # the date

    @cached_property
    def dates(self):
        """Every date the audition offers."""
        return [self._date(each) for each in choices.dates(self.who, self.entry)]

    def _date(self, date):
        doubts = [f"not for {self.entry.instrument}"] if date.limited and not date.suits else []
        for away in self.student.days_away.all():
            if away.first <= date.on <= away.last:
                reason = f" ({away.reason})" if away.reason else ""
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
    def flags(self):
        """Why the requirements may be the wrong ones."""
        asked = self.requirement_set
        if asked is None:
            return []
        found = []
        if asked.instrument_id != self.entry.instrument_id:
            own = self.entry.instrument
            found.append(f"They are for {asked.instrument}, the entry is on {own}.")
        if asked.season != self.audition.season:
            season = self.audition.season
            found.append(f"They are those of {asked.season}, the audition is in {season}.")
        if asked.checked_on is None:
            found.append(f"Nobody has looked at them again yet: {ADVICE}.")
        return found

    @cached_property
    def pieces(self):
        """The pieces to choose from, for those who may."""
        return list(choices.pieces(self.who)) if self.may_edit else []

    @cached_property
    def slots(self):
        """Every requirement with its pieces."""
        chosen = {}
        for each in self.entry.assignments.all():
            chosen.setdefault(each.requirement_id, []).append(each)
        asked = self.requirement_set.requirements.all() if self.requirement_set else ()
        return [self._slot(need, chosen.get(need.pk, [])) for need in asked]

    def _slot(self, need, given):
        there = {each.piece_id for each in given}
        rest = [piece for piece in self.pieces if piece.pk not in there]
        fits = [piece for piece in rest if self._fits(piece, need)]
        others = [piece for piece in rest if not self._fits(piece, need)]
        groups = ((f"{need.get_kind_display()}, {self.entry.instrument}", fits), ("Others", others))
        return Slot(
            need=need,
            rules=rules(need),
            chosen=tuple(self._chosen(each) for each in given),
            missing=_missing(need, len(given)),
            groups=tuple(group for group in groups if group[1]) if need.is_music else (),
        )

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
        cues = (cue for cue in self.season.cues if cue.entry.pk == self.entry.pk)
        return [cue for cue in cues if cue.task.state == state]


def _missing(need, chosen):
    """Say how many pieces are too few or too many; "" where the number is right."""
    if not need.is_music:
        return ""
    if not chosen:
        return "no piece yet"
    if chosen < need.at_least:
        return f"{need.at_least - chosen} more asked for"
    most = need.at_most or need.at_least
    return f"{chosen - most} more than asked for" if chosen > most else ""


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
