"""Every change of a recorded row is kept: who, when, before and after; and can be undone.

One small table of our own, not a history table for each model: one request is one batch, so that
undoing a removal with everything that went with it is one query, and erasing a student is another.
"""

import json
import uuid
from contextlib import contextmanager
from contextvars import ContextVar
from dataclasses import dataclass, field

from django.apps import apps
from django.core.serializers.json import DjangoJSONEncoder
from django.db import IntegrityError, models, transaction
from django.db.models.signals import m2m_changed, pre_delete
from django.utils.text import Truncator

from studio.accounts.access import follow, reach
from studio.accounts.models import Change, Membership, Recorded, Studio

Action = Change.Action
UNRECORDED = {"feed_token"}  # an address once renewed must not come back by an undo


@dataclass(frozen=True)
class Act:
    """Who is acting, and the batch that their changes belong to."""

    user: object = None
    batch: uuid.UUID = field(default_factory=uuid.uuid4)


_act = ContextVar("act", default=None)
_taking_back = ContextVar("taking_back", default=False)


@contextmanager
def acting(user):
    """Record all changes inside as done by `user` (None: a command) in one batch."""
    token = _act.set(Act(user if getattr(user, "pk", None) else None))
    try:
        yield _act.get()
    finally:
        _act.reset(token)


def current():
    """Return the act under way; outside of any, a new one by nobody."""
    return _act.get() or Act()


@contextmanager
def recording(instance):
    """Keep what is done inside to one row: the row before, the row after."""
    before = None if instance._state.adding else stored(instance)
    with transaction.atomic():
        yield
        if (after := stored(instance)) != before:
            change(instance, before, after).save()


def stored(instance):
    """Return the row as it stands in the database, as plain values; None if there is none."""
    model = type(instance)
    row = model._base_manager.filter(pk=instance.pk).values(*_columns(model)).first()
    return row and {**row, **_many(instance)}


def _columns(model):
    return [c.attname for c in model._meta.concrete_fields if c.name not in UNRECORDED]


def _many(instance):
    return {
        many.name: sorted(getattr(instance, many.name).values_list("pk", flat=True))
        for many in instance._meta.many_to_many
    }


def change(instance, before, after):
    """Return the unsaved Change of `instance` from `before` to `after` (None: no row)."""
    act, rule = current(), reach(type(instance))
    action = Action.CHANGED
    if before is None or after is None:
        action = Action.CREATED if before is None else Action.REMOVED
    return Change(
        studio=follow(instance, rule.studio),
        batch=act.batch,
        by=act.user,
        action=action,
        model=instance._meta.label_lower,
        object_pk=instance.pk,
        label=Truncator(str(instance)).chars(190),
        student_pk=rule.student and follow(instance, rule.student).pk,
        before=before,
        after=after,
    )


def bulk_create(rows, batch_size=500):
    """Create rows of one recorded model (no many-to-many values) and record each."""
    if not rows:
        return []
    with transaction.atomic():
        made = type(rows[0])._base_manager.bulk_create(rows, batch_size)
        after = _all_stored(made, batch_size)
        Change.objects.bulk_create([change(row, None, after[row.pk]) for row in made], batch_size)
    return made


def bulk_update(rows, columns, batch_size=500):
    """Write `columns` of rows of one recorded model and record each that changes."""
    if rows:
        model = type(rows[0])
        with _recording_all(rows, batch_size):
            model._base_manager.bulk_update(rows, columns, batch_size)


def bulk_set(name, wanted, batch_size=500):
    """Set the many-to-many field `name` of rows of one recorded model, and record each.

    wanted: the keys that each row shall have there, by row.
    """
    if not wanted:
        return
    field = type(next(iter(wanted)))._meta.get_field(name)
    through = field.remote_field.through._base_manager
    source, target = f"{field.m2m_field_name()}_id", f"{field.m2m_reverse_field_name()}_id"
    with _recording_all(list(wanted), batch_size):
        for rows in batched(list(wanted), batch_size):
            through.filter(**{f"{source}__in": [row.pk for row in rows]}).delete()
        through.bulk_create(
            [
                through.model(**{source: row.pk, target: pk})
                for row, pks in wanted.items()
                for pk in sorted(pks)
            ],
            batch_size,
        )


