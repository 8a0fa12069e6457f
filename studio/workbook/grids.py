"""A sheet as rows of cells, out of an .xlsx or a .csv, before anybody asks what it means."""

import csv
import io
import re
import warnings
from dataclasses import dataclass
from pathlib import PurePath

import openpyxl

from studio.workbook.kinds import UNSEEN

MAX_ROWS = 20_000
MAX_COLUMNS = 120
SAMPLE_ROWS = 10
DELIMITERS = ",;\t|"
RUN = "=+-@\t\r\n＝＋－＠'"  # what a cell may begin with to be run as a formula, and our own mark
MARK = "'"
CONTROL = re.compile("[\x00-\x08\x0e-\x1f]")
ERRORS = "This cell shows an error of the spreadsheet. Correct its formula or write the value."

csv.field_size_limit(1_000_000)


class CannotRead(Exception):
    """A file that is not a workbook of ours. The message says what it is and what to do."""


@dataclass(frozen=True)
class Broken:
    """A cell that shows no value of its own. `advice` says what to do."""

    shown: str
    advice: str

    def __str__(self):
        return self.shown


@dataclass(frozen=True)
class Grid:
    """One sheet.

    rows: (number as the spreadsheet shows it, cells); rows without anything in them are left out.
    """

    name: str
    file: str
    rows: tuple


def blank(value):
    """Whether a cell holds nothing that can be seen."""
    return value is None or (isinstance(value, str) and not UNSEEN.sub("", value).strip())


def _grid(name, file, rows):
    kept = []
    for number, cells in rows:
        cells = [None if blank(cell) else cell for cell in cells[:MAX_COLUMNS]]
        if any(cell is not None for cell in cells):
            kept.append((number, cells))
        if len(kept) > MAX_ROWS:
            raise CannotRead(f"“{name}” has more than {MAX_ROWS} rows. Load it in parts.")
    return Grid(name, file, tuple(kept))


def read_xlsx(file, content, formulas=False):
    """Return the Grids of an .xlsx file; formulas: some cell holds one."""
    try:
        with warnings.catch_warnings():
            warnings.simplefilter("ignore")  # about decorations that are not read anyway
            grids = _sheets(file, content, _values)
            return _with_lost_formulas(grids, file, content) if formulas else grids
    except CannotRead:
        raise
    except Exception as error:  # a damaged workbook can fail anywhere inside the parser
        raise CannotRead(f"{file} is damaged. Save it again as .xlsx and load that.") from error


def _sheets(file, content, cells, **options):
    book = openpyxl.load_workbook(
        io.BytesIO(content), read_only=True, data_only=cells is _values, keep_links=False
    )
    try:
        return [
            _grid(sheet.title, file, enumerate(map(cells, _rows(sheet)), start=1))
            for sheet in book.worksheets
        ]
    finally:
        book.close()


def _rows(sheet):
    sheet.reset_dimensions()  # what a file says of its own size is often wrong
    return sheet.iter_rows(max_col=MAX_COLUMNS)


def _values(row):
    return [
        Broken(str(cell.value), ERRORS) if cell.data_type == "e" else cell.value for cell in row
    ]


def _formulas(row):
    return [cell.coordinate if cell.data_type == "f" else None for cell in row]


def _with_lost_formulas(grids, file, content):
    """Mark the cells that hold a formula whose value was never reckoned."""
    return [
        _grid(grid.name, file, _marked(dict(grid.rows), dict(found.rows)))
        for grid, found in zip(grids, _sheets(file, content, _formulas), strict=True)
    ]


def _marked(values, formulas):
    for number in sorted(values | formulas):
        cells = list(values.get(number, ()))
        names = formulas.get(number, ())
        cells += [None] * (len(names) - len(cells))
        for place, name in enumerate(names):
            if name and cells[place] is None:
                cells[place] = Broken(
                    f"formula in {name}",
                    f"Cell {name} holds a formula without a value. Open the file in your "
                    "spreadsheet program, save it there, and load it again; or write the value.",
                )
        yield number, cells


def read_csv(file, content):
    """Return the Grid of a .csv file in whatever encoding and with whatever separator."""
    text = _decoded(file, content)
    if CONTROL.search(text):
        raise CannotRead(f"{file} is not a spreadsheet: it is neither .xlsx nor text.")
    told = re.match(r"sep=(.)\r?\n", text)
    delimiter = told[1] if told else _delimiter(text)
    lines = csv.reader(io.StringIO(text, newline=""), delimiter=delimiter)
    try:
        rows = [(number, list(map(unquoted, row))) for number, row in enumerate(lines, start=1)]
    except csv.Error as error:
        raise CannotRead(f"{file} cannot be read as .csv: {error}.") from error
    return _grid(PurePath(file).stem, file, rows[1:] if told else rows)


def _decoded(file, content):
    for mark, encoding in (
        (b"\xef\xbb\xbf", "utf-8-sig"),
        (b"\xff\xfe", "utf-16"),
        (b"\xfe\xff", "utf-16"),
    ):
        if content.startswith(mark):
            return _decode(file, content, encoding)
    if b"\x00" in content[:200]:
        big = content[:200:2].count(0) > content[1:200:2].count(0)
        return _decode(file, content, "utf-16-be" if big else "utf-16-le")
    try:
        return content.decode("utf-8")
    except UnicodeDecodeError:
        return _decode(file, content, "cp1252")


def _decode(file, content, encoding):
    try:
        return content.decode(encoding)
    except UnicodeDecodeError as error:
        raise CannotRead(
            f"{file} is not a spreadsheet, or its letters are in a code nobody knows. "
            "Save it as .csv (UTF-8) or .xlsx."
        ) from error


def _delimiter(text):
    """Return the separator that cuts the first rows into most cells."""
    return max(DELIMITERS, key=lambda delimiter: _cells(text, delimiter))


def _cells(text, delimiter):
    lines = csv.reader(io.StringIO(text[:20_000], newline=""), delimiter=delimiter)
    try:
        return sum(len(row) - 1 for row, _ in zip(lines, range(SAMPLE_ROWS), strict=False))
    except csv.Error:
        return 0


def quoted(text):
    """Return `text` so that no spreadsheet runs it when it opens a .csv."""
    return MARK + text if text.startswith(tuple(RUN)) else text


def unquoted(text):
    """Take back what `quoted` did."""
    return text[1:] if text.startswith(MARK) and text[1:].startswith(tuple(RUN)) else text
