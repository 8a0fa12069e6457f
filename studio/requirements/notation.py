"""What a teacher writes in the notations of planner, in forms."""

from collections.abc import Callable
from dataclasses import dataclass

from django import forms
from django.urls import reverse_lazy
from django.utils.functional import lazy
from django.utils.html import format_html

from planner import rubric, scales
from planner.repertoire import notation as planned

ADDRESS = reverse_lazy("notation")
_format_lazily = lazy(format_html, str)  # addresses are not known yet when forms are made


@dataclass(frozen=True)
class Notation:
    """One way of writing. help: its table of (label, example, meaning)."""

    title: str
    read: Callable
    spoken: Callable
    help: tuple


NOTATIONS = {
    "fits": Notation(
        "Only pieces with", planned.read_rules, planned.spoken_rules, planned.RULE_HELP
    ),
    "together": Notation(
        "Its pieces together", planned.read_together, planned.spoken_together, planned.TOGETHER_HELP
    ),
    "scales": Notation(
        "Scales asked for", scales.read_scales, scales.spoken_scales, scales.SCALES_HELP
    ),
    "rubric": Notation(
        "How it is scored", rubric.read_rubric, rubric.spoken_rubric, rubric.RUBRIC_HELP
    ),
    "points": Notation(
        "Points that were given", rubric.read_points, rubric.spoken_points, rubric.POINTS_HELP
    ),
}


def understood(name, text):
    """Return what is understood of a text in one of NOTATIONS, in words; raise ValueError."""
    notation = NOTATIONS[name]
    return notation.spoken(notation.read(text))


def is_unread(name, text):
    """Whether a text stands there that cannot be read."""
    try:
        understood(name, text)
    except ValueError:
        return True
    return False


def spoken(name, text):
    """Return a text in words, or as it stands where it cannot be read."""
    return text if is_unread(name, text) else understood(name, text)


class NotationInput(forms.TextInput):
    """A text in a notation, and below it what was understood of it."""

    def __init__(self, notation, attrs=None):
        asks = {
            "autocomplete": "off",
            "spellcheck": "false",
            "hx-get": ADDRESS,
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
            '{}<div class="field-help" id="{}" aria-live="polite">{}</div>', field, place, words
        )


class NotationField(forms.CharField):
    """A text in one of the notations; the model refuses what cannot be read."""

    notation = ""

    def __init__(self, **kwargs):
        kwargs["widget"] = NotationInput(self.notation)
        kwargs["help_text"] = _format_lazily(
            '{} <a href="{}">How it is written</a>', kwargs.get("help_text", ""), ADDRESS
        )
        super().__init__(**kwargs)


class FitsField(NotationField):
    """Rules about one piece."""

    notation = "fits"


class TogetherField(NotationField):
    """What binds several pieces."""

    notation = "together"


class ScalesField(NotationField):
    """Scales asked for."""

    notation = "scales"


class RubricField(NotationField):
    """How an institution scores."""

    notation = "rubric"


# Of a requirement; with the one of a set they are read back while they are typed.
NOTATION_FIELDS = {"fits": FitsField, "together": TogetherField, "scales": ScalesField}
READ_ALOUD = frozenset({*NOTATION_FIELDS, "rubric"})
