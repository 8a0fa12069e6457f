"""The form of a hearing: one figure for each criterion, and what does not fit any more is kept."""

from decimal import Decimal

from django import forms
from django.db.models import Q
from django.utils.text import capfirst, slugify

from planner.rubric import Point, same, spoken_points, write_points, written
from studio.accounts.forms import Rows, StudioForm
from studio.accounts.models import FIRST_YEAR
from studio.entries.applications_forms import refuse_future
from studio.entries.hearings.bridge import read_points, scoring
from studio.entries.models import Hearing

OFTEN = 100
NOTHING_HEARD = "Give at least one figure, or a word."
TOO_MUCH = "There are more points than can be kept. Remove the hearing and write it anew."


class Figure(forms.DecimalField):
    """A number of points; half ones as 7.5 or 7,5."""

    def __init__(self, label, least, most, advice):
        super().__init__(
            label=label,
            required=False,
            min_value=Decimal(least),
            max_value=Decimal(most),
            decimal_places=2,
            max_digits=7,
            widget=forms.TextInput({"inputmode": "decimal", "autocomplete": "off"}),
            error_messages={"invalid": advice, "min_value": advice, "max_value": advice},
        )

    def to_python(self, value):
        """Read a decimal comma too."""
        return super().to_python(value.replace(",", ".") if isinstance(value, str) else value)

    def prepare_value(self, value):
        """Show 15 rather than 15.00."""
        return written(value) if isinstance(value, Decimal) else value


class HearingForm(StudioForm):
    """What one listener gave for the programme of an entry."""

    owner = "entry"
    taken = (
        "heard_by",
        "That hearing is written down already: say who else listened, or change that one.",
    )
    defaulted = ("kind",)

    class Meta:
        model = Hearing
        fields = ["on", "kind", "heard_by", "pieces", "take", "note"]
        labels = {"pieces": "What was played", "take": "Which take", "note": "A word"}
        help_texts = {"pieces": "Tick nothing if it was all of it."}
        field_classes = {"pieces": Rows}
        widgets = {"pieces": forms.CheckboxSelectMultiple}

    def __init__(self, *args, **kwargs):
        super().__init__(*args, **kwargs)
        self.scoring = scoring(self.instance.entry, self.who.studio)
        self.given = {same(each.name): each for each in read_points(self.instance.points)}
        self.names = {}
        for one in self.scoring.rubric.criteria:
            least, most = self.scoring.lowest, written(one.most)
            advice = f"Write a number, {least} to {most}."
            self._add(one.name, Figure(f"{capfirst(one.name)}, of {most}", least, one.most, advice))
        for off in self.scoring.rubric.deductions:
            advice = f"Write how often it came, 0 to {OFTEN}."
            self._add(off.name, Figure(f"{capfirst(off.name)}, how often", 0, OFTEN, advice))
        self._limit()
        self.order_fields(["on", "kind", "heard_by", *self.names, "note", "pieces", "take"])
        self.lines = (("on", "kind", "heard_by"), tuple(self.names))
        self.legends = {tuple(self.names): "Points"}
        self.watch()

    def _add(self, name, field):
        key = f"points-{slugify(name, allow_unicode=True)}"
        while key in self.fields:
            key += "-"
        if there := self.given.get(same(name)):
            field.initial = there.value
        self.fields[key], self.names[key] = field, name

    def _limit(self):
        """Offer the pieces that are chosen for the entry, and its takes if there are any."""
        entry, pieces, take = self.instance.entry, self.fields["pieces"], self.fields["take"]
        wanted = Q(assignments__entry=entry)
        if self.instance.pk:
            wanted |= Q(hearings=self.instance.pk)
        pieces.queryset = pieces.queryset.filter(wanted).distinct()
        take.queryset = take.queryset.filter(entry=entry)
        takes = list(take.queryset)
        take.empty_label = "None"
        if takes:
            take.choices = [("", "None"), *((each.pk, f"{each} {each.file}") for each in takes)]
        else:
            del self.fields["take"]

    @property
    def kept(self):
        """Points of what is not scored any more, in words; "" if there are none."""
        return spoken_points(self._kept())

    def _kept(self):
        scored = {same(name) for name in self.names.values()}
        return [point for name, point in self.given.items() if name not in scored]

    def clean_on(self):
        """Refuse a year that is a slip of the finger."""
        on = self.cleaned_data["on"]
        if on.year < FIRST_YEAR:
            raise forms.ValidationError(f"Write a year from {FIRST_YEAR} on.")
        return on

    def clean(self):
        """Put the figures together, with those that nothing asks for any more."""
        values = super().clean()
        refuse_future(self, "on")
        points = [
            Point(name, values[key])
            for key, name in self.names.items()
            if values.get(key) is not None
        ]
        if not points and not values.get("note") and not self.errors:
            self.add_error(None, NOTHING_HEARD)
        text = write_points((*points, *self._kept()))
        if len(text) > Hearing._meta.get_field("points").max_length:
            self.add_error(None, TOO_MUCH)
        self.instance.points = text
        return values
