"""Forms of institutions, auditions, deadlines and offered dates."""

from django import forms
from django.db.models import Q

from studio.accounts.forms import Rows, StudioForm, WebAddress
from studio.institutions.models import Audition, Deadline, Institution, OfferedDate
from studio.institutions.queries import zones_used


class InstitutionForm(StudioForm):
    """What is known of an institution."""

    owner = "studio"
    taken = ("name", "Another institution has this name. Add the town, or the school inside it.")
    lines = (
        ("short_name", "kind"),
        ("latitude", "longitude", "time_zone"),
    )

    class Meta:
        model = Institution
        fields = [
            "name",
            "short_name",
            "kind",
            "part_of",
            "town",
            "latitude",
            "longitude",
            "time_zone",
            "website",
            "links",
            "notes",
        ]
        field_classes = {"website": WebAddress}
        help_texts = {
            "latitude": "As a map shows it: 39.96.",
            "longitude": "West is negative: -83.",
            "time_zone": "Such as America/New_York. Empty: not known, or as what it is part of.",
        }

    def __init__(self, *args, **kwargs):
        super().__init__(*args, **kwargs)
        self.fields["time_zone"].widget = self.zones(*zones_used(self.who))
        whole = Q(part_of=None) & ~Q(pk=self.instance.pk)
        part_of = self.fields["part_of"]
        part_of.queryset = part_of.queryset.filter(whole | Q(pk=self.instance.part_of_id))


class AuditionForm(StudioForm):
    """An audition of one season."""

    owner = "institution"
    taken = ("name", "This institution has an audition of this name in that season.")
    lines = (("name", "season"), ("format", "date_choice"), ("results_on", "reply_by"))

    class Meta:
        model = Audition
        fields = [
            "name",
            "season",
            "format",
            "date_choice",
            "results_on",
            "reply_by",
            "link",
            "notes",
        ]
        field_classes = {"link": WebAddress}


class DeadlineForm(StudioForm):
    """A deadline; without a name of its own it is called after what it is for."""

    owner = "audition"
    taken = ("name", "This audition has a deadline of this name. Tell them apart in words.")
    defaulted = ("before_unit",)
    lines = (
        ("kind", "name"),
        ("on", "at", "zone"),
        ("before", "before_unit"),
        ("opens_on", "opens_after"),
        ("late_until", "late_terms"),
        ("round", "cost"),
    )
    quick = ("kind", "name", "on", "at", "zone")

    class Meta:
        model = Deadline
        fields = [
            "kind",
            "name",
            "on",
            "at",
            "zone",
            "before",
            "before_unit",
            "opens_on",
            "opens_after",
            "round",
            "cost",
            "late_until",
            "late_terms",
            "link",
            "notes",
        ]
        field_classes = {"link": WebAddress}
        labels = {"kind": "What for", "name": "In words"}
        help_texts = {
            "name": "Empty: as what it is for.",
            "on": "Empty where it is counted back from the audition.",
            "before": "Instead of a date: so long before each student's own date.",
            "zone": "As the institution states it. Empty: not stated; planned a day early.",
        }

    def __init__(self, *args, **kwargs):
        super().__init__(*args, **kwargs)
        self.fields["name"].required = False
        self.fields["zone"].widget = self.zones(*zones_used(self.who))
        self.fields["cost"].label = f"Cost, {self.who.studio.currency}"
        after = self.fields["opens_after"]
        siblings = after.queryset.filter(audition=self.instance.audition)
        after.queryset = siblings.exclude(pk=self.instance.pk)
        after.label_from_instance = lambda deadline: deadline.name

    def clean_name(self):
        """A deadline without a name is called by its kind."""
        return self.cleaned_data["name"] or self.cleaned_data.get("kind", "")


class OfferedDateForm(StudioForm):
    """A date that an audition offers."""

    owner = "audition"
    taken = ("on", "This date is on the list already.")
    lines = (("on", "starts", "ends"), ("place", "book_by"))
    quick = ("on", "starts", "ends", "place")

    class Meta:
        model = OfferedDate
        fields = ["on", "starts", "ends", "place", "book_by", "full", "instruments", "notes"]
        field_classes = {"instruments": Rows}
        widgets = {"instruments": forms.CheckboxSelectMultiple}
        labels = {"instruments": "Only for", "full": "Full: nobody can have it any more"}
        help_texts = {"full": "", "instruments": "Tick none if all instruments are heard."}
