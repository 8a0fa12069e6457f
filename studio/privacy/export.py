"""Everything about one student as a zip, made in memory: data.json for programs, about.html.

Other students' names never stand in it: their keys are left out, and their full names in what
people wrote become "another student".
"""

import io
import json
import re
import zipfile
from dataclasses import dataclass
from datetime import datetime

from django.apps import apps
from django.core.serializers.json import DjangoJSONEncoder
from django.db.models import Q
from django.template.loader import render_to_string
from django.utils.text import capfirst

from studio.accounts.access import REACH, STAFF
from studio.accounts.forms import SHOWN_WITH
from studio.accounts.models import Change, Role
from studio.privacy.holdings import HOLDINGS, ROWS
from studio.privacy.traces import GUARDIAN, SEAT, STUDENT
from studio.students.models import Student

# Keys to doors, and what only programs can read: never in a file that is handed over.
SECRET = {"password", "data", "secret_hash", "session_key", "key", "feed_token"}
UNTOLD = {"groups", "user_permissions", "is_superuser"}
ANOTHER = "another student"
HISTORY = Change._meta.label_lower


@dataclass(frozen=True)
class Kind:
    """Rows of one kind, dicts by the field's own name. name: the model's label."""

    name: str
    title: str
    what: str
    rows: tuple

    @property
    def columns(self):
        """What its fields are called on the site's pages, in order."""
        return [capfirst(field.verbose_name) for field in self._fields]

    @property
    def lines(self):
        """The rows as the cells of a table."""
        return [list(map(_cell, self._fields, row.values())) for row in self.rows]

    @property
    def _fields(self):
        return [apps.get_model(self.name)._meta.get_field(name) for name in self.rows[0]]


def _cell(field, value):
    """Return a value as it is read; one of few choices by its label."""
    return _readable(dict(field.flatchoices).get(value, value) if field.choices else value)


def _readable(value):
    if isinstance(value, dict):
        return "; ".join(f"{key}: {_readable(each)}" for key, each in value.items())
    if isinstance(value, list):
        return ", ".join(map(_readable, value))
    if isinstance(value, bool):
        return "yes" if value else "no"
    if isinstance(value, datetime):
        return f"{value:%Y-%m-%d %H:%M}"
    return "" if value is None else str(value)


def archive(who, student, today):
    """Return the zip of what `who` may take along of a student, as bytes."""
    kinds = everything(who, student)
    told = {kind.name: kind.rows for kind in kinds}
    data = {"student": student.name, "written": today, "kinds": told}
    context = {"student": student, "today": today, "kinds": kinds}
    packed = io.BytesIO()
    with zipfile.ZipFile(packed, "w", zipfile.ZIP_DEFLATED) as files:
        files.writestr("data.json", json.dumps(data, cls=DjangoJSONEncoder, indent=1))
        files.writestr("about.html", render_to_string("privacy/about.html", context))
    return packed.getvalue()


def everything(who, student):
    """Return the Kinds that have rows, as `who` may take them along."""
    others = _others(student)
    kinds = []
    for model, lines in _models(who).items():
        rows = history(who, student) if model == HISTORY else _rows(who, student, lines)
        if rows:
            meta = lines[0].rows.model._meta
            what = "; ".join(line.what for line in lines)
            title = capfirst(str(meta.verbose_name_plural))
            kinds.append(Kind(model, title, what, tuple(_without(row, others) for row in rows)))
    return kinds


def _models(who):
    """Return the lines that `who` takes rows of, by model."""
    found = {}
    for line in HOLDINGS:
        own = not line.private or who.role != Role.GUARDIAN
        if who.role in STAFF or (line.shown == ROWS and own):
            found.setdefault(line.model, []).append(line)
    return found


