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
from django.db import IntegrityError, connection, models, transaction
from django.db.models.signals import m2m_changed, pre_delete
from django.utils.text import Truncator

from studio.accounts.access import follow, reach
from studio.accounts.models import Change, Membership, Recorded, Studio

Action = Change.Action
BATCH = 500  # rows in one query
UNRECORDED = {"feed_token"}  # an address once renewed must not come back by an undo


@dataclass(frozen=True)
class Act:
    """Who is acting, and the batch that their changes belong to."""

    user: object = None
    batch: uuid.UUID = field(default_factory=uuid.uuid4)


_act = ContextVar("act", default=None)


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
    return _all_stored([instance]).get(instance.pk)


def _columns(model):
    return [c.attname for c in model._meta.concrete_fields if c.name not in UNRECORDED]


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


def bulk_create(rows):
    """Create rows of one recorded model (no many-to-many values) and record each."""
    if not rows:
        return []
    with transaction.atomic():
        made = type(rows[0])._base_manager.bulk_create(rows, BATCH)
        after = _all_stored(made)
        Change.objects.bulk_create([change(row, None, after[row.pk]) for row in made], BATCH)
    return made


def bulk_update(rows, columns):
    """Write `columns` of rows of one recorded model and record each that changes."""
    if rows:
        model = type(rows[0])
        with _recording_all(rows):
            model._base_manager.bulk_update(rows, columns, BATCH)


def bulk_set(name, wanted):
    """Set the many-to-many field `name` of rows of one recorded model, and record each.

    wanted: the keys that each row shall have there, by row.
    """
    if wanted:
        with _recording_all(list(wanted)):
            _set_many(type(next(iter(wanted)))._meta.get_field(name), wanted)


def _set_many(field, wanted):
    through = field.remote_field.through._base_manager
    source, target = f"{field.m2m_field_name()}_id", f"{field.m2m_reverse_field_name()}_id"
    for rows in batched(list(wanted), BATCH):
        through.filter(**{f"{source}__in": [row.pk for row in rows]}).delete()
    through.bulk_create(
        [
            through.model(**{source: row.pk, target: pk})
            for row, pks in wanted.items()
            for pk in sorted(pks)
        ],
        BATCH,
    )


@contextmanager
def _recording_all(rows):
    """Record what happens inside to rows of one model, in a few queries for all of them."""
    with transaction.atomic():
        before = _all_stored(rows)
        yield
        after = _all_stored(rows)
        changes = (change(row, before[row.pk], after[row.pk]) for row in rows)
        Change.objects.bulk_create([c for c in changes if c.before != c.after], BATCH)


def _all_stored(rows):
    """Return what `stored` returns for each of the rows, by key."""
    model, found = type(rows[0]), {}
    for some in batched([row.pk for row in rows], BATCH):
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
        if link.many_to_many or link.on_delete is models.SET_NULL:
            _let_go(link, instance)
    if before := stored(instance):
        change(instance, before, None).save()


def _let_go(link, instance):
    if not issubclass(link.related_model, Recorded):
        return
    for row in link.related_model._base_manager.filter(**{link.field.name: instance}):
        if _goes_too(row):
            continue
        if link.many_to_many:
            getattr(row, link.field.name).remove(instance)  # recorded by _many_changed
        else:
            setattr(row, link.field.name, None)
            row.save()


def _goes_too(row):
    """Whether the row's own removal is written down already: it is about to follow."""
    gone = Change.objects.filter(batch=current().batch, action=Action.REMOVED, object_pk=row.pk)
    return gone.filter(model=row._meta.label_lower).exists()


def _many_changed(sender, instance, action, reverse, **_):
    """Record a changed many-to-many field as a change of the row that owns it."""
    if not isinstance(instance, Recorded) or reverse:
        return
    if action.startswith("pre_"):
        instance._stored_before = stored(instance)
    elif (now := stored(instance)) != (was := instance._stored_before):
        change(instance, was, now).save()


pre_delete.connect(_before_delete, dispatch_uid="history")
m2m_changed.connect(_many_changed, dispatch_uid="history")


class CannotUndo(Exception):
    """The rows have been changed again since, or belong to something that is gone."""


def undo(batch, studio):
    """Take back one batch of a studio's changes, newest first, as a batch of its own.

    Raises CannotUndo, with nothing changed, where a row has been changed or built upon since.
    """
    done = list(Change.objects.filter(batch=batch, studio=studio).order_by("-pk"))
    gone = {(each.model, each.object_pk) for each in done if each.action == Action.REMOVED}
    try:
        with transaction.atomic():
            for alike in _runs(done):
                _take_back(apps.get_model(alike[0].model), alike, gone)
            connection.check_constraints()
    except IntegrityError as error:
        raise CannotUndo(
            "Something that was added then is in use by now, or its place has been taken since, or "
            "what it belongs to was removed too: then bring that back first."
        ) from error


