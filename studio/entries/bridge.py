"""Rows in, planner problems out: what a student's season asks of the engine, and its answers.

`Season` wraps one student loaded by `queries.whole_season`. Pages, handouts and feeds all read the
same answers from it, so they cannot disagree. Nothing here queries.
"""

from dataclasses import dataclass, replace
from datetime import date
from functools import cached_property

from django.utils import timezone

from planner import deadlines, readiness
from planner.zones import zone
from studio.answers import solve
from studio.entries.hearings import bridge as hearings
from studio.entries.models import Doer, Entry, LessonCheck, Needs, Task
from studio.entries.network import (
    Ready,
    days_off,
    deadlines_problem,
    is_open,
    mark,
    ready,
    untied,
)
from studio.entries.network import place_zone as place_zone
from studio.entries.tasks import errand
from studio.requirements import doubts
from studio.requirements.models import Said
from studio.requirements.tree import reckon, tree

MEMORY = {"not yet": 0.0, "partly": 0.5, "secure": 1.0}
MARK_RANGE = (1, 10)
CLOSED = frozenset({deadlines.When.DONE, deadlines.When.DROPPED})


@dataclass(frozen=True)
class Cue:
    """The next thing somebody has to do: a task with the engine's answer about it.

    due: deadlines.TaskDue; without a date deadlines.Undated. also: the tasks of the same errand
    for other auditions, as (task, entry); what is said of one holds for all. unsure: what is not
    known about when it can be begun, a sentence. held: it should have been begun, and cannot be.
    """

    task: Task
    entry: Entry
    due: deadlines.TaskDue | deadlines.Undated
    also: tuple = ()
    unsure: str = ""
    held: bool = False

    @property
    def done(self):
        """Whether it is ticked."""
        return self.task.state == Task.State.DONE

    @property
    def members(self):
        """Every (task, entry) that it stands for."""
        return ((self.task, self.entry), *self.also)

    @property
    def key(self):
        """A number that stays the same whichever of its tasks comes first."""
        return min(task.pk for task, _ in self.members)

    @property
    def name(self):
        """What to do; of a letter also who writes it."""
        name = errand(self.task) if self.also and self.task.recommender_id else self.task.name
        return f"{name} ({self.task.recommender})" if self.task.recommender_id else name

    @property
    def place(self):
        """The institution's short name, or those of all it is for."""
        return ", ".join(dict.fromkeys(e.audition.institution.short for _, e in self.members))

    @property
    def title(self):
        """Where and what: "Carrow: Pay the fee", "Ask for the transcript · Fairmont, Carrow"."""
        return f"{self.name} · {self.place}" if self.also else f"{self.place}: {self.name}"

    @property
    def who(self):
        """Who does it, in words; "" for what the student does."""
        writer = self.task.recommender
        if writer and writer.is_ours and self.task.doer == Doer.OTHER:
            return Doer.TEACHER.label
        return "" if self.task.doer == Doer.STUDENT else self.task.get_doer_display()

    @property
    def dated(self):
        """Whether there is a day to plan for."""
        return isinstance(self.due, deadlines.TaskDue)

    @property
    def late(self):
        """Whether its day has passed."""
        return self.dated and bool(self.due.late_days)

    @property
    def trouble(self):
        """What needs somebody now, in red pencil; "" where nothing does."""
        if not self.dated or self.due.when in CLOSED:
            return ""
        if self.due.closed:
            return "closed"
        if self.due.impossible and not self.late:
            return "too late"
        return "held up" if self.held else ""

    def at(self, entry):
        """Yield it as seen from one entry: once for each of that entry's tasks it stands for."""
        for own in self.members:
            if own[1].pk == entry.pk:
                others = tuple(each for each in self.members if each[0].pk != own[0].pk)
                yield replace(self, task=own[0], entry=own[1], also=others)


