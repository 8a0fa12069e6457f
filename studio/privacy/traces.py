"""Where a student is left in a studio's history and in other rows, and how that is taken out.

Works from keys, so that it finds somebody whose rows lie in the bin as well.
"""

import re
from copy import deepcopy
from dataclasses import dataclass, field

from django.apps import apps
from django.db import IntegrityError, models, transaction
from django.db.models import Q

from studio.accounts.access import REACH
from studio.accounts.history import BATCH, batched
from studio.accounts.models import Change, Membership, User
from studio.students.models import Accompanist, Guardian, Student

ERASED = "(erased)"
STUDENT, GUARDIAN, SEAT = (model._meta.label_lower for model in (Student, Guardian, Membership))
PERSONS = (Student, Guardian, Accompanist)


@dataclass
class Traces:
    """Everything that leads to one student. Sets of keys; words: their names and addresses."""

    studio: object
    pk: int
    guardians: set = field(default_factory=set)
    seats: set = field(default_factory=set)
    users: set = field(default_factory=set)
    words: set = field(default_factory=set)
    entries: set = field(default_factory=set)


def find(studio, pk):
    """Return the Traces of a student, from their rows and from the history."""
    found = Traces(studio, pk)
    own = Student._base_manager.filter(pk=pk, studio=studio).values()
    for values in (*own, *_told(studio, STUDENT, {pk})):
        _person(found, values)
    found.guardians = _guardians(studio, pk)
    rows = Guardian._base_manager.filter(pk__in=found.guardians).values()
    for values in (*rows, *_told(studio, GUARDIAN, found.guardians)):
        _person(found, values)
    seats = Membership._base_manager.filter(pk__in=found.seats).values()
    for values in (*seats, *_told(studio, SEAT, found.seats)):
        found.users.add(values["user_id"])
    found.users = _without_seat(found)
    for user in User.objects.filter(pk__in=found.users):
        found.words |= {user.name, user.email}
    about = Change.objects.filter(studio=studio, student_pk=pk, model="entries.entry")
    entries = apps.get_model("entries", "Entry")._base_manager.filter(student=pk)
    found.entries = {
        *about.values_list("object_pk", flat=True),
        *entries.values_list("pk", flat=True),
    }
    return found


def _person(found, values):
    found.seats |= {values.get("membership_id")} - {None}
    found.words |= {values.get("name") or "", values.get("email") or ""}


def _told(studio, model, pks):
    """Yield the values that the history keeps of rows of one model, before and after."""
    for change in Change.objects.filter(studio=studio, model=model, object_pk__in=pks):
        yield from filter(None, (change.before, change.after))


def _guardians(studio, pk):
    """Return the keys of the guardians, here or removed, who look after nobody else."""
    children = {}
    changes = Change.objects.filter(studio=studio, model=GUARDIAN)
    for key, before, after in changes.values_list("object_pk", "before", "after"):
        for values in filter(None, (before, after)):
            children.setdefault(key, set()).update(values["students"])
    now = {
        key: set() for key in Guardian.objects.filter(studio=studio).values_list("pk", flat=True)
    }
    links = Guardian.students.through._base_manager.filter(guardian__studio=studio)
    for key, child in links.values_list("guardian_id", "student_id"):
        now[key].add(child)
    ever = {key: children.get(key, set()) | now.get(key, set()) for key in {*children, *now}}
    return {key for key, all_of in ever.items() if pk in all_of and now.get(key, all_of) <= {pk}}


def _without_seat(found):
    """Return the users who have no seat left without those that go."""
    kept = Membership.objects.filter(user__in=found.users).exclude(pk__in=found.seats)
    return found.users - {None} - set(kept.values_list("user_id", flat=True))


def pattern(found):
    """Return what matches their full names and addresses; None where there are none to look for.

    A name of one word is not looked for, nor what stands in the name of somebody who stays, or is
    their address too: a family may have one for all.
    """
    told = ("name", "email")
    others = [
        word
        for model in PERSONS
        for pk, *words in model._base_manager.filter(studio=found.studio).values_list("pk", *told)
        if not (model is Student and pk == found.pk)
        and not (model is Guardian and pk in found.guardians)
        for word in words
    ]
    users = User.objects.filter(memberships__studio=found.studio).exclude(pk__in=found.users)
    others += [word for words in users.values_list(*told) for word in words]
    stay = "\n".join(others).casefold()
    words = {word for word in found.words if " " in word.strip() or "@" in word}
    words = sorted((w for w in words if w.casefold() not in stay), key=len, reverse=True)
    if not words:
        return None
    return re.compile(rf"(?<!\w)(?:{'|'.join(map(re.escape, words))})(?!\w)", re.IGNORECASE)


