"""What is different in a set of requirements: since its last check, or from what it was copied.

Rows are compared as words by field ("Minutes": "8"), so that what is told is what a teacher reads.
"""

from collections.abc import Mapping
from dataclasses import dataclass
from decimal import Decimal

from django.db.models import Q
from django.utils.text import capfirst

from studio.accounts.models import Change
from studio.requirements.models import (
    Again,
    KeysAt,
    Kind,
    Piano,
    RecordingRules,
    Requirement,
    Said,
)
from studio.requirements.recording_rules import in_order

Words = Mapping[str, str]
PLAIN = (
    ("Only pieces with", "fits"),
    ("Its pieces together", "together"),
    ("Scales", "scales"),
    ("Details", "details"),
)
CHECK = ("checked_on", "checked_by")


@dataclass(frozen=True)
class Difference:
    """A requirement, or "" for the set itself, and what became of it.

    state: "new", "gone" or "changed". words: each thing that changed: "Minutes 8, before 7".
    """

    name: str
    state: str
    words: tuple[str, ...] = ()


def compared(now: Words, before: Words) -> tuple[str, ...]:
    """Return what is different: "Minutes 8, before 7"; what is empty is said to be nothing."""
    return tuple(
        f"{label} {now.get(label) or 'nothing'}, before {before.get(label) or 'nothing'}"
        for label in (*now, *(label for label in before if label not in now))
        if now.get(label, "") != before.get(label, "")
    )


def differences(now: Mapping, before: Mapping) -> tuple[Difference, ...]:
    """Compare rows by key: first those that stand now, in their order, then those that are gone.

    now, before: Words by key, each with a "Name".
    """
    found = []
    for key, words in now.items():
        if key not in before:
            found.append(Difference(words["Name"], "new"))
        elif changed := compared(words, before[key]):
            found.append(Difference(words["Name"], "changed", changed))
    gone = (Difference(words["Name"], "gone") for key, words in before.items() if key not in now)
    return (*found, *gone)


def row_words(values: Mapping, names: Mapping) -> dict[str, str]:
    """Return the words of a requirement. values: its columns; names: of groups, by key."""
    kind = Kind(values["kind"])
    said = {
        "Name": values["name"],
        "Kind": kind.label,
        "Round": Requirement.Round(values["round"]).label,
        "Number": "" if kind == Kind.ALL_OF else _number(values["at_least"], values["at_most"]),
        "Inside": names.get(values["parent_id"], ""),
        "Minutes": _decimal(values["minutes"]),
        "From memory": Said(values["memory"]).label.lower(),
        "Piano": Piano(values["piano"]).label.lower(),
    }
    said |= {label: values[name] for label, name in PLAIN}
    # What was written down before these were asked for says nothing of them.
    said["Keys"] = KeysAt(values.get("keys_at", KeysAt.UNSTATED)).label.lower()
    said["Study time, seconds"] = str(values.get("study_seconds") or "")
    return said | {"Weight": str(values["weight"])}


def set_words(values: Mapping) -> dict[str, str]:
    """Return the words of what a set says of all its slots together. values: its columns."""
    return {
        "Source": values["source"],
        "One piece in two slots": Said(values["reuse"]).label.lower(),
        "The screening’s pieces": Again(values["again"]).label.lower(),
        "All pieces of a round together": values["together"],
        "How it is scored": values.get("rubric") or "",  # older history has none
        "Notes": values["notes"],
    }


def recording_words(values: Mapping) -> dict[str, str]:
    """Return the words of how a recording is made. values: its columns."""
    said = {"Name": f"How it is made: {Requirement.Round(values['round']).label.lower()}"}
    for field in RecordingRules._meta.concrete_fields:
        if field.name not in {"id", "requirement_set", "round"}:
            value = values[field.attname]
            said[capfirst(field.verbose_name)] = "" if value is None else str(value)
    return said


def _number(least, most):
    return str(least) if most in {None, least} else f"{least} to {most}"


