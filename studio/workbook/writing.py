"""The studio's season as a workbook: an .xlsx, or the same sheets as .csv."""

import csv
import io
import zipfile
from datetime import date, time

from openpyxl import Workbook
from openpyxl.cell import WriteOnlyCell
from openpyxl.styles import Font
from openpyxl.utils import get_column_letter

from studio.workbook.grids import quoted
from studio.workbook.layout import Column, Link, follow
from studio.workbook.library import Library, flat_key, key_parts
from studio.workbook.rows import join_names, one_name
from studio.workbook.sheets import RECORDS, SHEETS

WIDEST, NARROWEST = 40, 9
LONGEST = 32_767  # letters that one cell of an .xlsx holds


class TooLong(Exception):
    """A text that no cell of an .xlsx can hold."""


def tables(studio):
    """Return (sheet, rows of cells by heading) for every sheet, in a lasting order."""
    library = Library(studio)
    return [(sheet, _rows(library, sheet)) for sheet in SHEETS]


def _rows(library, sheet):
    for record in sheet.records:
        library.open(record)
    head, *tail = [_sorted(library, record) for record in sheet.records]
    if not tail:
        return [_cells(library, sheet.records[0], row) for row in head]
    return list(_with_heads(library, sheet, head, tail[0]))


def _with_heads(library, sheet, heads, rows):
    """Yield each row with what is said of its head before it; a head without rows stands alone."""
    outer, inner = sheet.records
    link = inner.links[0].field
    by_head = {}
    for row in rows:
        by_head.setdefault(getattr(row, link), []).append(row)
    for head in heads:
        cells = _cells(library, outer, head)
        for row in by_head.get(head, ()):
            yield cells | _cells(library, inner, row)
        if head not in by_head:
            yield cells


def _sorted(library, record):
    rows = library.rows[record.name]
    return sorted((row for row in rows if _is_told(record, row)), key=_place(record))


def _place(record):
    """Return what sorts the rows of `record`."""

    def place(row):
        told = [follow(row, path) for path in record.order] or flat_key(record, row)
        return [_rank(value) for value in told]

    return place


def _is_told(record, row):
    """Leave out what no row could say: a piece for a requirement of a set not its entry's."""
    return all(
        getattr(row, link.field) is None
        or getattr(getattr(row, link.field), RECORDS[link.to].key[0]) == follow(row, link.under)
        for link in record.links
        if link.under
    )


def _rank(value):
    """Return what sorts `value`: nothing first, texts without regard to capitals."""
    if value is None:
        return (0,)
    return (1, value.casefold(), value) if isinstance(value, str) else (1, value)


def _cells(library, record, row):
    cells = {}
    for item in record.items:
        if isinstance(item, Column):
            cells[item.heading] = record.kinds[item.heading].write(getattr(row, item.field))
        elif isinstance(item, Link):
            cells.update(_link_cells(item, row))
        else:
            cells[item.heading] = _many_cell(library, item, row)
    return cells


def _many_cell(library, many, row):
    """Return the names of what a Many of `row` names, in the order of their own sheet."""
    target = RECORDS[many.to]
    others = sorted(library.others(row, many), key=_place(target))
    return join_names(one_name(_written_key(target, other)) for other in others) or None


def _link_cells(link, row):
    """Return the key of what a link leads to, under the link's headings."""
    if not link.stored:
        return {}
    other = getattr(row, link.field)
    if other is None:
        return {}
    told = zip(link.by, _written_key(RECORDS[link.to], other)[-len(link.by) :], strict=True)
    return {heading: value for heading, value in told if value is not None}


def _written_key(record, row):
    parts = []
    for name in record.key:
        item, value = record.by_field[name], getattr(row, name)
        if isinstance(item, Column):
            parts.append(record.kinds[item.heading].write(value))
        elif value is None:
            parts.extend([None] * len(key_parts(RECORDS[item.to])))
        else:
            parts.extend(_written_key(RECORDS[item.to], value))
    return parts


def write_xlsx(studio, *, empty=False):
    """Return the workbook as .xlsx bytes; empty: with headings only. Raises TooLong."""
    written = [(sheet, []) for sheet in SHEETS] if empty else tables(studio)
    for sheet, rows in written:
        _check_lengths(sheet, rows)
    book = Workbook(write_only=True)
    for sheet, rows in written:
        page = book.create_sheet(sheet.name)
        page.freeze_panes = "A2"
        for place, heading in enumerate(sheet.headings, start=1):
            page.column_dimensions[get_column_letter(place)].width = _width(heading, rows)
        page.append([_heading(page, heading) for heading in sheet.headings])
        for row in rows:
            page.append([_cell(page, row.get(name)) for name in sheet.headings])
    out = io.BytesIO()
    book.save(out)
    return out.getvalue()


def _check_lengths(sheet, rows):
    for row in rows:
        for heading, value in row.items():
            if isinstance(value, str) and len(value) > LONGEST:
                raise TooLong(
                    f"A text under “{heading}” in the sheet “{sheet.name}” has {len(value)} "
                    f"letters; a cell of an .xlsx holds {LONGEST}. Take the .csv instead."
                )


def _width(heading, rows):
    longest = max((len(str(row.get(heading) or "")) for row in rows), default=0)
    return max(NARROWEST, min(max(longest, len(heading)) + 2, WIDEST))


def _heading(page, text):
    cell = WriteOnlyCell(page, text)
    cell.font = Font(bold=True)
    return cell


def _cell(page, value):
    """Return a cell of the right type; a text can never run as a formula."""
    if not isinstance(value, str | date | time):
        return value
    cell = WriteOnlyCell(page, value)
    if isinstance(value, str):
        cell.data_type = "s"
        cell.quotePrefix = quoted(value) != value
    else:
        cell.number_format = "yyyy-mm-dd" if isinstance(value, date) else "hh:mm"
    return cell


def write_csvs(studio):
    """Return the workbook as [(file name, bytes)], one .csv a sheet."""
    return [(f"{sheet.name}.csv", _csv(sheet, rows)) for sheet, rows in tables(studio)]


def _csv(sheet, rows):
    out = io.StringIO(newline="")
    lines = csv.writer(out, quoting=csv.QUOTE_ALL)
    lines.writerow(sheet.headings)
    for row in rows:
        lines.writerow([_text(row.get(heading)) for heading in sheet.headings])
    return out.getvalue().encode("utf-8-sig")


def _text(value):
    if value is None:
        return ""
    if isinstance(value, time):
        return f"{value:%H:%M}" if not value.second else f"{value:%H:%M:%S}"
    if isinstance(value, str):
        return quoted(str(value))
    return f"{value:.0f}" if isinstance(value, float) and value.is_integer() else str(value)


def write_zip(studio):
    """Return the .csv sheets packed into one .zip."""
    out = io.BytesIO()
    with zipfile.ZipFile(out, "w", zipfile.ZIP_DEFLATED) as archive:
        for name, content in write_csvs(studio):
            archive.writestr(name, content)
    return out.getvalue()
