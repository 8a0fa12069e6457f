"""The form of one audition day, and the studio's usual minutes."""

from dataclasses import fields

from django import forms
from django.db import transaction

from planner.day import Usual
from studio.accounts.forms import StudioForm
from studio.accounts.meanwhile import Meanwhile
from studio.days.bridge import usual_minutes
from studio.days.case import usual_case
from studio.days.models import AuditionDay

SECTIONS = (
    ("The call", ("call", "minutes", "panel")),
    ("Where", ("check_in_place", "check_in_by", "entrance", "parking", "walk_minutes")),
    ("Rooms", ("warm_up_room", "warm_up_from", "warm_up_minutes", "audition_room")),
    ("The journey", ("travel_minutes", "travel_km")),
    ("The rest", ("extras", "contacts", "bring", "notes")),
)


class AuditionDayForm(StudioForm):
    """The day of one entry; what is the same for all can go to the others of its date as well."""

    also_others = forms.BooleanField(required=False)

    class Meta:
        model = AuditionDay
        fields = [name for _, names in SECTIONS for name in names]
        help_texts = {
            "call": "By the clock of the place, as all times here.",
            "parking": "Write “none” if nobody parks.",
            "walk_minutes": "From the car to the desk. Empty: the studio’s usual minutes.",
            "warm_up_minutes": "Empty: the studio’s usual minutes.",
            "notes": "Shown to the student and printed on the sheet.",
        }

    def __init__(self, *args, others=(), **kwargs):
        super().__init__(*args, **kwargs)
        self.fields["bring"].widget.attrs["rows"] = 8
        self.others = list(others)
        number = len(self.others)
        if number:
            who = "student" if number == 1 else f"{number} students"
            self.fields["also_others"].label = f"Also for the other {who} of this date"
            self.fields["also_others"].help_text = (
                "Places, rooms, contacts and extras; never times of their own. The case goes to "
                "instruments of the same family."
            )
        else:
            del self.fields["also_others"]

    @property
    def sections(self):
        """The fields in groups, as (legend, bound fields)."""
        return [(legend, [self[name] for name in names]) for legend, names in SECTIONS]

    @transaction.atomic
    def save(self, commit=True):
        """Save the day; where asked, copy what is shared to the others of the date."""
        saved = super().save(commit)
        if self.cleaned_data.get("also_others"):
            for entry in self.others:
                self._copy_to(entry)
        return saved

    def _copy_to(self, entry):
        """Copy what was changed or is known, so that nothing known is blotted out by silence."""
        theirs = getattr(entry, "day", None) or new_day(entry)
        same_family = entry.instrument.family == self.instance.entry.instrument.family
        for name in AuditionDay.SHARED:
            value = self.cleaned_data[name]
            known = value not in ("", None) or name in self.changed_data
            if known and (same_family or name != "bring"):
                setattr(theirs, name, value)
        theirs.save()


def new_day(entry):
    """Return an unsaved day for an entry, with the usual things in the case."""
    return AuditionDay(entry=entry, bring=usual_case(entry.instrument.family))


LABELS = {
    "audition": "In the audition room",
    "wait": "Wait by the room",
    "warm_up": "Warm up",
    "find_rooms": "Find the rooms",
    "check_in": "Check in",
    "walk": "Park and walk to the desk",
}
LONGEST_USUAL = 240


class MinutesForm(Meanwhile, forms.Form):
    """The studio's usual minutes of each step; empty ones are the program's."""

    def __init__(self, *args, studio, **kwargs):
        super().__init__(*args, **kwargs)
        self.studio = studio
        now = usual_minutes(studio)
        for field in fields(Usual):
            self.fields[field.name] = forms.IntegerField(
                label=LABELS.get(field.name, field.name.replace("_", " ").capitalize()),
                min_value=0,
                max_value=LONGEST_USUAL,
                required=False,
                initial=getattr(now, field.name),
                help_text=f"Empty: {field.default} minutes.",
            )
        self.watch()

    def save(self):
        """Keep only what differs from the program's own minutes."""
        usual = Usual()
        self.studio.day_minutes = {
            name: minutes
            for name, minutes in self.cleaned_data.items()
            if minutes is not None and minutes != getattr(usual, name)
        }
        self.studio.save(update_fields=["day_minutes"])
