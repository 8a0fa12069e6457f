"""Forms of accompanists, the studio's own days, recommenders and guardians."""

from django import forms

from studio.accounts.forms import Rows, StudioForm
from studio.students.models import Accompanist, Guardian, Recommender, StudioDay


class AccompanistForm(StudioForm):
    """Somebody at the piano."""

    owner = "studio"
    taken = ("name", "Another accompanist has this name. Add something that tells them apart.")
    defaulted = ("most",)
    lines = (("email", "phone"),)

    class Meta:
        model = Accompanist
        fields = ["name", "email", "phone", "most", "notes"]
        help_texts = {
            "most": "How many at most on one day, with the ways between. Empty: six, a common "
            "practice.",
        }


class StudioDayForm(StudioForm):
    """A day of the studio's own, or some days in a row."""

    owner = "studio"
    taken = ("name", "A day of this name begins on that day already.")
    lines = (("first", "last"), ("starts", "ends"))

    class Meta:
        model = StudioDay
        fields = [
            "kind",
            "name",
            "first",
            "last",
            "starts",
            "ends",
            "accompanist",
            "students",
            "notes",
        ]
        field_classes = {"students": Rows}
        widgets = {"students": forms.CheckboxSelectMultiple}
        labels = {"name": "What it is", "students": "Who plays"}
        help_texts = {
            "last": "Empty: one day only.",
            "starts": "Empty: all day.",
            "students": "For a concert. Tick none if everybody is needed.",
        }

    def __init__(self, *args, **kwargs):
        super().__init__(*args, **kwargs)
        self.fields["last"].required = False

    def clean(self):
        """Let a day without a last one be one day."""
        values = super().clean()
        if not values.get("last") and "last" not in self.errors:
            values["last"] = values.get("first")
        return values


class RecommenderForm(StudioForm):
    """Somebody who writes letters for a student."""

    owner = "student"
    taken = ("name", "This student has a recommender of that name already.")
    lines = (("name", "role"),)

    class Meta:
        model = Recommender
        fields = ["name", "role", "is_ours", "email"]


class GuardianForm(StudioForm):
    """A parent or guardian, and whose parts they read."""

    owner = "studio"
    taken = ("name", "Somebody of this name is there already: open them and tick this student too.")
    lines = (("email", "phone"),)

    class Meta:
        model = Guardian
        fields = ["name", "email", "phone", "students", "ticks"]
        field_classes = {"students": Rows}
        widgets = {"students": forms.CheckboxSelectMultiple}
        labels = {"students": "Whose part they read"}