def _runs(changes):
    """Yield changes in order, as lists of one model and one action with each row once."""
    run, keys = [], set()
    for done in changes:
        alike = run and (done.model, done.action) == (run[0].model, run[0].action)
        if run and (not alike or done.object_pk in keys):
            yield run
            run, keys = [], set()
        run.append(done)
        keys.add(done.object_pk)
    if run:
        yield run


def _take_back(model, changes, gone):
    rows = list(model._base_manager.filter(pk__in=[done.object_pk for done in changes]))
    now = _all_stored(rows) if rows else {}
    for done in changes:
        stands = _as_json(now.get(done.object_pk))
        if stands == done.after:
            continue
        if not _let_go_of(model, done, gone):
            raise CannotUndo(f"{done.label} has been changed again since.")
        done.before, done.after = stands and _holding_again(model, done, stands), stands
    changes = [done for done in changes if done.before != done.after]
    if changes and changes[0].action == Action.CREATED:
        _delete(model, rows)
    elif changes:
        wanted = {done.object_pk for done in changes}
        there = {row.pk: row for row in rows if row.pk in wanted}
        _write(model, there, [done.before for done in changes])
    Change.objects.bulk_create([_reversed(done) for done in changes], BATCH)


def _let_go_of(model, done, gone):
    """Whether a row did nothing but let go of what was removed in the same batch.

    gone: (label, key) of each row that was. Such a row may have been changed again since.
    """
    if done.action != Action.CHANGED:
        return False
    links = {
        field.name if field.many_to_many else field.attname: field.related_model._meta.label_lower
        for field in (*model._meta.concrete_fields, *model._meta.many_to_many)
        if field.is_relation
    }
    lost = {(links.get(name), key) for name in _changed(done) for key in _lost(done, name)}
    kept = all(_lost(done, name) for name in _changed(done))
    return kept and lost <= gone


def _changed(done):
    return [name for name, value in done.before.items() if value != done.after.get(name)]


def _lost(done, name):
    """Return the keys that a value held before and not after; none if it held others after."""
    before, after = done.before[name], done.after.get(name)
    if isinstance(before, list):
        return set(before) - set(after) if set(after) <= set(before) else set()
    return {before} if after is None else set()


def _holding_again(model, done, stands):
    """Return how a row stands (its values) with what it let go of, unless it holds another now.

    A list that was emptied since to name everybody goes on naming everybody.
    """
    again, limits = dict(stands), getattr(model, "LIMITS", ())
    for name in _changed(done):
        if stands[name] == [] and name in limits:
            continue
        if isinstance(stands[name], list):
            again[name] = sorted({*stands[name], *_lost(done, name)})
        elif stands[name] is None:
            again[name] = done.before[name]
    return again


def _reversed(done):
    """Return the change that takes `done` back."""
    opposite = {Action.CREATED: Action.REMOVED, Action.REMOVED: Action.CREATED}
    act = current()
    return Change(
        studio_id=done.studio_id,
        batch=act.batch,
        by=act.user,
        action=opposite.get(done.action, Action.CHANGED),
        model=done.model,
        object_pk=done.object_pk,
        label=done.label,
        student_pk=done.student_pk,
        before=done.after,
        after=done.before,
    )


def _delete(model, rows):
    """Delete just these rows: whatever else hangs on them by now makes the undo fail."""
    for some in batched([row.pk for row in rows], BATCH):
        for many in model._meta.many_to_many:
            links = many.remote_field.through._base_manager
            links.filter(**{f"{many.m2m_field_name()}__in": some}).delete()
        chosen = model._base_manager.filter(pk__in=some)
        chosen._raw_delete(chosen.db)


def _write(model, there, values):
    """Write rows as they were; those in `there` (by key) stand already."""
    columns = [c for c in model._meta.concrete_fields if c.attname in values[0]]
    rows = [there.get(row["id"]) or model() for row in values]
    for column in columns:
        kept = _kept(column, [row[column.attname] for row in values])
        for row, value in zip(rows, kept, strict=True):
            setattr(row, column.attname, value)
    if there:
        names = [column.name for column in columns if not column.primary_key]
        model._base_manager.bulk_update(rows, names, BATCH)
    else:
        model._base_manager.bulk_create(rows, BATCH)
    for many in model._meta.many_to_many:
        wanted = zip(rows, (row[many.name] for row in values), strict=True)
        _set_many(many, dict(wanted))


def _kept(column, values):
    """Return values as they were; None for links to seats or users that are gone since."""
    target = column.related_model
    if not target or not column.null or (issubclass(target, Recorded) and target is not Membership):
        return [column.to_python(value) for value in values]
    there = set(target._base_manager.filter(pk__in={*values} - {None}).values_list("pk", flat=True))
    return [value if value in there else None for value in values]


def _as_json(values):
    """Return values as they read back from a JSON column."""
    return json.loads(json.dumps(values, cls=DjangoJSONEncoder))
