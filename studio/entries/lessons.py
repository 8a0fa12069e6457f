"""A lesson: all current pieces of one student on one day, and what it changed."""

from dataclasses import dataclass
from functools import cached_property

from django.db import transaction

from planner.readiness.words import points
from studio.entries import chances, words
from studio.entries.bridge import asked
from studio.entries.forms import HeardForm, LessonForm
from studio.entries.models import LessonCheck
from studio.entries.pace import learn_if_due
from studio.entries.parts import Part
from studio.students.models import Student

FIELDS = ("tempo", "target", *LessonCheck.MARKS, "memory", "note")


@dataclass(frozen=True)
class Problem:
    """A wrong value: where it stands on the page, and what to call it."""

    anchor: str
    label: str


@dataclass(frozen=True)
class Row:
    """One piece of the lesson. last, own: what was heard before, by the teacher and the student."""

    piece: object
    form: HeardForm
    last: str
    own: str
    note: str

    @property
    def problems(self):
        """The wrong values of this row."""
        for name in self.form.errors:
            field = self.form[name if name in self.form.fields else "tempo"]
            yield Problem(field.id_for_label, f"{self.piece.title}: {field.label}")


class Lesson:
    """The lesson page of a Season; `shown` is the day whose values it shows.

    A row counts where something was changed from what stood on the page, and where the day has a
    check already, only what was changed is written: a row left alone stays as it is, whatever day
    is chosen.
    """

    def __init__(self, season, shown, data=None):
        self.season, self.student = season, season.student
        self.today = self.student.studio.today
        self.names = self.student.studio.marks
        self.form = LessonForm(data, today=self.today, initial={"on": shown, "shown": shown})
        if data is not None and self.form.is_valid():
            shown = self.form.cleaned_data["shown"] or shown
        self.shown = shown
        self.rows = [self._row(piece, data) for piece in season.pieces]

    def _row(self, piece, data):
        checks = self.season.teacher_checks.get(piece.pk, [])
        there = next((check for check in checks if check.on == self.shown), None)
        before = [check for check in checks if check.on < self.shown]
        last = before[-1] if before else None
        own = self.season.own_checks.get(piece.pk, [])
        prefix = f"piece{piece.pk}"
        form = HeardForm(
            data if data and f"{prefix}-tempo" in data else None,  # given meanwhile: left alone
            prefix=prefix,
            names=self.names,
            initial=_initial(piece, there, last),
        )
        tempos = [check.tempo for check in before if check.tempo]
        if tempos:
            form.fields["tempo"].widget.attrs["placeholder"] = tempos[-1]
        said = self._said(last)
        return Row(piece, form, said, self._said(own[-1]) if own else "", last.note if last else "")

    def _said(self, check):
        if check is None:
            return ""
        return f"{words.heard(check, self.names)}, {words.ago(check.on, self.today)}"

    def begin(self):
        """Put the cursor into the first tempo."""
        for row in self.rows[:1]:
            row.form.fields["tempo"].widget.attrs["autofocus"] = True

    @property
    def marks_class(self):
        """The class that lays out as many marks as the studio gives."""
        return f"lesson-marks-{len(self.names)}"

    @property
    def is_again(self):
        """Whether the day shown has checks already."""
        checks = self.season.teacher_checks.values()
        return any(check.on == self.shown for some in checks for check in some)

    def is_valid(self):
        """Whether every value can be saved; all are, or none."""
        rows = [row.form.is_valid() for row in self.rows if row.form.is_bound]
        return self.form.is_valid() and all(rows)

    @property
    def problems(self):
        """Every wrong value of the page, in its order."""
        if self.form.errors:
            yield Problem(self.form["on"].id_for_label, "Date")
        for row in self.rows:
            yield from row.problems

    @cached_property
    def open_slots(self):
        """(entry, names) for each entry that asks for music which has no piece yet."""
        found = []
        for entry in self.season.live_entries:
            lines, _ = asked(entry)
            names = [line.requirement.name for line in lines if line.wanted and not line.begun]
            if names:
                found.append((entry, ", ".join(names)))
        return found

    def save(self, user):
        """Write what was changed, all or nothing; return the checks that were written."""
        on, teacher = self.form.cleaned_data["on"], LessonCheck.Source.TEACHER
        changed = [row for row in self.rows if row.form.is_bound and row.form.has_changed()]
        with transaction.atomic():
            Student.objects.select_for_update().get(pk=self.student.pk)  # two clicks, one check
            there = LessonCheck.objects.filter(student=self.student, on=on, source=teacher)
            by_piece = {check.piece_id: check for check in there}
            written = [_write(row, by_piece, self.student, on, user) for row in changed]
            if written:
                learn_if_due(self.student.studio)
            return written