class Season:
    """One student's season at one moment, with the engine's answers about it.

    student: loaded by `whole_season`; now: aware datetime.
    """

    def __init__(self, student, now=None):
        self.student = student
        self.now = now or timezone.now()
        self.today = self.now.astimezone(zone(student.home_zone)).date()

    @cached_property
    def entries(self):
        """The season's entries, those with a date first, by date."""
        undated = date.max
        return sorted(self.student.entries.all(), key=lambda entry: entry.on or undated)

    @cached_property
    def live_entries(self):
        """Entries still to be played for: neither withdrawn nor decided."""
        return [entry for entry in self.entries if entry.is_live]

    @cached_property
    def next_entry(self):
        """The next entry with a date from today on, or None."""
        ahead = (entry for entry in self.live_entries if entry.on and entry.on >= self.today)
        return next(ahead, None)

    @cached_property
    def assignments(self):
        """What is assigned in entries still to be played for."""
        return [each for entry in self.live_entries for each in entry.assignments.all()]

    @cached_property
    def pieces(self):
        """All pieces assigned in the season, once each, by composer and title."""
        return sorted({each.piece_id: each.piece for each in self.assignments}.values(), key=str)

    @cached_property
    def by_heart(self):
        """The keys of the pieces that some audition wants from memory."""
        return {a.piece_id for a in self.assignments if a.requirement.memory == Said.YES}

    @cached_property
    def readiness(self):
        """planner.readiness.Answer; keys are str(piece.pk) and str(entry.pk)."""
        return solve("readiness", readiness_problem(self))

    @property
    def deadlines(self):
        """planner.deadlines.Answer; keys are str(task.pk)."""
        return self._network[0]

    @property
    def circle(self):
        """Which tasks wait for each other in a circle, "" if none do: then none waits at all."""
        return self._network[1]

    @cached_property
    def _network(self):
        problem = deadlines_problem(self)
        try:
            return solve("deadlines", problem), ""
        except ValueError as circle:
            return solve("deadlines", untied(problem)), str(circle)

    @cached_property
    def workdays(self):
        """planner.deadlines.Workdays of the studio: without holidays and its own days off."""
        return deadlines.Workdays(days_off(self))

    def ready_for(self, task, entry):
        """Return the network.Ready of a task: nothing to wait for where it needs no pieces."""
        wanted = task.needs == Needs.PIECES and entry.is_live and self.is_open(task, entry)
        return ready(self, task, entry) if wanted else Ready()

    def is_open(self, task, entry):
        """Whether a task is still to be done, as network.is_open."""
        return is_open(task, entry, self.today)

    @cached_property
    def piece_answers(self):
        """PieceReadiness by piece pk."""
        return {int(answer.key): answer for answer in self.readiness.pieces}

    @cached_property
    def audition_answers(self):
        """AuditionReadiness by entry pk."""
        return {int(answer.key): answer for answer in self.readiness.auditions}

    @cached_property
    def next_answer(self):
        """AuditionReadiness of the next entry, or None."""
        return self.next_entry and self.audition_answers[self.next_entry.pk]

    @cached_property
    def _every_cue(self):
        """Each task's Cue, those of one errand together: still to do, or done on one day."""
        tasks = {str(task.pk): (task, e) for e in self.entries for task in e.tasks.all()}
        found = {}
        dues = (*self.deadlines.tasks, *self.deadlines.undated)
        for due in sorted(dues, key=lambda due: not getattr(due, "stands_for_all", True)):
            task, entry = tasks[due.key]
            one = mark(task) if task.done_on or self.is_open(task, entry) else None
            key = (one, task.done_on) if one else task.pk
            if first := found.get(key):
                found[key] = replace(first, also=(*first.also, (task, entry)))
            else:
                found[key] = self._cue(task, entry, due)
        return tuple(found.values())

    def _cue(self, task, entry, due):
        held = getattr(due, "waits_for", None) and due.start_on <= self.today
        return Cue(task, entry, due, (), self.ready_for(task, entry).unknown, bool(held))

    @cached_property
    def cues(self):
        """Every task with a date as a Cue, errands once, in order of the day to plan for."""
        return [cue for cue in self._every_cue if cue.dated]

    @cached_property
    def undated(self):
        """Every task that waits for a date to count from as a Cue, by name."""
        return [cue for cue in self._every_cue if not cue.dated]

    def doubts(self, entry):
        """Return why the entry's requirements may be the wrong ones, as requirements.doubts."""
        heard = {pk: checks[0].on for pk, checks in self.teacher_checks.items()}
        return doubts.doubts(entry, self.today, self.student.studio.check_days, heard)

    def look_again_from(self, entry):
        """Return the day from which the last check of its requirements is too old, or None."""
        return doubts.look_again_from(entry, self.today, self.student.studio.check_days)

    def cue(self, pk):
        """Return the Cue of the season's task with that key, or None."""
        found = (cue for cue in self._every_cue if pk in {task.pk for task, _ in cue.members})
        return next(found, None)

    def cues_at(self, entry):
        """Return the Cues of one entry's tasks, as seen from there; those without a date last."""
        return [own for cue in self._every_cue for own in cue.at(entry)]

    @cached_property
    def open_cues(self):
        """Cues neither done nor dropped, of entries not withdrawn and days not over."""
        return [cue for cue in self.cues if self.is_open(cue.task, cue.entry)]

    @cached_property
    def open_undated(self):
        """The same of what has no date yet."""
        return [cue for cue in self.undated if self.is_open(cue.task, cue.entry)]

    @cached_property
    def teacher_checks(self):
        """The teacher's checks by piece pk, oldest first: these make the figure."""
        return self._checks(LessonCheck.Source.TEACHER)

    @cached_property
    def own_checks(self):
        """The student's own checks by piece pk, oldest first: shown apart."""
        return self._checks(LessonCheck.Source.STUDENT)

    @cached_property
    def hearing_checks(self):
        """planner.readiness.Checks by piece pk: the whole programme heard in one go counts too."""
        return hearings.checks(self.entries, self.student.studio)

    def target(self, piece):
        """The tempo this student works towards: as the latest lesson has it, else the piece's."""
        checks = [c for c in self.teacher_checks.get(piece.pk, ()) if c.on <= self.today]
        return (checks[-1].target if checks else None) or piece.target_tempo

    def _checks(self, source):
        found = {}
        for check in self.student.checks.all():
            if check.source == source:
                if piece := self._given.get(check.piece_id):
                    check.piece = piece
                found.setdefault(check.piece_id, []).append(check)
        return found

    @cached_property
    def _given(self):
        """Every piece that an entry of the season assigns, by pk."""
        assigned = (each for entry in self.entries for each in entry.assignments.all())
        return {each.piece_id: each.piece for each in assigned}


