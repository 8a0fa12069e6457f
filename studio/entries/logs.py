"""The student's own log: a clean tempo and a note, once a day for each piece, apart from checks."""

from copy import copy

from django import forms

from studio.entries.models import LessonCheck

BOUNDS = "Give beats a minute from 1 to 400."


class LogForm(forms.ModelForm):
    """Today's log of one piece; a second one of the same day changes the first."""

    tempo = forms.IntegerField(
        label="Clean tempo",
        min_value=1,
        max_value=400,
        error_messages={
            "required": BOUNDS,
            "invalid": BOUNDS,
            "min_value": BOUNDS,
            "max_value": BOUNDS,
        },
        widget=forms.NumberInput(attrs={"inputmode": "numeric", "autocomplete": "off"}),
    )

    class Meta:
        model = LessonCheck
        fields = ["tempo", "note"]

    def __init__(self, data, *, season, piece):
        super().__init__(
            data,
            instance=todays_log(season, piece),
            auto_id=f"log-{piece.pk}-%s",
        )

    def _post_clean(self):
        """Leave the model's own rules out where a field is wrong: they would only add noise."""
        if not self.errors:
            super()._post_clean()

    @property
    def is_again(self):
        """Whether today's log is there already."""
        return self.instance.pk is not None


def todays_log(season, piece):
    """Return a copy of the student's own log of `piece` of today, or a new one."""
    own = season.own_checks.get(piece.pk, ())
    new = LessonCheck(
        student=season.student,
        piece=piece,
        on=season.today,
        source=LessonCheck.Source.STUDENT,
        target=piece.target_tempo,
    )
    return copy(next((check for check in own if check.on == season.today), new))