def _initial(piece, there, last):
    """What stands in a row: the day's own check, or the target alone."""
    latest = there or last
    target = (latest and latest.target) or piece.target_tempo
    if there is None:
        return {"target": target, "memory": ""}
    return {name: getattr(there, name) for name in FIELDS} | {"target": target}


def _write(row, by_piece, student, on, user):
    """Write one row. A target is kept only where it is the student's own and not the piece's, so
    that raising the piece's reaches everybody else."""
    values, changed = row.form.cleaned_data, row.form.changed_data
    check = by_piece.get(row.piece.pk)
    if check is None:
        source = LessonCheck.Source.TEACHER
        check = LessonCheck(student=student, piece=row.piece, on=on, source=source)
        changed = values
    for name in changed:
        setattr(check, name, values[name])
    if check.target == row.piece.target_tempo:
        check.target = None
    check.by = user
    check.save()
    return check


def before(season, checks):
    """Return what stood before `checks` were written, plain enough for a session."""
    answer = season.next_answer
    return {
        "student": season.student.pk,
        "on": checks[0].on.isoformat(),
        "now": answer and answer.now,
        "pieces": {
            str(check.piece_id): {
                "tempo": _tempo_before(season, check),
                "now": season.piece_answers[check.piece_id].now,
            }
            for check in checks
        },
    }


def _tempo_before(season, check):
    earlier = season.teacher_checks.get(check.piece_id, [])
    tempos = [each.tempo for each in earlier if each.tempo and each.on <= check.on]
    return tempos[-1] if tempos else None


class Result:
    """What a lesson changed: per piece, and for the next audition.

    season: with the lesson's checks; before: what `before` returned.
    """

    def __init__(self, season, before):
        self.season, self.before = season, before
        self.entry, self.answer = season.next_entry, season.next_answer

    @property
    def lines(self):
        """A sentence for each piece that was checked."""
        return [
            self._line(piece, self.before["pieces"][str(piece.pk)])
            for piece in self.season.pieces
            if str(piece.pk) in self.before["pieces"]
        ]

    def _line(self, piece, was):
        checks = self.season.teacher_checks.get(piece.pk, [])
        check = next((each for each in checks if each.on.isoformat() == self.before["on"]), None)
        parts = [
            _change(was["tempo"], check and check.tempo),
            _change(was["now"], self.season.piece_answers[piece.pk].now, "readiness "),
        ]
        return f"{piece.title}: {', '.join(filter(None, parts)) or 'noted'}"

    @property
    def place(self):
        """The institution's short name."""
        return self.entry.audition.institution.short

    @property
    def readiness(self):
        """ "readiness 71 to 76", or "" while nothing is known."""
        return _change(self.before["now"], self.answer.now, "readiness ")

    @property
    def chance(self):
        """How likely all is ready in time, "" where it is not known."""
        return chances.at(self.season, self.answer)

    @property
    def range(self):
        """How sure the day is that it is expected, "" where there is no range."""
        return chances.in_range(self.answer, self.season.today)

    @cached_property
    def drawing(self):
        """The hairpin as it stands after the lesson."""
        return Part(self.season).drawing(640, 76)


def _change(was, now, word=""):
    if now is None:
        return ""
    if was is None:
        return f"{word}{points(now)}"
    if points(was) == points(now):
        return f"{word}{points(now)}, as before"
    return f"{word}{points(was)} to {points(now)}"
