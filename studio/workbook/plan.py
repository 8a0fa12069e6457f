"""What loading a workbook would do: rows to create, to change and to leave alone, and problems.

Nothing is written here. Rows are changed in memory only, so that a plan is good for one use.
"""

import hashlib
from dataclasses import dataclass, field
from functools import cached_property

from django.core.exceptions import NON_FIELD_ERRORS, ValidationError

from studio.entries.tasks import brought, task_name
from studio.workbook.layout import Column, Link
from studio.workbook.library import Library, linked_key, loosened
from studio.workbook.rows import BLANK, Reader
from studio.workbook.sheets import RECORDS, SHEETS
from studio.workbook.tables import read_tables


@dataclass(frozen=True)
class Difference:
    """One field that changes, as a teacher sees it."""

    heading: str
    before: str
    after: str


@dataclass
class Step:
    """One row of the studio that is created or changed.

    fields: names of the columns to write; manys: sets of rows by many-to-many field.
    """

    record: object
    row: object
    number: int
    new: bool
    fields: list = field(default_factory=list)
    manys: dict = field(default_factory=dict)
    differences: list = field(default_factory=list)

    @property
    def label(self):
        """The row by name."""
        return str(self.row)


@dataclass
class SheetPlan:
    """What happens to the rows of one sheet. absent: rows of the studio that it does not name."""

    name: str
    created: list = field(default_factory=list)
    changed: list = field(default_factory=list)
    same: int = 0
    absent: int = 0


@dataclass
class Plan:
    """What loading would do. sheets: SheetPlans in order; drawn: (entry, tasks to come) pairs."""

    studio: object
    sheets: list = field(default_factory=list)
    problems: list = field(default_factory=list)
    notes: list = field(default_factory=list)
    drawn: dict = field(default_factory=dict)
    tasks_sheet: bool = False
    task_rows: int = 0

    @property
    def steps(self):
        """Every Step in the order in which it can be written."""
        return [step for sheet in self.sheets for step in (*sheet.created, *sheet.changed)]

    @property
    def created(self):
        """How many rows would be added."""
        return sum(len(sheet.created) for sheet in self.sheets)

    @property
    def changed(self):
        """How many rows would be changed."""
        return sum(len(sheet.changed) for sheet in self.sheets)

    @property
    def same(self):
        """How many rows stay as they are."""
        return sum(sheet.same for sheet in self.sheets)

    @property
    def absent(self):
        """How many rows of the studio the workbook does not name."""
        return sum(sheet.absent for sheet in self.sheets)

    @property
    def tasks_drawn(self):
        """How many tasks the deadlines and lead times would add."""
        return sum(self.drawn.values())

    @property
    def draws_up(self):
        """Whether the tasks are drawn up unless told otherwise: a tasks sheet brings its own."""
        return not self.tasks_sheet

    @cached_property
    def digest(self):
        """Return a text that is the same only for a plan that does the same."""
        told = hashlib.sha256(repr([self.problems, sorted(self.drawn.values())]).encode())
        for step in self.steps:
            line = (step.record.name, step.number, step.new, step.label, step.differences)
            told.update(repr(line).encode())
        return told.hexdigest()


def plan(studio, grids):
    """Return the Plan of loading `grids` into `studio`."""
    return Planner(studio, read_tables(grids)).plan


