"""Two people at the same thing: a form notices what somebody else wrote since it was opened.

Each field carries along what stood in it when the page was made. If something else stands there by
now, nothing is saved: the page comes back with both versions side by side. What was left alone in
the form is theirs then, what was written in it stays; saving again is a choice, not an accident.
"""

from dataclasses import dataclass

from django import forms
from django.db import transaction
from django.db.models import Model
from django.utils import timezone
from django.utils.dateformat import format as dated
from django.utils.text import Truncator

from studio.accounts.models import Change

LONGEST = 200  # letters of a value beside another


class Overtaken(Exception):
    """Somebody else wrote in the row, or removed it, while it was being saved."""


@dataclass(frozen=True)
class Clash:
    """A field that somebody else changed meanwhile. kept: this form's own value stays in it."""

    label: str
    theirs: str
    yours: str
    kept: bool


class Meanwhile:
    """Mixed into a form; `clashes` are known once it was cleaned."""

    clashes = ()

    def __init__(self, *args, **kwargs):
        super().__init__(*args, **kwargs)
        if row := getattr(self, "instance", None):
            columns = [c.attname for c in row._meta.concrete_fields if c.name in self.fields]
            self.found = {name: getattr(row, name) for name in ("pk", *columns)}
        self.watch()

    def watch(self):
        """Let each field carry along what stands in it; again after fields were added."""
        row = getattr(self, "instance", None)
        if row is not None and row.pk is None:  # nobody else can have written in it yet
            for field in self.fields.values():  # a default that is worked out turns it on
                field.show_hidden_initial = False
            return
        carried = any(self.add_initial_prefix(name) in self.data for name in self.fields)
        for field in self.fields.values():  # an empty choice of many carries nothing along
            field.show_hidden_initial = carried or not self.is_bound

    def save(self, commit=True):
        """Save a row, as it was read; raises Overtaken if somebody has written in it since."""
        row = self.instance
        with transaction.atomic():
            if row.pk is not None:
                rows = type(row)._base_manager.select_for_update().filter(pk=row.pk).order_by()
                if rows.values(*self.found).first() != self.found:
                    raise Overtaken
            return super().save(commit)

    def full_clean(self):
        """Look first whether what stood there still stands there."""
        if self.is_bound and not self.clashes:
            self.clashes = tuple(self._clashes())
        super().full_clean()
        if self.clashes:
            self.add_error(None, self._told())

    def _clashes(self):
        for name, field in self.fields.items():
            if not field.show_hidden_initial:
                continue
            bound, now = self[name], self.get_initial_for_field(field, name)
            seen = field.hidden_widget().value_from_datadict(
                self.data, self.files, self.add_initial_prefix(name)
            )
            written = bound.data
            if not field.has_changed(now, seen) or not field.has_changed(now, written):
                continue
            kept = field.has_changed(_python(field, seen), written)
            yield Clash(bound.label, said(field, now), said(field, written), kept)
            self._take(name, field, now, kept)

    def _take(self, name, field, now, kept):
        """Let the form go on from what stands there now; what was left alone becomes that too."""
        self.data = self.data.copy()
        places = [self.add_initial_prefix(name)] + ([] if kept else [self.add_prefix(name)])
        for place in places:
            values = _raw(field, now)
            if hasattr(self.data, "setlist"):
                self.data.setlist(place, values)
            else:
                self.data[place] = values[0] if values else ""

    def _told(self):
        who = "Somebody else"
        if change := self._last_change():
            when = dated(timezone.localtime(change.at), "j F, H:i")
            who = f"{change.by or 'The program'} ({when})"
        return (
            f"{who} changed this while you were writing. Both versions stand below: what you leave "
            "in the form is what you save."
        )

    def _last_change(self):
        row = getattr(self, "instance", None)
        if row is None or row.pk is None:
            return None
        changes = Change.objects.filter(model=row._meta.label_lower, object_pk=row.pk)
        return changes.select_related("by").first()


def _python(field, raw):
    try:
        return field.to_python(raw)
    except forms.ValidationError:
        return None


def _raw(field, value):
    """Return a value as the strings in which a browser would send it."""
    value = field.prepare_value(value() if callable(value) else value)
    if isinstance(field, forms.BooleanField):
        return ["on"] if value else []
    if isinstance(value, list | tuple | set) or hasattr(value, "all"):
        return [str(getattr(each, "pk", each)) for each in value]
    if value is None:
        return [""]
    shown = field.widget.format_value(value)
    return [str(each) for each in shown] if isinstance(shown, list) else [str(shown or "")]


def said(field, value):
    """Return a field's value (as stored, or as sent) in words; "nothing" where it is empty."""
    if isinstance(field, forms.BooleanField):
        return "yes" if field.to_python(value) else "no"
    values = value if isinstance(value, list | tuple | set) else [value]
    names = [_named(field, each) for each in values if each not in (None, "")]
    return Truncator(", ".join(names)).chars(LONGEST) or "nothing"


def _named(field, value):
    if isinstance(value, Model):
        return str(value)
    if isinstance(field, forms.ModelChoiceField):
        try:
            row = field.queryset.filter(pk=value).first()
        except (ValueError, OverflowError):
            row = None
        return str(row or value)
    if isinstance(field, forms.ChoiceField):
        flat = {str(key): label for key, label in _flat(field.choices)}
        return str(flat.get(str(value), value))
    return str(value)


def _flat(choices):
    for key, label in choices:
        if isinstance(label, list | tuple):
            yield from label
        else:
            yield key, label
