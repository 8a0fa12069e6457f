"""Reading one row of a sheet: its values, and the rows its links lead to."""

import csv
from dataclasses import dataclass, field
from functools import cache

from django.db.models import Model

from studio.workbook.grids import Broken
from studio.workbook.kinds import Misread, clean_line
from studio.workbook.layout import Link, follow
from studio.workbook.library import NotFound, absences, flat_key, key_parts
from studio.workbook.sheets import RECORDS
from studio.workbook.tables import Problem

BLANK = object()  # nothing stands in the cell
BAD = object()  # something stands there that has been reported already
SEPARATOR, BAR = ";", "|"


def join_names(names):
    """Write names into one cell; one with a semicolon or a quote in it stands in quotes."""
    return f"{SEPARATOR} ".join(_in_quotes(name, SEPARATOR) for name in names)


def _in_quotes(name, separator):
    if separator not in name and not name.startswith('"'):
        return name
    doubled = name.replace('"', '""')
    return f'"{doubled}"'


def one_name(parts):
    """Write the parts of a row's key as one name; empty ones at the end are left out."""
    parts = [clean_line(part or "") for part in parts]
    if len(parts) == 1:
        return parts[0]
    while len(parts) > 1 and not parts[-1]:
        parts.pop()
    return f" {BAR} ".join(_in_quotes(part, BAR) for part in parts)


def cut_name(name, count):
    """Return the `count` parts of a name, those left out empty; None where there are more."""
    parts = next(csv.reader([name], delimiter=BAR, skipinitialspace=True), [])
    parts = [clean_line(part) for part in parts]
    return None if len(parts) > count else (*parts, *[""] * (count - len(parts)))


def cut_names(text):
    """Return the names in one cell, cut at semicolons and line ends."""
    text = SEPARATOR.join(text.splitlines())
    lines = csv.reader([text], delimiter=SEPARATOR, skipinitialspace=True)
    return [clean_line(name) for name in next(lines, [])]


@dataclass
class Draft:
    """What one row says of one record: `values` by field, `manys` by field as sets of rows.

    found: the row each link leads to; spelled: the key it was looked for by, found or not.
    """

    record: object
    number: int
    key: tuple = ()
    values: dict = field(default_factory=dict)
    manys: dict = field(default_factory=dict)
    found: dict = field(default_factory=dict)
    spelled: dict = field(default_factory=dict)
    cells: dict = field(default_factory=dict)
    sound: bool = True


@cache
def kinds_of(sheet):
    """Return how each heading of `sheet` is read: by its own column or the key it stands for."""
    kinds = {}
    for record in sheet.records:
        for item in record.items:
            if isinstance(item, Link):
                parts = key_parts(RECORDS[item.to])[-len(item.by) :]
                for heading, (owner, column) in zip(item.by, parts, strict=True):
                    kinds.setdefault(heading, owner.kinds[column.heading])
            elif item.heading in record.kinds:
                kinds[item.heading] = record.kinds[item.heading]
    return kinds