def readiness_problem(season):
    """Return the planner.readiness.Problem of a Season."""
    return readiness.Problem(
        today=season.today,
        pieces=tuple(_piece(season, piece) for piece in season.pieces),
        auditions=tuple(_audition(entry) for entry in season.live_entries),
        settings=readiness_settings(season.student.studio),
    )


def readiness_settings(studio):
    """Return the planner.readiness.Settings of a studio, with what was learned of its pace."""
    learned = getattr(studio, "learned_pace", None)
    return readiness.Settings(
        ready_at=float(studio.ready_at),
        ease_days=studio.ease_days,
        prior=learned.usual if learned else readiness.Prior(),
    )


def _piece(season, piece):
    checks, target = season.teacher_checks.get(piece.pk, ()), season.target(piece)
    return readiness.Piece(
        key=str(piece.pk),
        name=piece.title,
        checks=(*map(readiness_check, checks), *season.hearing_checks.get(piece.pk, ())),
        from_memory=piece.pk in season.by_heart,
        target=target and float(target),
    )


def readiness_check(check):
    """Return the planner.readiness.Check of a LessonCheck, or of a row with its values."""
    low, high = MARK_RANGE
    marks = (getattr(check, mark) for mark in LessonCheck.MARKS)
    return readiness.Check(
        on=check.on,
        tempo=check.tempo and float(check.tempo),
        target=check.target and float(check.target),
        marks=tuple((mark - low) / (high - low) for mark in marks if mark is not None),
        memory=MEMORY.get(check.memory),
    )


def asked(entry):
    """Return what an entry goes by as tree.Lines, and its assignments by requirement key."""
    given = {}
    for each in entry.assignments.all():
        given.setdefault(each.requirement_id, []).append(each)
    needs = entry.requirement_set.requirements.all() if entry.requirement_set else ()
    return reckon(tree(needs), {key: len(some) for key, some in given.items()}), given


def _audition(entry):
    lines, given = asked(entry)
    return readiness.Audition(
        key=str(entry.pk),
        name=entry.audition.institution.short,
        on=entry.on,
        slots=tuple(
            readiness.Slot(
                line.requirement.name,
                float(line.requirement.weight),
                tuple(str(each.piece_id) for each in given.get(line.requirement.pk, ())),
                lacking=line.lacking if line.wanted and not line.requirement.is_group else 0,
            )
            for line in lines
            if line.counts
        ),
    )
