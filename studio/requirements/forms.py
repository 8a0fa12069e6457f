"""Forms of pieces, requirement sets and their requirements."""

from studio.accounts.forms import StudioForm, WebAddress
from studio.requirements.models import Piece, Requirement, RequirementSet


class PieceForm(StudioForm):
    """A piece of the repertoire."""

    owner = "studio"
    taken = ("section", "This piece is in the repertoire already. Name the movement or section.")
    defaulted = ("kind", "piano")
    lines = (
        ("composer", "work", "section"),
        ("instrument", "kind", "piano"),
        ("minutes", "hours"),
        ("target_tempo", "beat"),
        ("period", "character"),
    )
    quick = ("composer", "work", "section", "kind", "minutes", "hours")

    class Meta:
        model = Piece
        fields = [
            "composer",
            "work",
            "section",
            "instrument",
            "kind",
            "piano",
            "minutes",
            "hours",
            "target_tempo",
            "beat",
            "period",
            "character",
            "edition",
            "notes",
        ]


class RequirementSetForm(StudioForm):
    """What one institution asks of one instrument, level and degree."""

    owner = "institution"
    taken = ("degree", "Requirements for this instrument, level and degree are there already.")
    lines = (
        ("instrument", "season"),
        ("level", "degree"),
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
            "checked_by",
            "checked_on",
            "notes",
        ]
        field_classes = {"source": WebAddress}


class RequirementForm(StudioForm):
    """A requirement; without a place of its own it comes last."""

    owner = "requirement_set"
    taken = ("name", "This set asks for it already in that round. Tell them apart in words.")
    defaulted = ("kind", "round", "at_least", "memory", "piano", "weight")
    lines = (
        ("name", "position"),
        ("kind", "round"),
        ("at_least", "at_most", "minutes"),
        ("memory", "piano", "weight"),
    )
    quick = ("name", "kind", "round", "at_least", "memory", "weight")

    class Meta:
        model = Requirement
        fields = [
            "name",
            "position",
            "kind",
            "round",
            "at_least",
            "at_most",
            "minutes",
            "memory",
            "piano",
            "weight",
            "details",
        ]

    def __init__(self, *args, **kwargs):
        super().__init__(*args, **kwargs)
        self.fields["position"].required = False

    def clean_position(self):
        """A line without a number keeps its place."""
        return self.cleaned_data["position"] or self.instance.position
