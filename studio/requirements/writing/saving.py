"""What is typed, written as one batch: only rows that changed, names and places free in time."""

from collections import defaultdict
from dataclasses import dataclass

from django.db import transaction

from studio.accounts import history
from studio.requirements.models import Requirement
from studio.requirements.notation import NOTATION_FIELDS
from studio.requirements.writing.rows import CHOSEN

COLUMNS = (
    "name",
    "at_least",
    "at_most",
    "minutes",
    "details",
    "parent",
    "position",
    *CHOSEN,
    *NOTATION_FIELDS,
)


@dataclass(frozen=True)
class Saved:
    """How many rows were added, changed and removed."""

    added: int
    changed: int
    removed: int

    def __str__(self):
        words = (
            f"{number} {what}"
            for number, what in (
                (self.added, "added"),
                (self.changed, "changed"),
                (self.removed, "removed"),
            )
            if number
        )
        return ", ".join(words) or "nothing changed"


@transaction.atomic
def save(grid):
    """Write a valid Grid; return what was done, as Saved."""
    _settle(grid.filled)
    rows = Requirement.objects.select_related("requirement_set__institution__studio")
    before = {row.pk: row for row in rows.filter(requirement_set=grid.set)}
    stored = [row.instance for row in grid.filled if row.instance.pk]
    gone = [row.instance for row in grid.removed]
    _leave_groups(stored, before, gone)
    for row in reversed(gone):
        before[row.pk].delete()
    kept = {pk: row for pk, row in before.items() if pk not in {row.pk for row in gone}}
    _free_names(grid.filled, kept)
    added = _add(grid.filled)
    for row in grid.filled:
        row.instance.parent = row.parent and row.parent.instance
    changed = [row for row in stored if _differs(row, kept[row.pk])]
    history.bulk_update(changed, COLUMNS)
    return Saved(len(added), len(changed), len(gone))


def _settle(rows):
    """Give every row its round, and a place among those of its group; its own if that will do."""
    last, before = defaultdict(int), 0
    for row in rows:
        made, group = row.instance, id(row.parent)
        made.round = row.round
        if not made.pk:
            made.position = max(last[group], before) + 1
        elif made.position <= last[group]:
            made.position = last[group] + 1
        last[group] = before = made.position


def _leave_groups(stored, before, gone):
    """Take rows that stay out of groups that go, which would take them along."""
    groups = {row.pk for row in gone}
    leaving = [before[row.pk] for row in stored if before[row.pk].parent_id in groups]
    for row in leaving:
        row.parent = None
    history.bulk_update(leaving, ["parent"])


def _free_names(rows, kept):
    """Rename for a moment what bears a name that another row is to bear from now on."""
    wanted = {(row.instance.name, row.instance.round): row.instance.pk for row in rows}
    clashing = [row for row in kept.values() if wanted.get((row.name, row.round), row.pk) != row.pk]
    for row in clashing:
        row.name = f"{row.name[:100]} ({row.pk})"
    history.bulk_update(clashing, ["name"])


def _add(rows):
    """Create the new rows, level by level, so that each finds its group; return them."""
    new, added = [row for row in rows if not row.instance.pk], []
    while new:
        level = [row for row in new if row.parent is None or row.parent.instance.pk]
        for row in level:
            row.instance.parent = row.parent and row.parent.instance
        added += history.bulk_create([row.instance for row in level])
        new = [row for row in new if not row.instance.pk]
    return added


def _differs(row, stored):
    return any(getattr(row, _column(name)) != getattr(stored, _column(name)) for name in COLUMNS)


def _column(name):
    return Requirement._meta.get_field(name).attname
