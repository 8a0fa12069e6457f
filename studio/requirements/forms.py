"""Forms of pieces, requirement sets, their requirements, errata and the teacher's judgements."""

from django import forms
from django.core.validators import MinValueValidator

from studio.accounts.access import readable
from studio.accounts.forms import Rows, StudioForm, WebAddress
from studio.requirements.contexts import asked_of
from studio.requirements.models import (
    GROUPS,
    Erratum,
    Judgement,
    Piece,
    RecordingRules,
    Requirement,
    RequirementSet,
)
from studio.requirements.notation import NOTATION_FIELDS, RubricField, TogetherField

JUDGEMENTS = "With my judgements of pieces"


class PieceForm(StudioForm):
    """A piece of the repertoire."""

    owner = "studio"
    taken = ("section", "This piece is in the repertoire already. Name the movement or section.")
    defaulted = ("kind", "piano")
    lines = (
        ("composer", "work", "section"),
        ("book", "bars"),
        ("instrument", "kind", "piano"),
        ("minutes", "hours", "level"),
        ("target_tempo", "beat"),
        ("genre", "period", "year"),
        ("character", "language"),
    )
    quick = ("composer", "work", "section", "kind", "minutes", "hours")

    class Meta:
        model = Piece
        fields = [
            "composer",
            "work",
            "section",
            "book",
            "bars",
            "instrument",
            "kind",
            "piano",
            "minutes",
            "hours",
            "level",
            "target_tempo",
            "beat",
            "genre",
            "period",
            "year",
            "character",
            "language",
            "edition",
            "notes",
        ]


class RequirementSetForm(StudioForm):
    """What one institution asks of one instrument, level and degree."""

    owner = "institution"
    taken = ("degree", "Requirements for this instrument, level and degree are there already.")
    defaulted = ("reuse", "again")
    lines = (
        ("instrument", "season"),
        ("level", "degree"),
        ("reuse", "again"),
        ("checked_by", "checked_on"),
    )

    class Meta:
        model = RequirementSet
        fields = [
            "instrument",
            "season",
            "level",
            "degree",
            "source",
            "reuse",
            "again",
            "together",
            "rubric",
            "checked_by",
            "checked_on",
            "notes",
        ]
        field_classes = {"source": WebAddress, "together": TogetherField, "rubric": RubricField}


class RequirementForm(StudioForm):
    """A requirement; without a place of its own it comes last."""

    owner = "requirement_set"
    taken = ("name", "This set asks for it already in that round. Tell them apart in words.")
    defaulted = ("kind", "round", "at_least", "memory", "piano", "keys_at", "weight")
    lines = (
        ("name", "position"),
        ("kind", "round", "parent"),
        ("at_least", "at_most", "minutes"),
        ("memory", "piano", "weight"),
        ("keys_at", "study_seconds"),
    )
    legends = {("keys_at", "study_seconds"): "Of scales, and of sight-reading"}

    class Meta:
        model = Requirement
        fields = [
            "name",
            "position",
            "kind",
            "round",
            "parent",
            "at_least",
            "at_most",
            "minutes",
            "memory",
            "piano",
            "weight",
            "fits",
            "together",
            "scales",
            "keys_at",
            "study_seconds",
            "details",
        ]
        field_classes = NOTATION_FIELDS

    def __init__(self, *args, **kwargs):
        super().__init__(*args, **kwargs)
        self.fields["position"].required = False
        self.fields["minutes"].validators.append(MinValueValidator(0))
        self.fields["at_least"].help_text = "Of a group: how many of what it holds."
        groups = self.instance.requirement_set.requirements.filter(kind__in=GROUPS)
        self.fields["parent"].queryset = groups.exclude(pk=self.instance.pk)
        self.fields["parent"].empty_label = "No group"

    def clean_position(self):
        """A line without a number keeps its place."""
        return self.cleaned_data["position"] or self.instance.position


class ErratumForm(StudioForm):
    """A correction that the institution published."""

    owner = "requirement_set"
    taken = ("text", "This correction is written down already.")

    class Meta:
        model = Erratum
        fields = ["on", "text", "requirement", "source"]
        field_classes = {"source": WebAddress}

    def __init__(self, *args, **kwargs):
        super().__init__(*args, **kwargs)
        rows = self.instance.requirement_set.requirements.all()
        self.fields["requirement"].queryset = rows
        self.fields["requirement"].empty_label = "All of them"


class RecordingRulesForm(StudioForm):
    """How the recording of one round has to be made and sent."""

    owner = "requirement_set"
    taken = ("round", "The rules of that recording are written down already: change those.")
    defaulted = ("files", "fixed_order", "editing", "piano", "video", "speaking", "names")
    lines = (
        ("files", "fixed_order", "editing"),
        ("piano", "video"),
        ("speaking", "names"),
        ("max_age", "max_minutes"),
    )

    class Meta:
        model = RecordingRules
        fields = RecordingRules.SAID

    def __init__(self, *args, **kwargs):
        super().__init__(*args, **kwargs)
        live = Requirement.Round.LIVE
        field = self.fields["round"]
        field.choices = [choice for choice in Requirement.Round.choices if choice[0] != live]


class JudgementForm(StudioForm):
    """The teacher's word on a piece. `fits` comes from the button that is pressed."""

    fits = forms.TypedChoiceField(
        choices=[("yes", "It fits after all"), ("no", "It does not fit")],
        coerce=lambda word: word == "yes",
    )

    class Meta:
        model = Judgement
        fields = ["piece", "fits", "reason"]


class CopyForm(StudioForm):
    """Where a copy of a set goes, and for whom it is."""

    taken = ("degree", "That institution has requirements for these already: change one of them.")
    lines = (("instrument", "season"), ("level", "degree"))
    judgements = forms.BooleanField(label=JUDGEMENTS, required=False)

    class Meta:
        model = RequirementSet
        fields = ["institution", "instrument", "season", "level", "degree"]


class FillForm(forms.Form):
    """Whose slots an empty set takes over."""

    source = forms.ModelChoiceField(RequirementSet.objects.none(), label="Copy the slots of")
    judgements = forms.BooleanField(label=JUDGEMENTS, required=False)

    def __init__(self, *args, who, target, **kwargs):
        super().__init__(*args, **kwargs)
        sets = readable(who, RequirementSet).select_related("institution", "instrument")
        filled = sets.filter(requirements__isnull=False).exclude(pk=target.pk)
        self.fields["source"].queryset = filled.distinct().order_by("institution__name", "-season")


class SetsField(Rows):
    """Sets of one season, to tick."""

    widget = forms.CheckboxSelectMultiple

    def label_from_instance(self, row):
        """Return what a set is called within its season."""
        return f"{row.institution}: {asked_of(row)}"


class RollForm(forms.Form):
    """Which sets go on to which season."""

    season = forms.CharField(label="The new season", max_length=20)
    sets = SetsField(
        RequirementSet.objects.none(),
        label="Sets to copy",
        error_messages={"required": "Tick at least one set."},
    )
    judgements = forms.BooleanField(label=JUDGEMENTS, required=False, initial=True)

    def __init__(self, *args, sets, old, **kwargs):
        super().__init__(*args, **kwargs)
        self.old = old
        self.fields["sets"].queryset = sets
        self.fields["sets"].initial = [row.pk for row in sets]

    def clean_season(self):
        """Refuse the season that the sets are of."""
        season = self.cleaned_data["season"]
        if season == self.old:
            raise forms.ValidationError("These sets are of that season already.")
        return season