class Planner:
    """Makes one Plan, sheet by sheet in the order in which rows need each other."""

    def __init__(self, studio, reading):
        self.library = Library(studio)
        self.plan = Plan(studio, problems=reading.problems, notes=reading.notes)
        self.new = {}
        for sheet in SHEETS:
            if table := reading.tables.get(sheet.name):
                self._sheet(table)
        tasks = reading.tables.get("tasks")
        self.plan.tasks_sheet = tasks is not None
        self.plan.task_rows = len(tasks.rows) if tasks else 0
        self._draw_up()
        order = {sheet.name: place for place, sheet in enumerate(SHEETS)}
        self.plan.problems.sort(key=lambda p: (order.get(p.sheet, -1), p.row or 0))

    def _sheet(self, table):
        found = SheetPlan(table.sheet.name)
        self.plan.sheets.append(found)
        for record in table.sheet.records:
            self.library.open(record)
        reader = Reader(table, self.library, self.plan.problems)
        for record in table.sheet.records:
            self._record(table, reader, record, found)

    def _record(self, table, reader, record, found):
        """Plan all rows of one record: make them known first, compare them, and check them last:
        the rules of one row may look at what another says."""
        there = len(self.library.rows[record.name])
        drafts = self._drafts(table, reader, record)
        known = [(draft, *self._known(record, draft)) for draft in drafts]
        steps = [(draft, self._step(reader, draft, row, new)) for draft, row, new in known]
        for draft, step in steps:
            if step is None:
                found.same += 1
                continue
            (found.created if step.new else found.changed).append(step)
            if draft.sound:
                self._check(reader, draft, step.row)
        found.absent += there - sum(not new for *_, new in known)
        self.new[record.name] = [row for _, row, new in known if new]
        self.new[record.name] += [s.row for s in found.changed if "kind" in s.fields]

    def _drafts(self, table, reader, record):
        """Return the sound drafts of a record, each key once."""
        head = record is not table.sheet.records[-1]
        by_key, by_loose, given = {}, {}, {}
        for line in table.rows:
            draft = reader.draft(record, line.number)
            if draft is None or not self._keyed(record, draft):
                continue
            first = by_key.get(draft.key)
            if first is None:
                by_key[draft.key] = draft
                self._warn_of_near(reader, record, draft, by_loose)
            elif not head:
                self._repeats(reader, record, draft, first)
            if head:
                self._agree(reader, record, draft, by_key[draft.key], given)
        return by_key.values()

    def _keyed(self, record, draft):
        """Set the draft's key; where it leads nowhere, leave a ghost for the rows that want it."""
        parts, whole = [], True
        for name in record.key:
            item = record.by_field[name]
            if isinstance(item, Column):
                if name not in draft.values:
                    return False
                parts.append(draft.values[name])
            elif name in draft.found or name not in draft.spelled and not item.required and whole:
                parts.extend(linked_key(item, draft.found.get(name)))
            elif name in draft.spelled:
                parts.extend(draft.spelled[name])
                whole = False
            else:
                return False
        if not whole:
            self.library.add_ghost(record, tuple(parts))
            return False
        draft.key = tuple(parts)
        return True

    @staticmethod
    def _name_heading(record):
        """Return the heading to blame for a whole row."""
        return record.heading(record.by_field[record.key[-1]])

    def _repeats(self, reader, record, draft, first):
        heading = self._name_heading(record)
        reader.problem(
            draft.number,
            heading,
            draft.cells.get(heading),
            f"Row {draft.number} repeats row {first.number}. Keep one of the two.",
        )

    def _warn_of_near(self, reader, record, draft, by_loose):
        """Report a name that differs from another only in capitals or spaces."""
        if record.cased or self.library.get(record, draft.key):
            return
        heading = self._name_heading(record)
        shown = draft.cells.get(heading)
        values = [draft.values.get(name) for name in record.key]
        first = by_loose.setdefault(loosened(values), draft)
        if first is not draft:
            advice = (
                f"Row {first.number} is the same but for capitals. Keep one of the two; if they "
                "are two, tell them apart in the name."
            )
            reader.problem(draft.number, heading, shown, advice)
        elif near := self._near(record, draft):
            advice = (
                f"The studio has “{near}”. Write it the same way here; to rename it, "
                "edit it on its own page first."
            )
            reader.problem(draft.number, heading, shown, advice)

    def _near(self, record, draft):
        """Return the row that has the same links and, but for capitals, the same name."""
        links = [name for name in record.key if isinstance(record.by_field[name], Link)]
        for _, row in self.library.near(record, draft.key):
            if all(getattr(row, name) is draft.values.get(name) for name in links):
                return row
        return None

    def _agree(self, reader, record, draft, first, given):
        """Let rows of the same set complete each other; report where they contradict."""
        for column in record.columns:
            cell = draft.cells.get(column.heading, BLANK)
            if column.field in record.key or cell is BLANK or column.field not in draft.values:
                continue
            said = given.setdefault((draft.key, column.field), (cell, draft.number))
            if said[0] == cell:
                first.values[column.field] = cell
            else:
                advice = f"Row {said[1]} says otherwise of the same set. Write it on one row only."
                reader.problem(draft.number, column.heading, cell, advice)

    def _known(self, record, draft):
        """Return (row, whether it is new), adding it to the library where it is."""
        if (row := self.library.get(record, draft.key)) is not None:
            return row, False
        key_values = {name: draft.values.get(name) for name in record.key}
        return self.library.add_new(record, draft.key, **key_values), True

    def _step(self, reader, draft, row, new):
        """Set the draft's values on `row` and return the Step, or None where nothing changes."""
        for link in draft.record.links:
            if link.to == draft.record.name:
                reader.link(draft, link)
        step = Step(draft.record, row, draft.number, new)
        for name, value in draft.values.items():
            self._set(step, name, value)
        for name, rows in draft.manys.items():
            self._set_many(step, name, rows)
        if new:
            self._complete(reader, draft)
        return step if new or step.fields or step.manys else None

    def _set(self, step, name, value):
        if step.new:
            setattr(step.row, name, value)
            return
        item, before = step.record.by_field[name], getattr(step.row, name)
        if isinstance(item, Column):
            kind = step.record.kinds[item.heading]
            same, shown = kind.same(before, value), kind.write
        else:
            same, shown = before is value, _shown
        if not same:
            setattr(step.row, name, value)
            step.fields.append(name)
            heading = step.record.heading(item)
            change = Difference(heading, _text(shown(before)), _text(shown(value)))
            step.differences.append(change)

    def _set_many(self, step, name, rows):
        item = step.record.by_field[name]
        before = self.library.others(step.row, item)
        if before != rows:
            step.manys[name] = rows
            step.differences.append(Difference(item.heading, names(before), names(rows)))

    @staticmethod
    def _complete(reader, draft):
        """Report what a new row needs and the sheet has no column for."""
        record = draft.record
        needed = [column for column in record.columns if not record.kinds[column.heading].optional]
        needed += [link for link in record.links if link.required]
        for item in needed:
            heading = record.heading(item)
            if item.field not in record.key and heading not in draft.cells:
                draft.sound = False
                advice = f"A new row needs this. Add the column “{heading}”."
                reader.problem(draft.number, heading, None, advice)

    @staticmethod
    def _check(reader, draft, row):
        """Ask the model's own rules."""
        try:
            row.clean()
        except ValidationError as error:
            by_name = hasattr(error, "error_dict")
            told = error.message_dict if by_name else {NON_FIELD_ERRORS: error.messages}
            for name, messages in told.items():
                item = draft.record.by_field.get(name)
                heading = "" if item is None else draft.record.heading(item)
                value = draft.cells.get(heading)
                reader.problem(draft.number, heading, value, " ".join(messages))

    def _draw_up(self):
        """Count the tasks that new entries, their days, and new deadlines would bring."""
        entries, deadlines = self.new.get("entries", []), self.new.get("deadlines", [])
        if not (entries or deadlines):
            return
        for name in ("entries", "deadlines", "tasks", "lead times"):
            self.library.open(RECORDS[name])
        touched = {deadline.audition for deadline in deadlines}
        wanted = set(entries) | {e for e in self.library.rows["entries"] if e.audition in touched}
        there = {(t.entry, t.deadline, t.name) for t in self.library.rows["tasks"]}
        rules, due = _grouped(self.library.rows["lead times"], "kind"), {}
        for deadline in self.library.rows["deadlines"]:
            due.setdefault(deadline.audition, []).append(deadline)
        for entry in wanted:
            missing = sum(
                (entry, deadline, task_name(rule, deadline)) not in there
                for deadline, rule in brought(entry, due.get(entry.audition, ()), rules)
            )
            if missing:
                self.plan.drawn[entry] = missing


def _grouped(rows, name):
    found = {}
    for row in rows:
        found.setdefault(getattr(row, name), []).append(row)
    return found


def _shown(row):
    return None if row is None else str(row)


def _text(value):
    if value is None:
        return "empty"
    return f"{value:%H:%M}" if hasattr(value, "hour") else str(value)


def names(rows):
    """Return the names of `rows` in one cell."""
    return "; ".join(sorted(str(row) for row in rows)) or "empty"
