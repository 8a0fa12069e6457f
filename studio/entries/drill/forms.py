"""A clean tempo of one key, written down on the day."""

from django import forms

from studio.entries.logs import BOUNDS

GONE = "This key is not asked any more, so nothing is saved. Go on with the next one."


class TempoForm(forms.Form):
    """How fast a key went clean; the key is one of those that are asked."""

    tempo = forms.IntegerField(
        label="Clean at",
        min_value=1,
        max_value=400,
        error_messages=dict.fromkeys(("required", "invalid", "min_value", "max_value"), BOUNDS),
        widget=forms.NumberInput(attrs={"inputmode": "numeric", "autocomplete": "off"}),
    )
    logged = forms.CharField(widget=forms.HiddenInput)

    def __init__(self, *args, asked, **kwargs):
        super().__init__(*args, **kwargs)
        self.asked = asked

    def clean_logged(self):
        """Return the asked.Key that is meant."""
        key = self.asked.get(self.cleaned_data["logged"])
        if key is None:
            raise forms.ValidationError(GONE)
        return key
