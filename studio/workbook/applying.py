"""Writing a plan: one transaction, every row recorded, in one batch that can be undone."""

from itertools import groupby

from django.db import transaction

from studio.accounts import history
from studio.entries.models import Entry
from studio.entries.tasks import draw_up as draw_up_tasks
from studio.workbook.sheets import RECORDS


class CannotApply(Exception):
    """The plan has problems; nothing was written."""


def apply(plan, *, draw_up=None):
    """Write the plan and return how many tasks were drawn up.

    draw_up: whether new entries and deadlines bring their tasks; None: as the plan says.
    Raises CannotApply, with nothing written, while one problem stands.
    """
    if plan.problems:
        raise CannotApply(f"{len(plan.problems)} problems stand; nothing is written.")
    with transaction.atomic():
        for record in RECORDS.values():
            steps = [step for step in plan.steps if step.record is record]
            _create(record, [step for step in steps if step.new])
            _change(record, [step for step in steps if not step.new])
            _write_many(record, steps)
        if (plan.draws_up if draw_up is None else draw_up) and plan.drawn:
            entries = [entry.pk for entry in plan.drawn]
            return len(draw_up_tasks(Entry.objects.filter(pk__in=entries)))
    return 0


def _create(record, steps):
    """Insert the new rows; those that link to one another are tied afterwards."""
    rows = [step.row for step in steps]
    ties = []
    for row in rows:
        row.pk = None
        _refresh(row)
        for link in record.links:
            if link.to == record.name and (other := getattr(row, link.field)) is not None:
                ties.append((row, link.field, other))
                setattr(row, link.field, None)
    history.bulk_create(rows)
    for field, tied in groupby(ties, lambda tie: tie[1]):
        tied = list(tied)
        for row, _, other in tied:
            setattr(row, field, other)
        history.bulk_update([row for row, *_ in tied], [field])


def _refresh(row):
    """Take over the keys that the rows it links to have got by now."""
    for field in row._meta.concrete_fields:
        if field.is_relation and field.is_cached(row):
            setattr(row, field.name, getattr(row, field.name))


def _change(record, steps):
    """Write the changed columns, and no others, of rows that were there."""
    for step in steps:
        _refresh(step.row)
    for fields, same in groupby(sorted(steps, key=_fields), _fields):
        if fields:
            history.bulk_update([step.row for step in same], fields)


def _fields(step):
    return sorted(step.fields)


def _write_many(record, steps):
    for many in record.manys:
        wanted = {
            step.row: {other.pk for other in step.manys[many.field]}
            for step in steps
            if many.field in step.manys
        }
        history.bulk_set(many.field, wanted)
