"""Minutes practised, and the minutes of a day that is unlike its weekday: once a day each."""

from datetime import timedelta

from django import forms
from django.core.exceptions import ValidationError
from django.db import transaction
from django.db.models import Sum

from planner.practice.validate import DAY_MINUTES
from studio.entries.forms import NO_FUTURE
from studio.entries.models import PracticeDay, PracticeLog
from studio.entries.practice.bridge import SCALES
from studio.students.models import Student

BACK = timedelta(days=14)
AHEAD = timedelta(days=366)
BOUNDS = f"Give whole minutes from 0 to {DAY_MINUTES}."
FULL = "{} minutes are logged on that day already, and a day has {}. Put one of them right first."
NO_MUSIC = "Choose what was practised."
NO_DAY = "Give the day as a date."
ELSE = f"piece-{SCALES}"


def _minutes(label):
    wrong = ("required", "invalid", "min_value", "max_value")
    return forms.IntegerField(
        label=label,
        min_value=0,
        max_value=DAY_MINUTES,
        error_messages=dict.fromkeys(wrong, BOUNDS),
        widget=forms.NumberInput({"inputmode": "numeric", "autocomplete": "off"}),
    )


def _day():
    return forms.DateField(
        label="Date",
        error_messages={"required": NO_DAY, "invalid": NO_DAY},
        widget=forms.DateInput(format="%Y-%m-%d", attrs={"type": "date"}),
    )


class LogForm(forms.Form):
    """Minutes on one thing on one day, all of them; written again, they replace those before.

    hidden: what and when are known, only the minutes are asked.
    """

    what = forms.ChoiceField(
        label="What", error_messages={"required": NO_MUSIC, "invalid_choice": NO_MUSIC}
    )
    on = _day()
    minutes = _minutes("Minutes in all")

    def __init__(self, data=None, *, season, hidden=False, **kwargs):
        super().__init__(data, **kwargs)
        self.season, self.hidden = season, hidden
        self.fields["what"].choices = list(_choices(season))
        self.fields["on"].widget.attrs.update(
            min=(season.today - BACK).isoformat(), max=season.today.isoformat()
        )
        if hidden:
            for name in ("what", "on"):
                self.fields[name].widget = forms.HiddenInput()

    def clean_on(self):
        """Refuse a day to come, and one so long ago that nobody knows."""
        on = self.cleaned_data["on"]
        if on > self.season.today:
            raise ValidationError(NO_FUTURE)
        if on < self.season.today - BACK:
            raise ValidationError(f"Log the last {BACK.days} days only.")
        return on

    def clean(self):
        """Refuse more than a day has, with all else that is logged on it."""
        values = super().clean()
        if not self.errors:
            logs = PracticeLog.objects.filter(student=self.season.student, on=values["on"])
            others = logs.exclude(**self._of).aggregate(sum=Sum("minutes"))["sum"] or 0
            if values["minutes"] > max(DAY_MINUTES - others, 0):
                self.add_error("minutes", FULL.format(others, DAY_MINUTES))
        return values

    @property
    def _of(self):
        kind, _, key = self.cleaned_data["what"].partition("-")
        return {
            "piece_id": int(key) if kind == "piece" and key != SCALES else None,
            "entry_id": int(key) if kind == "run" else None,
        }

    @property
    def name(self):
        """What was practised, in words."""
        return dict(self.fields["what"].choices)[self.cleaned_data["what"]]

    def save(self, user):
        """Write the log, or change the one of that day."""
        student = self.season.student
        lookup = {"student": student, "on": self.cleaned_data["on"]} | self._of
        return _write(PracticeLog, student, lookup, self.cleaned_data["minutes"], by=user)


class DayForm(forms.Form):
    """The minutes there are on one day, where they are others than the weekday's."""

    on = _day()
    minutes = _minutes("Minutes")

    def __init__(self, data=None, *, season, **kwargs):
        super().__init__(data, **kwargs)
        self.season = season
        self.fields["on"].widget.attrs["min"] = season.today.isoformat()

    def clean_on(self):
        """Refuse a day that is over, and one too far ahead to plan."""
        on = self.cleaned_data["on"]
        if on < self.season.today:
            raise ValidationError("That day is over: choose today or a later day.")
        if on > self.season.today + AHEAD:
            raise ValidationError("Choose a day within a year.")
        return on

    def save(self):
        """Write the day's minutes, or change them."""
        student = self.season.student
        lookup = {"student": student, "on": self.cleaned_data["on"]}
        return _write(PracticeDay, student, lookup, self.cleaned_data["minutes"])


def _choices(season):
    """Yield what a log can be of, as moving.what has it."""
    yield from ((f"piece-{piece.pk}", piece.title) for piece in season.pieces)
    yield ELSE, "Scales and all else"
    for entry in season.live_entries:
        if entry.assignments.all():
            yield f"run-{entry.pk}", f"Run-through for {entry.audition.institution.short}"


def _write(model, student, lookup, minutes, **more):
    """Write one row a day, however often somebody taps."""
    with transaction.atomic():
        Student.objects.select_for_update().get(pk=student.pk)
        row = model.objects.filter(**lookup).first() or model(**lookup)
        row.minutes = minutes
        for name, value in more.items():
            setattr(row, name, value)
        row.save()
    return row


def posted_log(data, season):
    """Return the LogForm of what was posted, with the ids of the line that it came from."""
    name = data.get("line", "")
    known = name in {key for key, _ in _choices(season)}
    return LogForm(data, season=season, hidden=known, auto_id=log_id(name if known else ""))


def log_id(name):
    """Return how the fields of a line's form are called; name: "" for the form below the list."""
    return f"practice-{name or 'other'}-%s"
