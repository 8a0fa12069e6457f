"""One row of the editor: a requirement as a teacher types it."""

import hashlib
import json
import re

from django import forms
from django.core.validators import MinValueValidator

from studio.accounts.forms import StudioForm
from studio.accounts.words import counted
from studio.requirements.models import GROUPS, Kind, Piano, Requirement, Said
from studio.requirements.notation import NOTATION_FIELDS
from studio.requirements.wording import plain

DEEPEST = 9
DIGITS = 5  # of the highest place
LINES = (
    ("name", "kind", "count", "minutes", "memory", "piano", "fits"),
    ("together", "scales", "inside", "details", "round", "place"),
)
COUNT = re.compile(r"(\d{1,3})(?:\s*(?:-|–|to)\s*(\d{1,3}))?")
TYPED = ("name", "count", "minutes", "fits", "together", "scales", "inside", "details")
CHOSEN = ("kind", "memory", "piano", "round")
SHORT_ROUND = [
    (Requirement.Round.SCREENING, "Screening"),
    (Requirement.Round.LIVE, "Audition"),
    (Requirement.Round.FINAL, "Final"),
]
AS_ABOVE = [("", "as above"), *SHORT_ROUND]
SHORT_PIANO = [
    (Piano.UNSTATED, "Not stated"),
    (Piano.WITH, "With"),
    (Piano.WITHOUT, "Without"),
]
SHORT_SAID = [(Said.UNSTATED, "Not stated"), (Said.YES, "Yes"), (Said.NO, "No")]


def count_of(row):
    """Return how many a requirement asks for as it is typed: "2", "2-3"; "" for the usual."""
    if row.kind == Kind.ALL_OF:
        return ""
    least, most = row.at_least, row.at_most
    if most is not None and most != least:
        return f"{least}-{most}"
    return str(least) if row.is_music or row.kind == Kind.SOME_OF or least != 1 else ""


def texts(row, group):
    """Return a requirement as the texts of its row. group: the name of the one that it is in."""
    return {
        "name": row.name,
        "kind": row.kind,
        "count": count_of(row),
        "minutes": plain(row.minutes),
        "memory": row.memory,
        "piano": row.piano,
        "round": row.round,
        "fits": row.fits,
        "together": row.together,
        "scales": row.scales,
        "inside": group,
        "details": row.details,
    }


def digest(values):
    """Return a short name for the texts of a row, the same for the same texts."""
    said = [" ".join(str(values.get(name) or "").split()) for name in (*TYPED, *CHOSEN)]
    return hashlib.sha256(json.dumps(said).encode()).hexdigest()[:16]


class KindSelect(forms.Select):
    """The kinds, groups marked for the script."""

    def create_option(self, name, value, *args, **kwargs):
        """Return one option."""
        option = super().create_option(name, value, *args, **kwargs)
        if value in GROUPS:
            option["attrs"]["data-group"] = True
        return option


