"""Rows in, planner problems out: what a student's season asks of the engine, and its answers.

`Season` wraps one student loaded by `queries.whole_season`. Pages, handouts and feeds all read the
same answers from it, so they cannot disagree. Nothing here queries.
"""

from dataclasses import dataclass
from datetime import date
from functools import cached_property

from django.utils import timezone

from planner import deadlines, readiness
from planner.zones import zone
from studio.answers import solve
from studio.entries.models import Doer, Entry, LessonCheck, Task
from studio.requirements import doubts
from studio.requirements.models import Said
from studio.requirements.tree import reckon, tree

MEMORY = {"not yet": 0.0, "partly": 0.5, "secure": 1.0}
MARK_RANGE = (1, 10)


@dataclass(frozen=True)
class Cue:
    """The next thing somebody has to do: a task with the engine's answer about it."""

    task: Task
    entry: Entry
    due: deadlines.TaskDue

    @property
    def done(self):
        """Whether it is ticked."""
        return self.task.state == Task.State.DONE

    @property
    def place(self):
        """The institution's short name."""
        return self.entry.audition.institution.short

    @property
    def who(self):
        """Who does it, in words; "" for what the student does."""
        return "" if self.task.doer == Doer.STUDENT else self.task.get_doer_display()


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

    @cached_property
    def deadlines(self):
        """planner.deadlines.Answer; keys are str(task.pk)."""
        return solve("deadlines", deadlines_problem(self))

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
    def cues(self):
        """Every task of the season as a Cue, in order of the day to plan for."""
        tasks = {task.pk: (task, entry) for entry in self.entries for task in entry.tasks.all()}
        return [Cue(*tasks[int(due.key)], due) for due in self.deadlines.tasks]

    def doubts(self, entry):
        """Return why the entry's requirements may be the wrong ones, as requirements.doubts."""
        heard = {pk: checks[0].on for pk, checks in self.teacher_checks.items()}
        return doubts.doubts(entry, self.today, self.student.studio.check_days, heard)

    def look_again_from(self, entry):
        """Return the day from which the last check of its requirements is too old, or None."""
        return doubts.look_again_from(entry, self.today, self.student.studio.check_days)

    def cue(self, pk):
        """Return the Cue of the season's task with that key, or None."""
        return next((cue for cue in self.cues if cue.task.pk == pk), None)

    @cached_property
    def open_cues(self):
        """Cues neither done nor dropped, of entries that are not withdrawn."""
        return [
            cue
            for cue in self.cues
            if cue.task.state == Task.State.OPEN and cue.entry.result != Entry.Result.WITHDRAWN
        ]

    @cached_property
    def teacher_checks(self):
        """The teacher's checks by piece pk, oldest first: these make the figure."""
        return self._checks(LessonCheck.Source.TEACHER)

    @cached_property
    def own_checks(self):
        """The student's own checks by piece pk, oldest first: shown apart."""
        return self._checks(LessonCheck.Source.STUDENT)

    def target(self, piece):
        """The tempo this student works towards: as the latest lesson has it, else the piece's."""
        checks = [c for c in self.teacher_checks.get(piece.pk, ()) if c.on <= self.today]
        return (checks[-1].target if checks else None) or piece.target_tempo

    def _checks(self, source):
        found = {}
        for check in self.student.checks.all():
            if check.source == source:
                found.setdefault(check.piece_id, []).append(check)
        return found


def readiness_problem(season):
    """Return the planner.readiness.Problem of a Season."""
    return readiness.Problem(
        today=season.today,
        pieces=tuple(_piece(season, piece) for piece in season.pieces),
        auditions=tuple(_audition(entry) for entry in season.live_entries),
        settings=readiness.Settings(ready_at=float(season.student.studio.ready_at)),
    )


def _piece(season, piece):
    checks, target = season.teacher_checks.get(piece.pk, ()), season.target(piece)
    return readiness.Piece(
        key=str(piece.pk),
        name=piece.title,
        checks=tuple(_check(check) for check in checks),
        from_memory=piece.pk in season.by_heart,
        target=target and float(target),
    )


def _check(check):
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
            )
            for line in lines
            if line.counts
        ),
    )


def deadlines_problem(season):
    """Return the planner.deadlines.Problem of a Season: all tasks of all its entries."""
    student = season.student
    tasks = [(task, entry) for entry in season.entries for task in entry.tasks.all()]
    wanted = {task.deadline_id: (task.deadline, entry) for task, entry in tasks if task.deadline_id}
    years = tuple(range(season.today.year - 1, season.today.year + 3))
    return deadlines.Problem(
        now=season.now.replace(second=0, microsecond=0),
        home_zone=student.home_zone,
        deadlines=tuple(_deadline(deadline, entry, wanted) for deadline, entry in wanted.values()),
        tasks=tuple(_task(task) for task, _ in tasks),
        days_off=student.studio.days_off(years),
    )


def place_zone(institution):
    """The zone of a place; a school of music inside a university keeps the university's."""
    return institution.time_zone or (institution.part_of and institution.part_of.time_zone) or None


def _deadline(deadline, entry, wanted):
    opens_after = deadline.opens_after_id if deadline.opens_after_id in wanted else None
    return deadlines.Deadline(
        key=str(deadline.pk),
        name=deadline.name,
        on=deadline.on,
        at=deadline.at,
        zone=deadline.zone or None,
        place_zone=place_zone(entry.audition.institution),
        opens_on=deadline.opens_on,
        opens_after=opens_after and str(opens_after),
    )


def _task(task):
    return deadlines.Task(
        key=str(task.pk),
        name=task.name,
        doer=Doer(task.doer).value,
        deadline=task.deadline_id and str(task.deadline_id),
        on=task.on,
        lead=deadlines.Lead(task.lead, deadlines.Unit(task.lead_unit)),
        takes=deadlines.Lead(task.takes),
        done_on=task.done_on,
        dropped=task.state == Task.State.DROPPED,
    )
