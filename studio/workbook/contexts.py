"""What the pages of the workbook show: its description, and what loading a file would do."""

from dataclasses import dataclass
from functools import cache

from studio.workbook.layout import Column, Link
from studio.workbook.sheets import RECORDS, SHEETS

SHOWN_PROBLEMS = 200
SHOWN_CHANGES = 200
SHOWN_NEW = 30


@dataclass(frozen=True)
class HeadingLine:
    """One column in the description of the workbook: its heading and what belongs there."""

    heading: str
    says: str
    needed: bool


@dataclass(frozen=True)
class SheetLines:
    """The description of one sheet. key: the headings that tell its rows apart, in words."""

    name: str
    about: str
    key: str
    lines: tuple


@cache
def description():
    """Return what each sheet and each heading is for, as SheetLines."""
    return tuple(
        SheetLines(sheet.name, sheet.about, _key(sheet), tuple(_lines(sheet))) for sheet in SHEETS
    )


def _key(sheet):
    record = sheet.records[-1]
    headings = {}
    for name in record.key:
        item = record.by_field[name]
        headings.update(dict.fromkeys(item.by if isinstance(item, Link) else (item.heading,)))
    *most, last = headings
    return f"{', '.join(most)} and {last}" if most else last


def _lines(sheet):
    told = set()
    for record in sheet.records:
        for item in record.items:
            for line in _item_lines(record, item):
                if line.heading not in told:
                    told.add(line.heading)
                    yield line


def _item_lines(record, item):
    if isinstance(item, Column):
        kind = record.kinds[item.heading]
        field = record.model._meta.get_field(item.field)
        usual = f"Empty: the studio's {item.usual}." if item.usual else kind.about_empty
        says = (kind.says, item.help or str(field.help_text), usual)
        needed = not kind.optional and not item.usual and item.heading != record.unless
        yield HeadingLine(item.heading, " ".join(filter(None, says)), needed)
    elif isinstance(item, Link):
        for heading in item.by:
            yield _link_line(item, heading)
    else:
        says = f"Names from the sheet “{item.to}”, separated by semicolons."
        yield HeadingLine(item.heading, " ".join(filter(None, [item.help, says])), False)


def _link_line(link, heading):
    if path := link.fill.get(heading):
        empty = f" Empty: the {path.replace('.', '’s ')}."
    elif heading == "season":
        empty = " Empty: the studio's season."
    else:
        empty = ""
    sheet = next(s.name for s in SHEETS if RECORDS[link.to] in s.records)
    optional = {"composer", "section", "level", "degree", "round"}
    needed = link.required and not empty and heading not in optional
    told = f"{link.help} " if link.help and heading == link.by[-1] else ""
    return HeadingLine(heading, f"{told}As in the sheet “{sheet}”.{empty}", needed)


@dataclass(frozen=True)
class Preview:
    """A Plan as the page shows it."""

    plan: object
    files: str

    @property
    def title(self):
        """What the page is called: it has problems or it can be loaded."""
        return "Not loaded yet" if self.plan.problems else "What loading would do"

    @property
    def problems(self):
        """The first problems, as many as the page shows."""
        return self.plan.problems[:SHOWN_PROBLEMS]

    @property
    def more_problems(self):
        """How many problems are not shown."""
        return len(self.plan.problems) - len(self.problems)

    @property
    def nothing_to_do(self):
        """Whether the studio holds all of it already."""
        return not self.plan.steps and not self.plan.problems

    @property
    def changed(self):
        """The rows that change, each with what was and what will be."""
        steps = [(s.name, step) for s in self.plan.sheets for step in s.changed]
        return steps[:SHOWN_CHANGES]

    @property
    def more_changed(self):
        """How many changed rows are not shown."""
        return self.plan.changed - len(self.changed)

    @property
    def created(self):
        """The new rows of each sheet: its name, the first of them by name, and how many more."""
        return [
            (
                sheet.name,
                [step.label for step in sheet.created[:SHOWN_NEW]],
                len(sheet.created),
                max(0, len(sheet.created) - SHOWN_NEW),
            )
            for sheet in self.plan.sheets
            if sheet.created
        ]

    @property
    def draw_up_first(self):
        """Whether drawing up the tasks is ticked beforehand: no row of the file brings one."""
        return not self.plan.task_rows
