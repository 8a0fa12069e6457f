"""What a teacher writes in the notations of planner.repertoire and planner.scales, in forms."""

from django import forms
from django.core.exceptions import ValidationError
from django.urls import reverse_lazy
from django.utils.html import format_html


def understood(notation, text):
    """Return what was understood of a text, in words."""
    return text


class NotationInput(forms.TextInput):
    """A text in a notation, and below it what was understood of it."""

    def __init__(self, notation, attrs=None):
        asks = {
            "autocomplete": "off",
            "spellcheck": "false",
            "hx-get": reverse_lazy("notation"),
            "hx-trigger": "change",
            "hx-vals": f'{{"notation": "{notation}"}}',
        }
        super().__init__({**asks, **(attrs or {})})
        self.notation = notation

    def render(self, name, value, attrs=None, renderer=None):
        """Return the field and, as far as it can be read, what stands in it in words."""
        place = f"{(attrs or {}).get('id', name)}_read"
        attrs = {**(attrs or {}), "hx-target": f"#{place}"}
        try:
            words = understood(self.notation, value) if value else ""
        except ValueError:
            words = ""
        field = super().render(name, value, attrs, renderer)
        return format_html(
            '{}<span class="read" id="{}" aria-live="polite">{}</span>', field, place, words
        )


class NotationField(forms.CharField):
    """A text in one of the notations: refused where it cannot be read.

    kept: a text that is taken as it is, since it stands there already.
    """

    kept = ""
    notation = ""

    def __init__(self, **kwargs):
        kwargs["widget"] = NotationInput(self.notation)
        super().__init__(**kwargs)

    def validate(self, value):
        """Refuse what cannot be read, saying which clause to mend."""
        super().validate(value)
        if value and value != self.kept:
            try:
                understood(self.notation, value)
            except ValueError as error:
                raise ValidationError(str(error)) from error


class FitsField(NotationField):
    """Rules about one piece."""

    notation = "fits"


class TogetherField(NotationField):
    """What binds several pieces."""

    notation = "together"


class ScalesField(NotationField):
    """Scales asked for."""

    notation = "scales"


NOTATION_FIELDS = {"fits": FitsField, "together": TogetherField, "scales": ScalesField}