def _decimal(value):
    return "" if value is None else f"{Decimal(value).normalize():f}"


def columns(row) -> dict:
    """Return the columns of a row, by name."""
    return {column.attname: getattr(row, column.attname) for column in row._meta.concrete_fields}


def from_source(source, target) -> tuple[Difference, ...]:
    """Return what `target` says otherwise than `source`, which it was copied from.

    A row goes with the one of its round and name, else with the one of its round, kind and place.
    """
    now = list(target.requirements.all())
    before = _paired(source.requirements.all(), now)
    rows = differences(_words_by_key({row.pk: row for row in now}), _words_by_key(before))
    made = differences(_recordings(target), _recordings(source))
    return (*_of_set(columns(target), columns(source)), *rows, *made)


def _recordings(row):
    made = in_order(row.recordings.all())
    return {each.round: recording_words(columns(each)) for each in made}


def _paired(source, now):
    """Return rows of `source` by the key of the row of `now` that each goes with, or by -key."""
    left, free, paired = list(source), list(now), {}
    for alike in (
        lambda row: (row.round, row.name),
        lambda row: (row.round, row.kind, row.position),
    ):
        there = {alike(row): row for row in free}
        for row in tuple(left):
            if twin := there.pop(alike(row), None):
                paired[twin.pk] = row
                left.remove(row)
                free.remove(twin)
    return paired | {-row.pk: row for row in left}


def _words_by_key(rows):
    names = {row.pk: row.name for row in rows.values()}
    return {key: row_words(columns(row), names) for key, row in rows.items()}


def _of_set(now, before):
    words = compared(set_words(now), set_words(before))
    return (Difference("", "changed", words),) if words else ()


def since_check(row) -> tuple[Difference, ...]:
    """Return what has changed in a set and its requirements since it was last checked.

    What was written in the same batch as the check counts as checked. Three queries at most.
    """
    if row.checked_on is None:
        return ()
    kept = Change.objects.filter(studio=row.institution.studio_id)
    own = list(kept.filter(model=row._meta.label_lower, object_pk=row.pk).order_by("pk"))
    stands = {name: str(getattr(row, name)) for name in CHECK}
    check = next(
        (each for each in own if each.after and stands.items() <= each.after.items()), None
    )
    if check is None:
        return ()
    since = list(
        kept.filter(
            Q(before__requirement_set_id=row.pk) | Q(after__requirement_set_id=row.pk),
            model__in=[model._meta.label_lower for model in (Requirement, RecordingRules)],
            pk__gt=check.pk,
        )
        .exclude(batch=check.batch)
        .order_by("pk")
    )
    before, names = _before(since)
    now = {each.pk: columns(each) for each in row.requirements.all()}
    names |= {pk: values["name"] for pk, values in now.items()}
    was = {pk: before.get(pk, values) for pk, values in now.items()} | before
    rows = differences(
        {pk: row_words(values, names) for pk, values in now.items()},
        {pk: row_words(values, names) for pk, values in was.items() if values},
    )
    return (*_of_set(columns(row), check.after), *rows, *_made_since(row, since))


def _made_since(row, since):
    """Return what has changed in how the recordings of a set are made, round by round."""
    before = {}
    for change in since:
        if change.model == RecordingRules._meta.label_lower:
            before.setdefault(change.object_pk, change.before)
    there = {each.pk: columns(each) for each in in_order(row.recordings.all())}
    was = {pk: before.get(pk, values) for pk, values in there.items()} | before
    return differences(
        {values["round"]: recording_words(values) for values in there.values()},
        {values["round"]: recording_words(values) for values in was.values() if values},
    )


def _before(since):
    """Return the columns of each requirement before the changes (None: not there), and names."""
    before, names = {}, {}
    for change in since:
        if change.model == Requirement._meta.label_lower:
            before.setdefault(change.object_pk, change.before)
            names[change.object_pk] = (change.before or change.after)["name"]
    return before, names