def _fields(who, lines):
    """Return the model's fields that are told, in the model's order."""
    meta = lines[0].rows.model._meta
    named = {name for line in lines for name in line.fields}
    taken = set() if who.role in STAFF else {name for line in lines for name in line.taken}
    fields = (*meta.concrete_fields, *meta.many_to_many)
    chosen = [f for f in fields if f.name not in SECRET | UNTOLD]
    for only in (named, taken):
        chosen = [f for f in chosen if not only or f.name in only]
    return chosen


def _rows(who, student, lines):
    fields = _fields(who, lines)
    model = lines[0].rows.model
    links = [f for f in fields if f.is_relation]
    rows = lines[0].of(student.pk).order_by("pk")
    one = [p for f in links if not f.many_to_many for p in _with(f)]
    rows = rows.select_related(*one, *SHOWN_WITH.get(model.__name__, ()))
    rows = rows.prefetch_related(*[f.name for f in links if f.many_to_many])
    return [{field.name: _value(row, field, student) for field in fields} for row in rows]


def _with(field):
    """Return what has to be loaded so that the row a field points to can say its name."""
    deeper = SHOWN_WITH.get(field.related_model.__name__, ())
    return [field.name, *(f"{field.name}__{path}" for path in deeper)]


def _value(row, field, student):
    if field.many_to_many:
        rows = getattr(row, field.name).all()
        return [str(each) for each in rows if type(each) is not Student or each.pk == student.pk]
    value = getattr(row, field.name)
    return str(value) if field.is_relation and value is not None else value


def history(who, student):
    """Return the Changes about a student as plain rows, oldest first.

    For the student and their guardians: of what they may read, without what only staff sees.
    """
    about = Q(student_pk=student.pk)
    if who.role in STAFF:
        guardians = list(student.guardians.values_list("pk", flat=True))
        about |= Q(model=GUARDIAN, object_pk__in=guardians)
        about |= Q(model=SEAT, object_pk=student.membership_id)
        for line in HOLDINGS:
            if line.model.startswith("entries.") and REACH[line.model].student is None:
                wishes = list(line.of(student.pk).values_list("pk", flat=True))
                about |= Q(model=line.model, object_pk__in=wishes)
    changes = Change.objects.filter(about, studio=student.studio_id).select_related("by")
    rows = []
    for change in changes.order_by("pk"):
        if who.role in STAFF or REACH[change.model].student:
            rows.append(_change(who, student, change))
    return rows


def _change(who, student, change):
    values = [_told(who, student, change, each) for each in (change.before, change.after)]
    return {
        "at": change.at,
        "by": str(change.by) if change.by else None,
        "action": change.get_action_display(),
        "model": change.model,
        "label": change.label,
        "before": values[0],
        "after": values[1],
    }


def _told(who, student, change, values):
    if values is None:
        return None
    hidden = set(SECRET)
    if change.model == STUDENT and who.role not in STAFF:
        hidden |= {name for line in HOLDINGS if line.shown != ROWS for name in line.fields}
    told = {key: value for key, value in values.items() if key not in hidden}
    if change.model == GUARDIAN:
        told["students"] = [key for key in told["students"] if key == student.pk]
    return told


def _others(student):
    """Return what matches the full names of the studio's other students; None if it has none.

    A name that stands within the student's own is theirs too.
    """
    others = Student.objects.filter(studio=student.studio_id).exclude(pk=student.pk)
    own = student.name.casefold()
    names = [name for name in others.values_list("name", flat=True) if name.casefold() not in own]
    if not names:
        return None
    longest = sorted(names, key=len, reverse=True)
    return re.compile(rf"(?<!\w)(?:{'|'.join(map(re.escape, longest))})(?!\w)", re.IGNORECASE)


def _without(value, others):
    if others is None:
        return value
    if isinstance(value, str):
        return others.sub(ANOTHER, value)
    if isinstance(value, list):
        return [_without(each, others) for each in value]
    if isinstance(value, dict):
        return {key: _without(each, others) for key, each in value.items()}
    return value