class RowForm(StudioForm):
    """A requirement as one row. `instance` is a new one, or one of the set.

    count, inside: as they are typed; the grid finds the group. stood: the digest of what stood
    in the row when the page was made, so that a row which nobody touched is left alone.
    """

    defaulted = ("kind", "memory", "piano")

    count = forms.CharField(label="Number", required=False, max_length=12)
    inside = forms.CharField(required=False, max_length=120)
    place = forms.IntegerField(required=False, min_value=1, max_value=999)
    remove = forms.BooleanField(required=False)
    key = forms.IntegerField(required=False, widget=forms.HiddenInput)
    stood = forms.CharField(required=False, widget=forms.HiddenInput)

    class Meta:
        model = Requirement
        fields = [
            "name",
            "kind",
            "minutes",
            "memory",
            "piano",
            "round",
            "fits",
            "together",
            "scales",
            "details",
        ]
        field_classes = NOTATION_FIELDS

    def __init__(self, *args, group="", place=None, **kwargs):
        super().__init__(*args, **kwargs)
        row = self.instance
        self.place, self.parent_pk = place, row.parent_id
        self.parent, self.round = None, ""  # another RowForm, and its round: found by the grid
        self.was = texts(row, group)
        self._fields()
        self.initial = dict(self.was)
        if row.pk:
            self.initial |= {"key": row.pk, "stood": digest(self.was), "place": place}
        else:
            self.initial |= {"round": "", "count": ""}

    def _fields(self):
        for name in ("name", "round"):  # an empty row is no row
            self.fields[name].required = False
        self.fields["kind"].widget = KindSelect(choices=Kind.choices)
        self.fields["round"].choices = SHORT_ROUND if self.instance.pk else AS_ABOVE
        self.fields["memory"].choices = SHORT_SAID
        self.fields["piano"].choices = SHORT_PIANO
        self.fields["minutes"].validators.append(MinValueValidator(0))
        self.fields["details"].widget.attrs["rows"] = 1
        self.fields["inside"].widget.attrs |= {"list": "groups", "autocomplete": "off"}
        for name in ("count", "minutes", "place"):
            self.fields[name].widget = forms.TextInput({"inputmode": "decimal"})
        for field in self.fields.values():
            field.help_text = ""

    @property
    def lines(self):
        """The fields as they stand on the page, in two lines."""
        return [[self[name] for name in line] for line in LINES]

    @property
    def name_id(self):
        """The id of the field of its name, which a list of problems leads to."""
        return self["name"].id_for_label

    @property
    def row_errors(self):
        """What is wrong with the row as a whole."""
        return self.non_field_errors() if self.is_filled else ()

    @property
    def taken_along(self):
        """What goes with it if it is removed: "3 pieces" chosen for it; or nothing."""
        number = getattr(self.instance, "chosen", 0)
        return number and counted(number, "piece")

    def says(self, name):
        """Return what stands in a field, as a text."""
        return str(self[name].value() or "").strip()

    def as_it_stands(self):
        """Return data that say what is stored, and the place that is posted."""
        values = self.was | {"key": self.instance.pk, "place": self.says("place")}
        values |= {"stood": digest(self.was), "remove": self["remove"].value() or ""}
        return {self.add_prefix(name): value for name, value in values.items()}

    @property
    def signs(self):
        """How many > the name begins with: so deep in groups it is to stand."""
        said = self.says("name").replace(" ", "")
        return len(said) - len(said.lstrip(">"))

    @property
    def name(self):
        """Its name as it is going to be."""
        return self.says("name").lstrip("> ")

    @property
    def is_group(self):
        """Whether it can hold others."""
        return self.says("kind") in GROUPS

    @property
    def wanted_place(self):
        """The place that is asked for; its own where none or no number is, None for a new one."""
        said = self.says("place")
        return int(said) if said.isdecimal() and len(said) <= DIGITS else self.place

    @property
    def is_touched(self):
        """Whether something else is posted than stood there when the page was made."""
        says_something = self.instance.pk or any(self.says(name) for name in TYPED)
        return bool(says_something) and digest(self._texts()) != self.says("stood")

    @property
    def is_overtaken(self):
        """Whether somebody else has changed the row in between, and not to what is posted."""
        return bool(self.instance.pk) and digest(self.was) not in {
            self.says("stood"),
            digest(self._texts()),
        }

    @property
    def is_removed(self):
        """Whether the row is to go."""
        return bool(self.instance.pk and self["remove"].value())

    @property
    def is_filled(self):
        """Whether it stays, or is new and says something."""
        return not self.is_removed and bool(self.instance.pk or self.is_touched)

    def _texts(self):
        return {name: self.says(name) for name in (*TYPED, *CHOSEN)}

    def warn_overtaken(self):
        """Ask once before what somebody else has written meanwhile is replaced."""
        self.data = {**self.data.dict(), self.add_prefix("stood"): digest(self.was)}
        self.add_error(
            None,
            f"Somebody else has changed this row since: it is now “{self.was['name']}”. What "
            "stands here replaces theirs if you save once more.",
        )

    def clean_name(self):
        """Ask for the name of a row that says something else."""
        name = self.name
        if not name and self.instance.pk:
            raise forms.ValidationError("Tick “Remove” to take this out, or write its name again.")
        if not name:
            raise forms.ValidationError("Say in a few words what is asked.")
        return name

    def clean_count(self):
        """Read "2" and "2-3" into the least and the most."""
        text = self.cleaned_data["count"].strip()
        if text == self.was["count"] and self.instance.pk:
            return text
        found = COUNT.fullmatch(text or "1")
        if not found:
            raise forms.ValidationError("Write a number as 2, a range as 2-3.")
        least, most = int(found[1]), found[2] and int(found[2])
        if most is not None and most < least:
            raise forms.ValidationError("The most is fewer than the least.")
        if most is None and not least:
            raise forms.ValidationError("Write 1 or more; 0-1 for what may be left out.")
        self.instance.at_least, self.instance.at_most = least, most
        return text

    def clean(self):
        """Refuse a number of a group that asks for all it holds."""
        values = super().clean()
        self.instance.parent = None  # the grid knows its group
        if values.get("kind") == Kind.ALL_OF and values.get("count", "1") not in {"", "1"}:
            self.add_error("count", "All are asked for: leave it empty, or choose “some of these”.")
        return values

    def validate_unique(self):
        """Left to the grid: it knows all rows of the set."""

    def validate_constraints(self):
        """Left to the grid, too."""

    @property
    def depth(self):
        """How deep in groups it stands, 0 at the top; DEEPEST for a group in itself."""
        depth, above = 0, self.parent
        while above is not None and depth < DEEPEST:
            depth, above = depth + 1, above.parent
        return depth
