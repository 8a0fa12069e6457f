"""What was done to rows, in words: each value before and after, and what lies in the bin."""

from collections import Counter
from dataclasses import dataclass
from datetime import datetime
from uuid import UUID

from django.apps import apps
from django.db.models import Exists, Max, OuterRef, Q
from django.utils import timezone
from django.utils.dateformat import format as dated
from django.utils.text import Truncator, capfirst

from studio.accounts.access import readable
from studio.accounts.models import Change, Membership, User
from studio.accounts.words import counted

LONGEST = 300  # letters of one value
MOST = 100  # rows of one batch, told one by one
BINNED = 100
HIDDEN = {"id", "studio_id", "feed_token", "calendar_id"}
NOTHING = "nothing"
SEAT = Membership._meta.label_lower


@dataclass(frozen=True)
class Difference:
    """One value of a row before and after."""

    label: str
    before: str
    after: str


@dataclass(frozen=True)
class Version:
    """What was done to one row. differences: the values that were given, changed or lost."""

    label: str
    kind: str
    done: str
    differences: tuple


@dataclass(frozen=True)
class Binned:
    """A removal that was not taken back: what was removed, and what went with it."""

    batch: UUID
    at: datetime
    by: str
    label: str
    kind: str
    others: str


def versions(changes):
    """Return a Version of each of some Changes, at most MOST, in two queries."""
    changes = changes[:MOST]
    names = _names(changes)
    return [_version(change, names) for change in changes]


def _differing(change):
    """Yield (field, value before, value after) of what a Change gave, changed or took away."""
    model = apps.get_model(change.model)
    before, after = change.before or {}, change.after or {}
    fields = {f.attname: f for f in model._meta.concrete_fields}
    fields |= {many.name: many for many in model._meta.many_to_many}
    for key, field in fields.items():
        was, now = before.get(key), after.get(key)
        if key not in HIDDEN and was != now:
            yield field, was, now


def _version(change, names):
    found = []
    for field, *values in _differing(change):
        words = (_said(field, value, names) for value in values)
        found.append(Difference(capfirst(field.verbose_name), *words))
    kind = capfirst(apps.get_model(change.model)._meta.verbose_name)
    shown = tuple(d for d in found if d.before != d.after)
    return Version(change.label, kind, change.get_action_display(), shown)


def _said(field, value, names):
    """Return a stored value in words."""
    if value in (None, "", [], {}):
        return NOTHING
    if field.is_relation:
        model = field.related_model._meta.label_lower
        keys = value if isinstance(value, list) else [value]
        return Truncator(", ".join(names.get((model, key), "gone") for key in keys)).chars(LONGEST)
    if field.choices:
        return str(dict(field.flatchoices).get(value, value))
    if isinstance(value, bool):
        return "yes" if value else "no"
    value = field.to_python(value)
    if isinstance(value, datetime):
        return dated(timezone.localtime(value), "j F Y, H:i")
    return Truncator(str(value)).chars(LONGEST)


def _names(changes):
    """Return what the rows are called that some Changes point to, by (model, key)."""
    wanted = {}
    for change in changes:
        for field, *values in _differing(change):
            if field.is_relation:
                keys = wanted.setdefault(field.related_model._meta.label_lower, set())
                for value in values:
                    keys.update(value if isinstance(value, list) else [value])
    users = wanted.pop(User._meta.label_lower, set()) - {None}
    found = {(User._meta.label_lower, u.pk): str(u) for u in User.objects.filter(pk__in=users)}
    rows = Q(pk__in=())
    for model, keys in wanted.items():
        if keys := keys - {None}:
            rows |= Q(model=model, object_pk__in=keys)
    studios = {change.studio_id for change in changes}
    told = Change.objects.filter(rows, studio__in=studios).order_by("pk")
    labels = told.values_list("model", "object_pk", "label")
    return found | {(model, key): label for model, key, label in labels}


def binned(who):
    """Return the studio's removals that were not taken back, newest first. Two queries."""
    later = Change.objects.filter(
        model=OuterRef("model"), object_pk=OuterRef("object_pk"), pk__gt=OuterRef("pk")
    )
    removed = readable(who, Change).filter(action=Change.Action.REMOVED)
    gone = removed.filter(~Exists(later)).order_by()
    last = gone.values("batch").annotate(last=Max("pk")).order_by("-last")[:BINNED]
    batches = {row["batch"]: [] for row in last}
    some = gone.filter(batch__in=batches).select_related("by").defer("before", "after")
    for change in some.order_by("-pk"):
        batches[change.batch].append(change)
    return [_binned(changes) for changes in batches.values() if changes]


def _binned(changes):
    """Rows go in the order of what hangs on what: the one that took the others along is last.

    Only a student's seat goes after its student.
    """
    seats = [change for change in changes if change.model == SEAT]
    first, *others = [change for change in changes if change.model != SEAT] + seats
    kinds = Counter(apps.get_model(change.model)._meta for change in others)
    words = (counted(n, meta.verbose_name, meta.verbose_name_plural) for meta, n in kinds.items())
    kind = capfirst(apps.get_model(first.model)._meta.verbose_name)
    by = str(first.by or "The program")
    return Binned(first.batch, first.at, by, first.label, kind, ", ".join(words))
