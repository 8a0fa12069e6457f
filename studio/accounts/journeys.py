"""How a studio's families travel: what Studio.journeys holds, read, and the form for it.

Only what differs from the engine's own figures is kept, so that a better default reaches all.
"""

from dataclasses import fields
from datetime import time

from django import forms

from planner.dates.model import Settings, Weights
from studio.accounts.meanwhile import Meanwhile

WEEKDAYS = (
    (0, "Monday"),
    (1, "Tuesday"),
    (2, "Wednesday"),
    (3, "Thursday"),
    (4, "Friday"),
    (5, "Saturday"),
    (6, "Sunday"),
)
SCHOOL = (0, 1, 2, 3, 4)
SECTIONS = (
    ("What it is worth to be spared", ("hour", "night", "school_day")),
    ("Setting off and coming home", ("leave_from", "home_by", "rest_minutes")),
    (
        "On the way",
        ("margin_minutes", "long_minutes", "zone_hours", "gap_days", "km_money", "night_money"),
    ),
    (
        "By air",
        (
            "fly",
            "fly_from_km",
            "fly_fixed_minutes",
            "fly_km_per_hour",
            "fly_money",
            "fly_money_per_1000_km",
        ),
    ),
    ("Audition days without times", ("day_starts", "day_ends")),
    ("School", ("school_weekdays", "school_from", "school_to")),
)
# name: (label, least, most, what it is)
FIGURES = {
    "hour": ("An hour on the way", 0, 1000, ""),
    "night": ("A night away", 0, 5000, "Besides the room."),
    "school_day": ("A school day", 0, 5000, "One that would be missed."),
    "rest_minutes": ("Minutes at home between two journeys", 0, 2880, ""),
    "margin_minutes": ("Minutes between arrival and the first note", 0, 600, ""),
    "long_minutes": (
        "Longest journey on the day itself, minutes",
        0,
        1440,
        "After a longer one a night is slept there first.",
    ),
    "zone_hours": (
        "Hours of time difference",
        0,
        24,
        "From so many on, a night is slept there first.",
    ),
    "gap_days": ("Days away between two auditions, at most", 0, 14, "After more one goes home."),
    "km_money": ("100 km by road", 0, 1000, ""),
    "night_money": ("A room for a night", 0, 5000, ""),
    "fly_from_km": ("From how many km on", 0, 20000, "In a straight line."),
    "fly_fixed_minutes": ("Minutes to and from the airports, and waiting", 0, 1440, ""),
    "fly_km_per_hour": ("Km an hour in the air", 100, 1200, ""),
    "fly_money": ("A flight, one way", 0, 20000, ""),
    "fly_money_per_1000_km": ("More for each 1000 km", 0, 20000, ""),
}
TIMES = {
    "leave_from": ("Set off no earlier than", "By the clocks where the journey begins."),
    "home_by": ("Home no later than", "What would be later is travelled the next day."),
    "day_starts": ("From", ""),
    "day_ends": ("To", ""),
    "school_from": ("School from", "By the clocks at home."),
    "school_to": ("School to", ""),
}
MONEY = frozenset(
    ("hour", "night", "school_day", "km_money", "night_money", "fly_money", "fly_money_per_1000_km")
)
SPANS = (("day_starts", "day_ends"), ("school_from", "school_to"), ("leave_from", "home_by"))


def weights(studio):
    """Return the planner.dates Weights that the studio's families go by."""
    return _read(Weights, studio.journeys.get("weights", {}))


def settings(studio):
    """Return the planner.dates Settings of the studio."""
    return _read(Settings, studio.journeys.get("settings", {}))


def school_weekdays(studio):
    """Return the weekdays with school where the studio is; Monday is 0."""
    return tuple(studio.journeys.get("school_weekdays", SCHOOL))


def _read(kind, own):
    """Return a `kind` with the studio's own values where it has any."""
    defaults = kind()
    values = {}
    for each in fields(kind):
        if each.name in own:
            is_time = isinstance(getattr(defaults, each.name), time)
            values[each.name] = time.fromisoformat(own[each.name]) if is_time else own[each.name]
    return kind(**values)


def _different(kind, values):
    """Return what differs from the engine's own figures, as JSON takes it."""
    defaults, own = kind(), {}
    for each in fields(kind):
        value = values.get(each.name)
        if value is not None and value != getattr(defaults, each.name):
            own[each.name] = value.isoformat("minutes") if isinstance(value, time) else value
    return own


class JourneysForm(Meanwhile, forms.Form):
    """What journeys cost and how one travels; what is left empty is the program's own figure."""

    fly = forms.BooleanField(label="Think of flying", required=False)
    school_weekdays = forms.TypedMultipleChoiceField(
        label="Days with school",
        choices=WEEKDAYS,
        coerce=int,
        required=False,
        widget=forms.CheckboxSelectMultiple,
        help_text="None: no school day is counted. Public holidays are free.",
    )

    def __init__(self, *args, studio, **kwargs):
        super().__init__(*args, **kwargs)
        self.studio = studio
        now = {**vars(weights(studio)), **vars(settings(studio))}
        usual = {**vars(Weights()), **vars(Settings())}
        for name, words in FIGURES.items():
            self.fields[name] = _figure(name, *words, now[name], usual[name], studio.currency)
        for name, (label, text) in TIMES.items():
            self.fields[name] = _time(label, text, now[name], usual[name])
        self.fields["fly"].initial = now["fly"]
        self.fields["school_weekdays"].initial = school_weekdays(studio)
        self.watch()

    @property
    def sections(self):
        """The fields in groups, as (legend, bound fields)."""
        return [(legend, [self[name] for name in names]) for legend, names in SECTIONS]

    def clean(self):
        """Refuse an end before its beginning."""
        values, usual = super().clean(), Settings()
        for first, last in SPANS:
            ends = [values.get(name) or getattr(usual, name) for name in (first, last)]
            minutes = [60 * clock.hour + clock.minute for clock in ends]
            if not {first, last} & self.errors.keys() and minutes[1] - minutes[0] < 60:
                self.add_error(last, "That is not an hour after the beginning.")
        return values

    def save(self):
        """Keep only what differs from the program's own figures."""
        values = self.cleaned_data
        kept = {
            "weights": _different(Weights, values),
            "settings": _different(Settings, values),
        }
        days = values["school_weekdays"]
        self.studio.journeys = {name: own for name, own in kept.items() if own}
        if tuple(days) != SCHOOL:
            self.studio.journeys["school_weekdays"] = days
        self.studio.save(update_fields=["journeys"])


def _figure(name, label, least, most, text, now, usual, currency):
    money = f", {currency}" if name in MONEY else ""
    return forms.IntegerField(
        label=f"{label}{money}",
        min_value=least,
        max_value=most,
        required=False,
        initial=now,
        help_text=f"{text} Empty: {usual}.".strip(),
    )


def _time(label, text, now, usual):
    return forms.TimeField(
        label=label,
        required=False,
        initial=now,
        help_text=f"{text} Empty: {usual:%-H:%M}.".strip(),
        widget=forms.TimeInput(format="%H:%M", attrs={"type": "time"}),
    )