class Reader:
    """Reads the rows of one table; what cannot be read is added to `problems`."""

    def __init__(self, table, library, problems):
        self.table, self.library, self.problems = table, library, problems
        self.kinds = kinds_of(table.sheet)
        self.columns = {
            heading: self.kinds[heading].column(row.cells.get(heading) for row in table.rows)
            for heading in table.headings
            if heading in self.kinds
        }
        self._reported = set()
        self.cells = {row.number: self._cells(row) for row in table.rows}

    def problem(self, number, heading, value, advice):
        """Report a problem of one cell, once."""
        if (number, heading) not in self._reported:
            self._reported.add((number, heading))
            shown = "" if value in (None, BLANK, BAD) else str(value)[:80]
            self.problems.append(Problem(self.table.sheet.name, number, heading, shown, advice))

    def _cells(self, row):
        """Return what the row says under each heading: a value, BLANK or BAD."""
        return {heading: self._cell(row, heading) for heading in self.table.headings}

    def _cell(self, row, heading):
        value, kind = row.cells.get(heading), self.kinds.get(heading)
        if value is None:
            return BLANK
        try:
            if isinstance(value, Broken):
                raise Misread(value.advice)
            read = value if kind is None else kind.read(value, self.columns[heading])
        except Misread as error:
            self.problem(row.number, heading, value, str(error))
            return BAD
        return BLANK if read in ("", None) else read

    def draft(self, record, number):
        """Return the Draft of `record` on row `number`; None where the row holds none."""
        cells = self.cells[number]
        if record.unless and cells.get(record.unless, BLANK) is BLANK:
            return None
        draft = Draft(record, number, cells=cells)
        for item in record.items:
            if isinstance(item, Link) and item.to != record.name:
                self.link(draft, item)
        for column in record.columns:
            self._column(draft, column)
        for many in record.manys:
            self._many(draft, many)
        return draft

    def _column(self, draft, column):
        """Put the column's value into the draft; an absent column leaves its field alone."""
        kind, value = draft.record.kinds[column.heading], draft.cells.get(column.heading)
        in_key = column.field in draft.record.key
        if value is None and not in_key:
            return
        if value is BAD:
            draft.sound = False
        elif value not in (None, BLANK):
            draft.values[column.field] = value
        elif column.usual or kind.optional:
            draft.values[column.field] = self._usual(column) if column.usual else kind.empty
        else:
            self._needed(draft, column.heading)

    def _usual(self, column):
        return getattr(self.library.studio, column.usual)

    def _needed(self, draft, heading):
        draft.sound = False
        self.problem(draft.number, heading, None, f"Write the {heading}: this row needs it.")

    def link(self, draft, link):
        """Put the row that `link` leads to into the draft."""
        own = draft.record.own(link)
        needed = link.field in draft.record.key or not link.stored
        if not any(heading in draft.cells for heading in own) and not (needed and link.required):
            return
        if not link.required and all(draft.cells.get(h, BLANK) is BLANK for h in own):
            self._found(draft, link, None)
            return
        key = self._link_key(draft, link)
        if key is None:
            draft.sound = False
            return
        draft.spelled[link.field] = key
        target, heading = RECORDS[link.to], draft.record.heading(link)
        first = link.by.index(own[0]) if own else len(link.by)
        try:
            row = self.library.find(target, key, len(key) - len(link.by) + first)
        except NotFound as error:
            place = error.place - (len(key) - len(link.by))
            heading = link.by[place] if place >= 0 else heading
            self.problem(draft.number, heading, draft.cells.get(heading), error.advice)
            row = None
        if row is None:
            draft.sound = False
        else:
            self._found(draft, link, row)

    @staticmethod
    def _found(draft, link, row):
        draft.found[link.field] = row
        if link.stored:
            draft.values[link.field] = row

    def _link_key(self, draft, link):
        """Return the flat key that a link's cells spell, or None where it cannot be told."""
        before = ()
        if link.under:
            above = self._from(draft, link.under)
            if above is None:
                if draft.sound:
                    advice = "The entry has no requirement set yet. Name it in the sheet “entries”."
                    self.problem(draft.number, link.by[0], draft.cells.get(link.by[0]), advice)
                return None
            record = RECORDS[link.to]
            before = flat_key(RECORDS[record.by_field[record.key[0]].to], above)
        parts = key_parts(RECORDS[link.to])[-len(link.by) :]
        absent = self._absent(draft, link)
        spelled = tuple(
            None
            if place in absent
            else self._part(draft, link, heading, owner.kinds[column.heading], column)
            for place, (heading, (owner, column)) in enumerate(zip(link.by, parts, strict=True))
        )
        return None if BAD in spelled else before + spelled

    @staticmethod
    def _absent(draft, link):
        """Return the places in `link.by` of what the other row goes without: its name is empty."""
        target = RECORDS[link.to]
        skipped = len(key_parts(target)) - len(link.by)
        gaps = [range(gap.start - skipped, gap.stop - skipped) for gap in absences(target)]
        blank = [
            gap for gap in gaps if gap[0] >= 0 and draft.cells.get(link.by[gap[-1]], BLANK) is BLANK
        ]
        return {place for gap in blank for place in gap}

    def _part(self, draft, link, heading, kind, column):
        value = draft.cells.get(heading, BLANK)
        if value is not BLANK:
            return value
        if heading in link.fill:
            filled = self._from(draft, link.fill[heading])
            if isinstance(filled, Model):
                filled = filled.name
            return BAD if filled is None else filled
        if column.usual:
            return self._usual(column)
        if not kind.optional:
            self._needed(draft, heading)
            return BAD
        return kind.empty

    def _from(self, draft, path):
        """Follow `path` from the links that this row has resolved so far."""
        first, _, rest = path.partition(".")
        start = draft.found.get(first)
        return follow(start, rest) if rest else start

    def _many(self, draft, many):
        """Put the rows that one cell names into the draft."""
        text = draft.cells.get(many.heading)
        if text is None or text is BAD:
            return
        target, found = RECORDS[many.to], set()
        for name in [] if text is BLANK else self._names(target, str(text)):
            try:
                row = self._named(target, name)
            except NotFound as error:
                self.problem(draft.number, many.heading, name, error.advice)
                row = None
            if row is None:
                draft.sound = False
            else:
                found.add(row)
        draft.manys[many.field] = found

    def _named(self, target, name):
        """Return the row of this name, of several parts or of one; raise NotFound."""
        if len(target.key) == 1:
            return self.library.find(target, (name,))
        key = cut_name(name, len(target.key))
        if key is None:
            wanted = f" {BAR} ".join(column.heading for _, column in key_parts(target))
            raise NotFound(0, f"Write it as {wanted}; two of them with a semicolon between.")
        return self.library.find(target, key)

    def _names(self, target, text):
        """Cut a list of names at semicolons and line ends, and at commas where no name has one."""
        for part in cut_names(text):
            whole = len(target.key) > 1 or self.library.near(target, (part,))
            pieces = [part] if whole else part.split(",")
            yield from filter(None, map(clean_line, pieces))
