"""Which sheet of ours a grid is, where its headings stand, and what each row holds under them."""

import re
from dataclasses import dataclass, field

from studio.workbook.kinds import closest
from studio.workbook.layout import Column
from studio.workbook.sheets import SHEETS

HEADING_ROWS = 12
COPY = re.compile(r"\s*\(\d+\)$")


@dataclass(frozen=True)
class Problem:
    """Something to put right in the file before anything is written. row: None: the whole sheet."""

    sheet: str
    row: int | None
    column: str
    value: str
    advice: str


@dataclass(frozen=True)
class Row:
    """One row: its number in the spreadsheet, and the cells that hold something, by heading."""

    number: int
    cells: dict


@dataclass(frozen=True)
class Table:
    """A grid that has been recognised.

    headings: those of the sheet that are there.
    """

    sheet: object
    headings: frozenset
    rows: tuple


@dataclass
class Reading:
    """All recognised tables of a workbook by the sheet's name, with what was found on the way."""

    tables: dict = field(default_factory=dict)
    problems: list = field(default_factory=list)
    notes: list = field(default_factory=list)


def bare(text):
    """Return `text` without what makes no difference in a name: capitals, spaces, hyphens."""
    return re.sub(r"[\W_]+", "", str(text).casefold())


def read_tables(grids):
    """Return the Reading of `grids`."""
    reading = Reading()
    found = {}
    for grid in grids:
        sheet = _sheet(grid.name)
        if sheet is None:
            _unknown_sheet(reading, grid, grids)
        elif sheet.name in found:
            advice = "This sheet comes twice. Keep one of the two."
            reading.problems.append(Problem(grid.name, None, "", grid.file, advice))
        else:
            found[sheet.name] = _table(reading, sheet, grid)
    # In the order of SHEETS, whatever the order in the file: links lead backwards only.
    reading.tables = {sheet.name: found[sheet.name] for sheet in SHEETS if found.get(sheet.name)}
    if not found and not reading.problems:
        names = ", ".join(sheet.name for sheet in SHEETS)
        advice = f"No sheet is one of the workbook's. They are called: {names}."
        reading.problems.append(Problem(grids[0].name, None, "", grids[0].file, advice))
    return reading


def _sheet(name):
    """Find a sheet by name; programs save “Season - students (2).csv”."""
    name = COPY.sub("", name.strip())
    known = {bare(sheet.name): sheet for sheet in SHEETS}
    return known.get(bare(name)) or known.get(bare(name.rsplit(" - ", 1)[-1]))


def _unknown_sheet(reading, grid, grids):
    there = {_sheet(other.name).name for other in grids if _sheet(other.name)}
    near = closest(grid.name, [sheet.name for sheet in SHEETS if sheet.name not in there])
    if not grid.rows:
        return
    if near:
        advice = f"No sheet has this name. Did you mean “{near}”? Rename it, or remove it."
        reading.problems.append(Problem(grid.name, None, "", grid.file, advice))
    else:
        reading.notes.append(f"The sheet “{grid.name}” is not one of the workbook's: not read.")


def names_of(sheet):
    """Return every heading of `sheet` as `bare` writes it, and what else it may be called."""
    names = {bare(heading): heading for heading in sheet.headings}
    for record in sheet.records:
        for item in record.items:
            if isinstance(item, Column):
                field_ = record.model._meta.get_field(item.field)
                for name in (field_.verbose_name, field_.name):
                    names.setdefault(bare(name), item.heading)
    return names


def _table(reading, sheet, grid):
    """Return the Table of a grid, or None where its headings make no sense."""
    if not grid.rows:
        return None
    names = names_of(sheet)
    start = _heading_row(grid, names)
    if start is None:
        wanted = ", ".join(sheet.headings[:6])
        advice = f"There is no row of headings near the top. It should say: {wanted} …"
        reading.problems.append(Problem(sheet.name, None, "", "", advice))
        return None
    columns = _columns(reading, sheet, grid, start, names)
    rows = []
    for number, cells in grid.rows[start + 1 :]:
        held = {
            heading: cells[place]
            for place, heading in columns.items()
            if place < len(cells) and cells[place] is not None
        }
        if held:
            rows.append(Row(number, held))
    return Table(sheet, frozenset(columns.values()), tuple(rows))


def _heading_row(grid, names):
    """Return the place, among the first rows, of the one that holds most headings."""
    counts = [_headings_in(cells, names) for _, cells in grid.rows[:HEADING_ROWS]]
    best = max(counts)
    return counts.index(best) if best else None


def _headings_in(cells, names):
    held = [cell for cell in cells if cell is not None]
    found = {names.get(bare(cell)) for cell in held} - {None}
    # One word alone above a table is a title, even where a column is called the same.
    return len(found) if len(held) > 1 or len(cells) == 1 else 0


def _columns(reading, sheet, grid, start, names):
    """Return the heading of each column, looking upwards where a heading spans two rows."""
    columns, unknown, seen = {}, {}, {}
    width = max(len(cells) for _, cells in grid.rows[: start + 1])
    for place in range(width):
        text = _text_above(grid, start, place, names)
        heading = names.get(bare(text)) if text is not None else None
        if heading in seen and heading is not None:
            advice = f"The column “{heading}” comes twice. Keep one of the two."
            reading.problems.append(Problem(sheet.name, grid.rows[start][0], text, "", advice))
        elif heading:
            columns[place] = seen[heading] = heading
        elif text is not None and _is_used(grid, start, place):
            unknown[place] = text
    _unknown_columns(reading, sheet, grid.rows[start][0], unknown.values(), seen)
    return columns


def _is_used(grid, start, place):
    return any(_cell(cells, place) is not None for _, cells in grid.rows[start + 1 :])


def _cell(cells, place):
    return cells[place] if place < len(cells) else None


def _text_above(grid, start, place, names):
    text = _cell(grid.rows[start][1], place)
    if text is None:
        above = (_cell(cells, place) for _, cells in reversed(grid.rows[:start]))
        text = next((cell for cell in above if cell is not None and bare(cell) in names), None)
    return None if text is None else " ".join(str(text).split())


def _unknown_columns(reading, sheet, number, unknown, seen):
    for text in unknown:
        near = closest(text, [heading for heading in sheet.headings if heading not in seen])
        if near:
            advice = f"No column has this heading. Did you mean “{near}”? Rename or remove it."
            reading.problems.append(Problem(sheet.name, number, text, "", advice))
        else:
            reading.notes.append(f"{sheet.name}: the column “{text}” is not read.")
