"""The letters that the teacher writes: whose, where they go, by when. Nothing here queries."""

from dataclasses import dataclass
from functools import cached_property
from itertools import groupby

from planner.deadlines.wording import dated, listed
from studio.accounts.words import counted
from studio.entries.bridge import Season
from studio.entries.checklist import progress
from studio.entries.models import Doer, Entry, Task
from studio.institutions.models import Deadline
from studio.students.models import Student
from studio.week.book import monday

LATE = "Overdue"


@dataclass(frozen=True)
class Fact:
    """Something known of the student: a label, and one line or several."""

    label: str
    lines: tuple[str, ...]


class Letter:
    """One letter of one writer for one student, however many places it goes to.

    cues: bridge.Cue of its open tasks, the earliest first; undated: those without a date yet.
    """

    def __init__(self, season, writer, cues, undated=()):
        self.season, self.student = season, season.student
        self.writer, self.cues, self.undated = writer, cues, undated

    @property
    def key(self):
        """What tells it from the others of the page."""
        return f"{self.student.pk}-{self.writer.pk if self.writer else 0}"

    @property
    def due(self):
        """The day to plan for: the earliest of all places; None where none has a date."""
        return self.cues[0].due.plan_by if self.cues else None

    @property
    def late(self):
        """Whether a place waits for it already."""
        return any(cue.due.late_days for cue in self.cues)

    @property
    def by(self):
        """Who writes it."""
        return self.writer.name if self.writer else "the teacher"

    @property
    def places(self):
        """The short names of where it goes, each once."""
        entries = [entry for cue in self.cues for _, entry in cue.members]
        return list(dict.fromkeys(entry.audition.institution.short for entry in entries))

    @property
    def once(self):
        """ "One request for Fairmont and Norwood: write it once.", "" for a single place."""
        if len(self.places) < 2:
            return ""
        return f"One letter for {listed(self.places)}: write it once, send it to each."

    @property
    def todo(self):
        """What to do, in one sentence."""
        return f"{self.student}: {self.by} writes to {listed(self.places)}"

    @cached_property
    def facts(self):
        """What is recorded of the student, and nothing else."""
        return facts(self.season)


def is_letter(task):
    """Whether it is a letter that the teacher writes.

    One whose writer is a teacher of the studio, or one of a letter's deadline that the teacher
    does. What the student does about a letter, such as asking for it, is none.
    """
    if task.recommender:
        return task.recommender.is_ours and task.doer != Doer.STUDENT
    of_letter = task.deadline and task.deadline.kind == Deadline.Kind.LETTER
    return bool(of_letter) and task.doer == Doer.TEACHER


def letters(students, now):
    """Return the Letters still to be written for loaded students, the earliest first."""
    found = []
    for student in students:
        if any(is_letter(task) for e in student.entries.all() for task in e.tasks.all()):
            found += _of_student(Season(student, now))
    return sorted(found, key=_order)


def _order(letter):
    return letter.due is None, not letter.late, letter.due, letter.student.name, letter.by


def _of_student(season):
    """Yield a Letter for each writer."""
    writers = {}
    for cue in (*season.open_cues, *season.open_undated):
        if is_letter(cue.task) and cue.entry.is_live:
            writers.setdefault(cue.task.recommender_id, []).append(cue)
    for cues in writers.values():
        dated_cues = [cue for cue in cues if cue.dated]
        undated = [cue for cue in cues if not cue.dated]
        yield Letter(season, cues[0].task.recommender, dated_cues, undated)


def written(students):
    """Return (task, entry) of the letters that are done, the latest first."""
    done = [
        (task, entry)
        for student in students
        for entry in student.entries.all()
        for task in entry.tasks.all()
        if is_letter(task) and task.state == Task.State.DONE
    ]
    return sorted(done, key=lambda pair: (pair[0].done_on, pair[0].pk), reverse=True)


@dataclass(frozen=True)
class LetterWeek:
    """The letters to be written in one week."""

    title: str
    late: bool
    letters: tuple[Letter, ...]


class LettersPage:
    """All letters that the teacher writes. students: loaded by queries.with_music."""

    def __init__(self, students, today, now):
        self.today = today
        self.students = list(students)
        self.letters = letters(self.students, now)
        self.written = written(self.students)

    @cached_property
    def weeks(self):
        """LetterWeeks: what is late, week by week, what has no date."""
        return [
            LetterWeek(title, late, tuple(some))
            for (late, title), some in groupby(self.letters, self._heading)
        ]

    def _heading(self, letter):
        if letter.due is None:
            return False, "Without a date yet"
        if letter.late:
            return True, LATE
        first, this = monday(letter.due), monday(self.today)
        if first <= this:
            return False, "This week"
        return False, f"Week of {dated(first, self.today)}"

    @property
    def summary(self):
        """How many letters to how many places."""
        letters, places = len(self.letters), sum(len(one.places) for one in self.letters)
        late = sum(one.late for one in self.letters)
        told = f"{counted(letters, 'letter')} to {counted(places, 'place')}"
        return f"{told}, {late} overdue." if late else f"{told}."


def facts(season):
    """Return what is recorded of a student, as Facts; what is not recorded is not said."""
    student: Student = season.student
    found = (
        ("With the studio", [f"since {student.since:%-d %B %Y}"] if student.since else []),
        ("School year", [student.school_year] if student.school_year else []),
        ("Instrument", [_instruments(season)]),
        ("Pieces", [_piece(season, piece) for piece in season.pieces]),
        ("Auditions", [_audition(entry) for entry in season.live_entries]),
        ("Results", [_result(entry) for entry in season.entries if _has_result(entry)]),
    )
    return [Fact(label, tuple(lines)) for label, lines in found if lines]


def _instruments(season):
    own = season.student.instrument
    names = dict.fromkeys([own.name, *(entry.instrument.name for entry in season.entries)])
    return listed(list(names))


def _piece(season, piece):
    told = progress(piece, season.piece_answers.get(piece.pk))
    return f"{told.name}: {told.text}" if told.text else told.name


def _audition(entry):
    on = f"{entry.on:%-d %B %Y}" if entry.on else "no date yet"
    return f"{entry.audition}, {on}"


def _has_result(entry):
    return entry.result != Entry.Result.WAITING


def _result(entry):
    on = f", {entry.result_on:%-d %B %Y}" if entry.result_on else ""
    return f"{entry.audition}: {entry.get_result_display()}{on}"
