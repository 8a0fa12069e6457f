"""What a sheet is made of: columns for values, and links that find other rows by their names.

A row is known by its natural key, never by a number of ours. A link takes the headings that make
up the other row's key, in the same order: an audition is found by institution, season, audition.
"""

from collections.abc import Mapping
from dataclasses import dataclass, field
from functools import cached_property

from studio.workbook.kinds import kind_of


@dataclass(frozen=True)
class Column:
    """One value of a row under one heading; the model's field says what may stand there.

    usual: the name of the Studio field that an empty cell means.
    """

    heading: str
    field: str
    help: str = ""
    usual: str = ""


@dataclass(frozen=True)
class Link:
    """Another row, found by what stands under the headings `by`.

    to: the name of the Record it leads to.
    under: path from what is already found on this row to the row whose key comes first.
    fill: headings that, left empty, mean what a path from this row's other links says.
    stored: False: only a step on the way to another link, not a field of the row.
    help: what the last of the headings is for, where the other sheet does not say.
    """

    field: str
    to: str
    by: tuple[str, ...]
    required: bool = True
    under: str = ""
    fill: Mapping[str, str] = field(default_factory=dict)
    stored: bool = True
    help: str = ""


@dataclass(frozen=True)
class Many:
    """Several other rows named in one cell, separated by semicolons.

    A name of several parts, such as a piece's, is written with a bar between them.
    """

    heading: str
    field: str
    to: str
    help: str = ""


@dataclass(frozen=True, eq=False)
class Record:
    """Everything the workbook holds of one model.

    key: the fields that tell two rows apart; links in it stand for the other row's whole key.
    items: Columns, Links and Manys in the order of their headings; links before what needs them.
    order: paths by which the rows are sorted when they are written; empty: by their key.
    cased: names that differ only in capitals are two rows (a work in C, a work in c).
    unless: heading that, left empty, says that the row holds no such record.
    """

    name: str
    model: type
    key: tuple[str, ...]
    items: tuple
    order: tuple[str, ...] = ()
    cased: bool = False
    unless: str = ""

    @cached_property
    def columns(self):
        """Its plain columns."""
        return tuple(item for item in self.items if isinstance(item, Column))

    @cached_property
    def links(self):
        """Its columns that name a row of another sheet."""
        return tuple(item for item in self.items if isinstance(item, Link))

    @cached_property
    def manys(self):
        """Its columns that name several rows of another sheet."""
        return tuple(item for item in self.items if isinstance(item, Many))

    @cached_property
    def by_field(self):
        """All of them by field."""
        return {item.field: item for item in self.items}

    @cached_property
    def kinds(self):
        """Return how the values of each Column are read and written, by heading."""
        return {
            item.heading: kind_of(self.model._meta.get_field(item.field)) for item in self.columns
        }

    @cached_property
    def headings(self):
        """Return every heading once, in order."""
        found = {}
        for item in self.items:
            found.update(dict.fromkeys(item.by if isinstance(item, Link) else (item.heading,)))
        return tuple(found)

    def own(self, link):
        """Return the headings that belong to `link` and to no link or column before it."""
        before = set()
        for item in self.items:
            if item is link:
                break
            before.update(item.by if isinstance(item, Link) else (item.heading,))
        return tuple(heading for heading in link.by if heading not in before)

    def heading(self, item):
        """Return the heading to name for an item: of a link, the last that is its own."""
        return (self.own(item) or item.by)[-1] if isinstance(item, Link) else item.heading


@dataclass(frozen=True, eq=False)
class Sheet:
    """One sheet of the workbook. With two records, the first stands on each row of the second."""

    name: str
    about: str
    records: tuple[Record, ...]

    @cached_property
    def headings(self):
        """Return every heading once, in order."""
        return tuple(dict.fromkeys(h for record in self.records for h in record.headings))


def sheet(name, about, model, **record):
    """Return the Sheet of one model; `record`: the rest of its Record."""
    return Sheet(name, about, (Record(name, model, **record),))


def follow(instance, path):
    """Return what the dotted `path` leads to from `instance`; None where a step is missing."""
    for step in path.split("."):
        if instance is None:
            return None
        instance = getattr(instance, step, None)
    return instance
