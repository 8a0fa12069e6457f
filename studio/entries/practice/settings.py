"""How a studio practises: what Studio.practice holds, read, and the form for it.

Only what differs from the engine's own figures is kept, so that a better default reaches all.
"""

from dataclasses import fields

from django import forms

from planner.practice import Settings
from studio.accounts.meanwhile import Meanwhile

WEEKS = 26
SHARES = f"Write percents from 0 to 100 with commas between, at most {WEEKS}: 30, 20, 10."
# name: (label, least, most, what it is)
FIGURES = {
    "rest_days": ("Days a piece may rest", 0, 365, "In a row, once it is begun."),
    "shortest": ("Shortest stretch, minutes", 1, 240, "On one piece at one go."),
    "longest": ("Longest stretch, minutes", 2, 480, "Twice the shortest or more."),
    "spare_days": ("Days to spare", 0, 365, "So long before its date a piece is to be done."),
    "light_days": ("Light days", 0, 60, "Before an audition, besides its own day."),
    "light_share": ("Of a light day, percent", 0, 100, "So much of its minutes is used."),
}
SECTIONS = (
    ("A session", ("shortest", "longest", "rest_days")),
    ("Before a date", ("spare_days", "light_days", "light_share", "run_shares")),
)


def settings(studio):
    """Return the planner.practice Settings of the studio."""
    own = studio.practice
    values = {each.name: own[each.name] for each in fields(Settings) if each.name in own}
    if "run_shares" in values:
        values["run_shares"] = tuple(values["run_shares"])
    return Settings(**values)


class PracticeSettingsForm(Meanwhile, forms.Form):
    """How practice is planned; what is left empty is the program's own figure."""

    def __init__(self, *args, studio, **kwargs):
        super().__init__(*args, **kwargs)
        self.studio = studio
        now, usual = vars(settings(studio)), vars(Settings())
        for name, (label, least, most, text) in FIGURES.items():
            self.fields[name] = forms.IntegerField(
                label=label,
                min_value=least,
                max_value=most,
                required=False,
                error_messages=dict.fromkeys(
                    ("invalid", "min_value", "max_value"), f"Write {least} to {most}."
                ),
                initial=now[name],
                help_text=f"{text} Empty: {usual[name]}.",
            )
        self.fields["run_shares"] = forms.CharField(
            label="Run-throughs, percent of a week",
            required=False,
            max_length=120,
            initial=_written(now["run_shares"]),
            help_text="The week before an audition first, then those before it. "
            f"Empty: {_written(usual['run_shares'])}. None at all: 0.",
        )
        self.watch()

    @property
    def sections(self):
        """The fields in groups, as (legend, bound fields)."""
        return [(legend, [self[name] for name in names]) for legend, names in SECTIONS]

    def clean_run_shares(self):
        """Read the percents."""
        parts = [part.strip() for part in self.cleaned_data["run_shares"].split(",")]
        if parts == [""]:
            return None
        if len(parts) > WEEKS or not all(part.isdecimal() and int(part) <= 100 for part in parts):
            raise forms.ValidationError(SHARES)
        return tuple(map(int, parts))

    def clean(self):
        """Refuse stretches that could not be parted."""
        values, usual = super().clean(), Settings()
        shortest, longest = (
            getattr(usual, name) if values.get(name) is None else values[name]
            for name in ("shortest", "longest")
        )
        if not {"shortest", "longest"} & self.errors.keys() and longest < 2 * shortest:
            self.add_error("longest", f"Write twice the shortest or more: {2 * shortest}.")
        return values

    def save(self):
        """Keep only what differs from the program's own figures."""
        usual = vars(Settings())
        self.studio.practice = {
            name: value
            for name, value in self.cleaned_data.items()
            if value is not None and value != usual[name]
        }
        self.studio.save(update_fields=["practice"])


def _written(shares):
    return ", ".join(map(str, shares))
