"""Forms that offer only what the asker may see, and the forms of people and the studio."""

from dataclasses import dataclass

from django import forms
from django.contrib.auth.password_validation import validate_password
from django.core.exceptions import NON_FIELD_ERRORS
from django.utils.html import format_html, format_html_join

from studio.accounts.access import OWNERS, STAFF, readable
from studio.accounts.meanwhile import Meanwhile
from studio.accounts.models import Role, Studio, User

# What a row's name is made of, so that a list of choices costs one query.
SHOWN_WITH = {
    "Assignment": ("requirement", "piece"),
    "Audition": ("institution",),
    "Deadline": ("audition__institution",),
    "OfferedDate": ("audition__institution",),
    "RequirementSet": ("institution", "instrument"),
    "Entry": ("student", "audition__institution"),
}

DIGITS = 18  # of a key; a column of 64 bits holds any number of so many


class ZoneInput(forms.TextInput):
    """A time zone to type, with some names to choose from."""

    def __init__(self, zones=(), attrs=None):
        super().__init__({"autocomplete": "off", "spellcheck": "false", **(attrs or {})})
        self.zones = sorted(set(filter(None, zones)))

    def render(self, name, value, attrs=None, renderer=None):
        """Return the field with the list of zones that it offers."""
        listed = f"{(attrs or {}).get('id', name)}_zones"
        field = super().render(name, value, {**(attrs or {}), "list": listed}, renderer)
        options = format_html_join("", '<option value="{}"></option>', ((z,) for z in self.zones))
        return format_html('{}<datalist id="{}">{}</datalist>', field, listed, options)


class WebAddress(forms.URLField):
    """An address on the web; without "http://" or "https://" the second is meant."""

    def __init__(self, **kwargs):
        super().__init__(assume_scheme="https", **kwargs)


class Rows(forms.ModelMultipleChoiceField):
    """Several rows to tick; a number that no column holds is none of them."""

    def _check_values(self, value):
        """Refuse what the database could not even look for."""
        for key in value if isinstance(value, list | tuple) else ():
            if len(str(key)) > DIGITS:
                message = self.error_messages["invalid_pk_value"]
                raise forms.ValidationError(message, "invalid_pk_value", {"pk": str(key)[:DIGITS]})
        return super()._check_values(value)


@dataclass(frozen=True)
class Line:
    """Fields of a form that stand side by side; `legend` names them together."""

    fields: list
    legend: str = ""


class StudioForm(Meanwhile, forms.ModelForm):
    """A ModelForm for `who`: every choice of related rows is limited to what they may see.

    lines: tuples of fields that stand side by side; a legend by such a tuple in `legends`.
    defaulted: fields that may be left empty and then keep the model's default.
    taken: (field, message) for a row that repeats another of its owner's.
    owner: the model field of the owner, which is not in the form.
    """

    lines = ()
    legends = {}
    defaulted = ()
    taken = None
    owner = None

    def __init__(self, *args, who, **kwargs):
        super().__init__(*args, **kwargs)
        self.who = who
        for name, field in self.fields.items():
            if name in self.defaulted:
                field.required = False
            if isinstance(field, forms.ModelChoiceField):
                model = field.queryset.model
                shown_with = SHOWN_WITH.get(model.__name__, ())
                field.queryset = readable(who, model).select_related(*shown_with)
            elif isinstance(field, forms.DateField):
                field.widget = forms.DateInput(format="%Y-%m-%d", attrs={"type": "date"})
            elif isinstance(field, forms.TimeField):
                field.widget = forms.TimeInput(format="%H:%M", attrs={"type": "time"})
            elif isinstance(field.widget, forms.Textarea):
                field.widget.attrs["rows"] = 3

    def zones(self, *names):
        """Offer time zones to the form's fields of them: the studio's and `names`."""
        return ZoneInput([self.who.studio.time_zone, *names])

    @property
    def in_lines(self):
        """The fields as they stand on the page: one a line, or several side by side."""
        beside = {name: names for names in self.lines for name in names}
        for name in self.fields:
            names = beside.get(name, (name,))
            fields = [self[each] for each in names if each in self.fields]
            if name == fields[0].name:
                yield Line(fields, self.legends.get(names, ""))

    def clean(self):
        """Fill what is left empty and has a usual value."""
        values = super().clean()
        for name in self.defaulted:
            if values.get(name) in (None, "") and name not in self.errors:
                values[name] = self.instance._meta.get_field(name).get_default()
        return values

    def _get_validation_exclusions(self):
        """Look for repeated rows within the owner as well, though the owner is not in the form."""
        return super()._get_validation_exclusions() - {self.owner}

    def _update_errors(self, errors):
        """Say of a repeated row beside its field, in the form's own words, that it is one."""
        found = errors.error_dict if self.taken and hasattr(errors, "error_dict") else {}
        general = found.pop(NON_FIELD_ERRORS, [])
        rest = [error for error in general if error.code != "unique_together"]
        if rest:
            found[NON_FIELD_ERRORS] = rest
        if len(rest) < len(general):
            field, message = self.taken
            found.setdefault(field, []).append(forms.ValidationError(message))
        super()._update_errors(errors)


class StudioSettingsForm(Meanwhile, forms.ModelForm):
    """What holds for the whole studio."""

    class Meta:
        model = Studio
        fields = [
            "name",
            "season",
            "time_zone",
            "country",
            "currency",
            "mark_names",
            "ready_at",
            "ease_days",
            "check_days",
            "sight_reading",
            "two_factor",
            "keep_months",
        ]

    def __init__(self, *args, who, **kwargs):
        super().__init__(*args, instance=who.studio, **kwargs)
        if who.role != Role.OWNER:
            for name in OWNERS:
                del self.fields[name]

    def clean_currency(self):
        """Take small letters too: usd is USD."""
        return self.cleaned_data["currency"].upper()


class InvitationForm(forms.Form):
    """Invite a member of staff; students are invited from their own page."""

    email = forms.EmailField(label="E-mail")
    role = forms.ChoiceField(
        choices=[(role.value, role.label) for role in (Role.TEACHER, Role.ASSISTANT)]
    )

    def __init__(self, *args, studio, **kwargs):
        super().__init__(*args, **kwargs)
        self.studio = studio

    def clean_email(self):
        """Refuse the address of somebody who belongs to the staff already."""
        email = self.cleaned_data["email"]
        if self.studio.memberships.filter(user__email__iexact=email, role__in=STAFF).exists():
            raise forms.ValidationError(
                "This person works here already. Take their seat away before giving another."
            )
        return email


class AcceptForm(forms.Form):
    """Choose a name and a password when accepting an invitation for the first time."""

    name = forms.CharField(max_length=120, label="Your name")
    password = forms.CharField(
        widget=forms.PasswordInput(attrs={"autocomplete": "new-password"}),
        help_text="At least eight characters, not one of the common ones.",
    )

    def __init__(self, *args, email, **kwargs):
        super().__init__(*args, **kwargs)
        self.email = email

    def clean(self):
        """Refuse a password that is too easy to guess for this person."""
        values = super().clean()
        if password := values.get("password"):
            user = User(email=self.email, name=values.get("name", ""))
            try:
                validate_password(password, user)
            except forms.ValidationError as error:
                self.add_error("password", error)
        return values
