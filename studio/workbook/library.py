"""The studio's rows and those a workbook adds, found by their natural keys.

Each model is read once, when it is first asked for, and its rows are tied to each other in
memory: finding, comparing and checking them costs no further query.
"""

from collections import defaultdict

from studio.accounts.access import reach
from studio.accounts.models import Studio
from studio.workbook.kinds import did_you_mean, loose
from studio.workbook.layout import Link
from studio.workbook.sheets import RECORDS, SHEETS

SHEET_OF = {record.name: sheet.name for sheet in SHEETS for record in sheet.records}


def flat_key(record, row):
    """Return the natural key of `row` with the keys of the rows it links to spelled out."""
    parts = []
    for name in record.key:
        value = getattr(row, name)
        link = record.by_field[name]
        if not isinstance(link, Link):
            parts.append(record.kinds[link.heading].tidy(value))
        else:
            parts.extend(linked_key(link, value))
    return tuple(parts)


def linked_key(link, row):
    """Return the flat key of what `link` leads to, all None where that is nothing."""
    target = RECORDS[link.to]
    return (None,) * len(key_parts(target)) if row is None else flat_key(target, row)


def key_parts(record):
    """Return (record, Column) for each part of the record's flat key."""
    parts = []
    for name in record.key:
        item = record.by_field[name]
        parts += key_parts(RECORDS[item.to]) if isinstance(item, Link) else [(record, item)]
    return parts


def absences(record):
    """Return where in the record's flat key stands what may be nothing, as slices."""
    found, place = [], 0
    for name in record.key:
        item = record.by_field[name]
        size = len(key_parts(RECORDS[item.to])) if isinstance(item, Link) else 1
        if isinstance(item, Link) and not item.required:
            found.append(slice(place, place + size))
        place += size
    return found


def loosened(key):
    """Return `key` so that capitals and spaces make no difference."""
    return tuple(loose(part) if isinstance(part, str) else part for part in key)


class NotFound(Exception):
    """No row has the wanted key: `place` is the part that leads nowhere, `advice` what to do."""

    def __init__(self, place, advice):
        self.place, self.advice = place, advice
        super().__init__(advice)


class Library:
    """The rows of one studio by record, those of the workbook among them once they are added."""

    def __init__(self, studio):
        self.studio = studio
        self.rows = {}
        self.many = {}
        self._exact = {}
        self._loose = {}
        self._ghosts = defaultdict(set)
        self._by_pk = {Studio: {studio.pk: studio}}
        self._temporary = 0

    def open(self, record):
        """Read the record's rows, and first those that they link to; once."""
        if record.name in self.rows:
            return
        self.rows[record.name] = []
        for link in record.links:
            self.open(RECORDS[link.to])
        for many in record.manys:
            self.open(RECORDS[many.to])
        self._exact[record.name], self._loose[record.name] = {}, defaultdict(list)
        path = reach(record.model).studio
        rows = list(record.model._base_manager.filter(**{path: self.studio.pk}).order_by("pk"))
        by_pk = self._by_pk[record.model] = {row.pk: row for row in rows}
        for row in rows:
            self._tie(row)
        for row in rows:
            self.add(record, row, flat_key(record, row))
        for many in record.manys:
            self._open_many(record, many, path, by_pk)

    def _tie(self, row):
        """Let the row's foreign keys lead to rows that are loaded."""
        for field in row._meta.concrete_fields:
            others = self._by_pk.get(field.related_model) if field.is_relation else None
            if others and (other := others.get(getattr(row, field.attname))):
                setattr(row, field.name, other)

    def _open_many(self, record, many, path, by_pk):
        field = record.model._meta.get_field(many.field)
        source, target = field.m2m_field_name(), field.m2m_reverse_field_name()
        others = self._by_pk[RECORDS[many.to].model]
        pairs = field.remote_field.through._base_manager.filter(
            **{f"{source}__{path}": self.studio.pk}
        ).values_list(f"{source}_id", f"{target}_id")
        for pk, other in pairs:
            self.many.setdefault((id(by_pk[pk]), many.field), set()).add(others[other])

    def others(self, row, many):
        """Return the set of rows that a Many of `row` names."""
        return self.many.get((id(row), many.field), set())

    def add(self, record, row, key):
        """Let `row` be found by `key`."""
        self.rows[record.name].append(row)
        self._exact[record.name][key] = row
        self._loose[record.name][loosened(key)].append((key, row))

    def add_new(self, record, key, **values):
        """Make an unsaved row; its key is below zero until it is written."""
        row = record.model(**values)
        if any(field.name == "studio" for field in record.model._meta.concrete_fields):
            row.studio = self.studio
        self._temporary -= 1
        row.pk = self._temporary
        self.add(record, row, key)
        return row

    def add_ghost(self, record, key):
        """Remember the key of a row that has problems, so that nobody else is blamed for it."""
        self._ghosts[record.name].add(loosened(key))

    def is_ghost(self, record, key):
        """Whether the workbook has a row of this key that cannot be read."""
        return loosened(key) in self._ghosts[record.name]

    def get(self, record, key):
        """Return the row of exactly this key, or None."""
        return self._exact[record.name].get(key)

    def near(self, record, key):
        """Return the (key, row)s that differ from `key` in capitals and spaces at most."""
        return self._loose[record.name].get(loosened(key), [])

    def find(self, record, key, sure=0):
        """Return the row that `key` means, or None for a ghost; raise NotFound.

        sure: how many of its first parts are right, having led somewhere already.
        """
        if (row := self.get(record, key)) is not None:
            return row
        near = self.near(record, key)
        if len(near) == 1:
            return near[0][1]
        if self.is_ghost(record, key):
            return None
        raise self._not_found(record, loosened(key), key, sure)

    def _not_found(self, record, wanted, key, sure):
        """Say which part of `key` leads nowhere, and what is closest to it."""
        parts, known = key_parts(record), list(self._exact[record.name])
        for gap in absences(record):
            if wanted[gap.start] is None and self._only_without(record, wanted, gap):
                return self._not_nothing(parts, gap, key)
        for place, part in enumerate(wanted):
            on = [k for k in known if part is None or loosened(k[place : place + 1]) == (part,)]
            if not on:
                names = [k[place] for k in known] if place >= sure else []
                place = max(place, sure)
                return self._missing(parts[place], place, key[place], names)
            known = on
        return NotFound(len(key) - 1, "Several rows differ only in capitals. Write it exactly so.")

    def _only_without(self, record, wanted, gap):
        """Whether a row differs from what is wanted only in having something at the gap."""

        def rest(key):
            return key[: gap.start] + key[gap.stop :]

        return any(rest(key) == rest(wanted) for key in self._loose[record.name])

    @staticmethod
    def _not_nothing(parts, gap, key):
        column = parts[gap.stop - 1][1].heading
        advice = f"There is no “{key[-1]}” without a {column} here. Write which {column}."
        return NotFound(gap.stop - 1, advice)

    def _missing(self, part, place, value, known):
        owner, column = part
        sheet = SHEET_OF[owner.name]
        shown = owner.kinds[column.heading].write(value)
        named = f"no {column.heading} “{shown}”"
        what = named if shown is not None else f"none without a {column.heading}"
        names = [name for name in known if isinstance(name, str)]
        near = did_you_mean(value, names) if isinstance(value, str) else ""
        return NotFound(
            place,
            f"There is {what} here, neither in the studio nor in the sheet “{sheet}”.{near}",
        )
