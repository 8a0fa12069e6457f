"""What a removal would take along, and what forbids it, told before anything is touched."""

from collections import defaultdict
from functools import lru_cache

from django.db.models import CASCADE, PROTECT, RESTRICT, Count, Q, Subquery, Value

from studio.accounts.forms import SHOWN_WITH

NAMED = 3
NESTED = 3  # how deep rows stand inside others of their own kind


@lru_cache
def _links(model):
    """Return how other models hang on a row of `model`: two dicts, lookups by model.

    The first go with the row (cascade), directly or through others; the second forbid it. What
    stands inside another of its kind has the same owner, so such links count from the row alone.
    """
    going, forbidding = defaultdict(set), defaultdict(set)
    waiting = [(model, ())]
    while waiting:
        at, path = waiting.pop()
        for link in at._meta.related_objects:
            if link.related_model is at and (at is not model or len(path) >= NESTED):
                continue
            lookup = "__".join((link.field.name, *path))
            if link.on_delete is CASCADE and not link.related_model._meta.auto_created:
                going[link.related_model].add(lookup)
                waiting.append((link.related_model, (link.field.name, *path)))
            elif link.on_delete in {RESTRICT, PROTECT}:
                forbidding[link.related_model].add(lookup)
    return going, forbidding


def _rows(model, lookups, row):
    either = Q()
    for lookup in lookups:
        either |= Q(**{lookup: row})
    return model._base_manager.filter(either).order_by()


def _going(model, row):
    return _rows(model, _links(type(row))[0][model], row)


def _users(model, row):
    """Return the rows of `model` that forbid the removal of `row`: those that stay behind."""
    going, forbidding = _links(type(row))
    users = _rows(model, forbidding[model], row)
    return users.exclude(pk__in=_going(model, row).values("pk")) if model in going else users


def _limited(row):
    """Return, by model, the rows that name `row` alone, where to name nobody means everybody.

    Such fields stand in the model's `LIMITS`: without the row they would say the opposite.
    """
    found = {}
    for link in type(row)._meta.related_objects:
        name = link.field.name
        if link.many_to_many and name in getattr(link.related_model, "LIMITS", ()):
            others = type(row)._base_manager.exclude(pk=row.pk)
            named = link.related_model._base_manager.filter(**{name: row}).order_by()
            found[link.related_model] = named.exclude(**{f"{name}__in": others})
    return found


def _counted(row, queries):
    """Return how many rows each of the queries finds, in one query for all; none: left out."""
    columns = {
        f"count_{n}": Subquery(
            query.annotate(one=Value(1)).values("one").annotate(n=Count("pk")).values("n")
        )
        for n, query in enumerate(queries.values())
    }
    if not columns:
        return {}
    found = type(row)._base_manager.filter(pk=row.pk).values_list(*columns.values()).get()
    return {model: number for model, number in zip(queries, found, strict=True) if number}


def goes_with(row):
    """Return what a removal takes along, as words with counts: ["12 tasks", "3 entries"]."""
    counts = _counted(row, {model: _going(model, row) for model in _links(type(row))[0]})
    return sorted(_words(model._meta, number) for model, number in counts.items())


def _words(meta, number):
    return f"{number} {meta.verbose_name if number == 1 else meta.verbose_name_plural}"


def in_use(row, label):
    """Say why `label` cannot go: some of what still uses it, and what to do; "" if it can."""
    users_of = {model: _users(model, row) for model in _links(type(row))[1]} | _limited(row)
    counts = _counted(row, users_of)
    if not counts:
        return ""
    model = min(counts, key=lambda model: model._meta.label)
    named = users_of[model].select_related(*SHOWN_WITH.get(model.__name__, ()))
    users = sorted(str(user) for user in named.order_by("pk")[:NAMED])
    left = sum(counts.values()) - len(users)
    more = f" and {left} more" if left else ""
    return f"{label} is still used by {'; '.join(users)}{more}. Change these first."