def scrubbed(value, words):
    """Return a value without `words`, however deep they stand in it."""
    if isinstance(value, str):
        return words.sub(ERASED, value)
    if isinstance(value, list):
        return [scrubbed(each, words) for each in value]
    if isinstance(value, dict):
        return {key: scrubbed(each, words) for key, each in value.items()}
    return value


def history(found, words):
    """Take the student out of the studio's history; return how many Changes are gone."""
    changes = Change.objects.filter(studio=found.studio)
    gone = Q(student_pk=found.pk) | Q(model=SEAT, object_pk__in=found.seats)
    gone |= Q(model=GUARDIAN, object_pk__in=found.guardians)
    keys = set(changes.filter(gone).values_list("pk", flat=True))
    mended = []
    for change in changes.exclude(gone).iterator():
        if _is_theirs(change, found) or _named_alone(change, found):
            keys.add(change.pk)
        elif _mend(change, found, words):
            mended.append(change)
    Change.objects.bulk_update(mended, ["label", "before", "after"], BATCH)
    for some in batched(sorted(keys), BATCH):
        Change.objects.filter(pk__in=some).delete()
    return len(keys)


def _is_theirs(change, found):
    """Whether a row hung on the student without being about them for access.py: staff's wishes."""
    model = apps.get_model(change.model)
    keys = {Student: {found.pk}, apps.get_model("entries", "Entry"): found.entries}
    for column in model._meta.concrete_fields:
        theirs = keys.get(column.related_model) if column.is_relation else None
        if theirs and not column.null:
            values = filter(None, (change.before, change.after))
            return any(each.get(column.attname) in theirs for each in values)
    return False


def _named_alone(change, found):
    """Whether a row named them alone, where to name nobody means everybody."""
    limits = getattr(apps.get_model(change.model), "LIMITS", ())
    lists = [many.name for many in _lists(change) if many.name in limits]
    values = filter(None, (change.before, change.after))
    return any(each.get(name) == [found.pk] for each in values for name in lists)


def _lists(change):
    """Return the fields of the row that hold several students."""
    fields = apps.get_model(change.model)._meta.many_to_many
    return [many for many in fields if many.related_model is Student]


def _mend(change, found, words):
    """Take their key out of lists and their name out of texts; return whether it was there."""
    was = deepcopy((change.label, change.before, change.after))
    lists = {many.name for many in _lists(change)}
    for values in filter(None, (change.before, change.after)):
        for name in lists & set(values):
            values[name] = [key for key in values[name] if key != found.pk]
    if words:
        now = [scrubbed(each, words) for each in (change.label, change.before, change.after)]
        change.label, change.before, change.after = now
    return was != (change.label, change.before, change.after)


def mentions(found, words):
    """Take their name out of the texts of the studio's other rows; return how many had it."""
    done = 0
    for label, reach in REACH.items():
        model = apps.get_model(label)
        columns = [c for c in model._meta.concrete_fields if _is_text(model, c)]
        if model is Change or not columns:
            continue
        rows = model._base_manager.filter(**{reach.studio.replace("self", "pk"): found.studio.pk})
        for values in rows.values("pk", *[c.name for c in columns]):
            now = {c.name: words.sub(ERASED, values[c.name] or "") for c in columns}
            changed = {name: text for name, text in now.items() if text != (values[name] or "")}
            if changed:
                _write(model, values["pk"], changed)
                done += 1
    return done


def _is_text(model, column):
    text = type(column) in {models.CharField, models.TextField} and not column.choices
    named = model in PERSONS and column.name in {"name", "known_as"}
    return text and not named and column.name not in {"feed_token", "time_zone"}


def _write(model, pk, changed):
    """Write texts; a row of that name may be there already, then it is told apart by its key."""
    cut = {name: text[: model._meta.get_field(name).max_length] for name, text in changed.items()}
    rows = model._base_manager.filter(pk=pk)
    try:
        with transaction.atomic():
            rows.update(**cut)
    except IntegrityError:
        rows.update(**dict.fromkeys(changed, f"{ERASED} {pk}"))