@contextmanager
def _recording_all(rows, batch_size):
    """Record what happens inside to rows of one model, in a few queries for all of them."""
    with transaction.atomic():
        before = _all_stored(rows, batch_size)
        yield
        after = _all_stored(rows, batch_size)
        changes = (change(row, before[row.pk], after[row.pk]) for row in rows)
        Change.objects.bulk_create([c for c in changes if c.before != c.after], batch_size)


def _all_stored(rows, batch_size):
    """Return what `stored` returns for each of the rows, by key."""
    model, found = type(rows[0]), {}
    for some in batched([row.pk for row in rows], batch_size):
        for values in model._base_manager.filter(pk__in=some).values("pk", *_columns(model)):
            pk = values.pop("pk")
            found[pk] = values | {many.name: [] for many in model._meta.many_to_many}
        for many in model._meta.many_to_many:
            source, target = many.m2m_field_name(), many.m2m_reverse_field_name()
            links = many.remote_field.through._base_manager.filter(**{f"{source}__in": some})
            pairs = links.values_list(f"{source}_id", f"{target}_id")
            for pk, other in pairs.order_by(f"{target}_id"):
                found[pk][many.name].append(other)
    return found


def batched(items, size):
    """Cut a list into lists of at most `size`."""
    return [items[start : start + size] for start in range(0, len(items), size)]


def _before_delete(sender, instance, origin=None, **_):
    """Record a removal, and first of all that others let go of what is removed."""
    if isinstance(origin, Studio) or not isinstance(instance, Recorded):
        return
    for link in instance._meta.related_objects:
        if link.on_delete is models.SET_NULL and issubclass(link.related_model, Recorded):
            for row in link.related_model._base_manager.filter(**{link.field.name: instance}):
                setattr(row, link.field.name, None)
                row.save()
    if before := stored(instance):
        change(instance, before, None).save()


def _many_changed(sender, instance, action, reverse, **_):
    """Record a changed many-to-many field as a change of the row that owns it."""
    if not isinstance(instance, Recorded) or reverse:
        return
    if action.startswith("pre_"):
        instance._many_before = _many(instance)
    elif (now := _many(instance)) != (was := instance._many_before):
        row = stored(instance)
        change(instance, {**row, **was}, {**row, **now}).save()


pre_delete.connect(_before_delete, dispatch_uid="history")
m2m_changed.connect(_many_changed, dispatch_uid="history")


class CannotUndo(Exception):
    """The rows have been changed again since, or belong to something that is gone."""


def undo(batch, studio):
    """Take back one batch of a studio's changes, newest first, as a batch of its own.

    Raises CannotUndo, with nothing changed, where a row has been changed since.
    """
    token = _taking_back.set(True)
    try:
        with transaction.atomic():
            for done in Change.objects.filter(batch=batch, studio=studio).order_by("-pk"):
                _take_back(done)
    except models.RestrictedError as error:
        raise CannotUndo("Something that was added then is in use by now.") from error
    except IntegrityError as error:
        raise CannotUndo(
            "Something of the same name has been added since, or what it belonged to is gone."
        ) from error
    finally:
        _taking_back.reset(token)


def is_taking_back():
    """Whether rows are being put back as they were, so that nothing may be drawn up from them."""
    return _taking_back.get()


def _take_back(done):
    model = apps.get_model(done.model)
    row = model._base_manager.filter(pk=done.object_pk).first()
    if _as_json(row and stored(row)) != done.after:
        raise CannotUndo(f"{done.label} has been changed again since.")
    if done.action == Action.CREATED:
        row.delete()
    else:
        _write(model, done.before)


def _as_json(values):
    """Return values as they read back from a JSON column."""
    return json.loads(json.dumps(values, cls=DjangoJSONEncoder))


def _kept(column, value):
    """Return a value as it was; None for a link to a seat or a user that is gone since."""
    target = column.related_model
    if target and column.null and (target is Membership or not issubclass(target, Recorded)):
        return target._base_manager.filter(pk=value).values_list("pk", flat=True).first()
    return column.to_python(value)


def _write(model, values):
    row = model._base_manager.filter(pk=values["id"]).first() or model()
    for column in model._meta.concrete_fields:
        if column.attname in values:
            setattr(row, column.attname, _kept(column, values[column.attname]))
    row.save()
    for many in model._meta.many_to_many:
        getattr(row, many.name).set(values[many.name])
