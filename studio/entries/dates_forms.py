"""What a teacher says of an audition's dates: a wish, the student's order, a journey's figures."""

from functools import partial

from django import forms
from django.db import transaction

from studio.accounts.forms import StudioForm
from studio.accounts.meanwhile import Meanwhile
from studio.entries.models import DateWish, Entry
from studio.institutions.models import OfferedDate

LAST_RANK = 60
TWICE = "Two dates have the same place in the order: give each another one."
WRONG_RANK = f"Write a number, 1 to {LAST_RANK}, or nothing."


def _wish(entry, date):
    """Return the wish for a date, a new one if there is none yet."""
    found = DateWish.objects.filter(entry=entry, date=date).first()
    return found or DateWish(entry=entry, date=date)


def _keep(wish):
    """Save a wish that says something; one that says nothing any more goes."""
    if wish.word or wish.rank:
        wish.save()
    elif wish.pk:
        wish.delete()


class DateWishForm(forms.Form):
    """The teacher's word on one date of an entry's audition; empty: none."""

    date = forms.ModelChoiceField(OfferedDate.objects.none())
    word = forms.ChoiceField(choices=DateWish.Word, required=False)

    def __init__(self, *args, entry):
        super().__init__(*args)
        self.entry = entry
        self.fields["date"].queryset = OfferedDate.objects.filter(audition=entry.audition_id)

    @transaction.atomic
    def save(self):
        """Put the word in place of an earlier one, and return it in words."""
        date, word = self.cleaned_data["date"], self.cleaned_data["word"]
        if word == DateWish.Word.KEEP:
            self._free_others(date)
        wish = _wish(self.entry, date)
        wish.word = word
        said = wish.get_word_display().lower() if word else "no wish"
        _keep(wish)
        place = self.entry.audition.institution.short
        return f"{place}, {date.on:%-d %B}: {SAID.get(word, said)}"

    def _free_others(self, date):
        """An audition has one date: that wanted in any case before is so no more."""
        kept = DateWish.objects.filter(entry=self.entry, word=DateWish.Word.KEEP)
        for wish in kept.exclude(date=date):
            wish.word = ""
            _keep(wish)


SAID = {DateWish.Word.LEAVE.value: "not this one"}


class RanksForm(Meanwhile, forms.Form):
    """The student's order of an audition's dates, 1 is best; a date left empty is not ranked.

    dates: those that can be ranked. wishes: the entry's DateWishes.
    """

    def __init__(self, *args, entry, dates, wishes=()):
        super().__init__(*args, prefix=f"ranks-{entry.pk}")
        self.entry, self.dates = entry, {f"rank-{date.pk}": date for date in dates}
        ranks = {wish.date_id: wish.rank for wish in wishes}
        wrong = dict.fromkeys(("invalid", "min_value", "max_value"), WRONG_RANK)
        for name, date in self.dates.items():
            self.fields[name] = forms.IntegerField(
                label=f"{date.on:%a %-d %b}",
                min_value=1,
                max_value=LAST_RANK,
                required=False,
                initial=ranks.get(date.pk),
                error_messages=wrong,
                widget=forms.TextInput(
                    {
                        "inputmode": "numeric",
                        "autocomplete": "off",
                        "maxlength": 2,
                        "form": self.prefix,
                        "aria-label": f"Place of {date.on:%-d %B} in the order",
                    }
                ),
            )
            # its inputs stand outside of the form's element
            self.fields[name].hidden_widget = partial(forms.HiddenInput, {"form": self.prefix})
        self.watch()

    def clean(self):
        """Refuse two dates at one place."""
        values = super().clean()
        ranks = [rank for rank in values.values() if rank]
        if len(ranks) > len(set(ranks)):
            raise forms.ValidationError(TWICE)
        return values

    @transaction.atomic
    def save(self):
        """Write the order down; words of the teacher stay."""
        for name, date in self.dates.items():
            wish = _wish(self.entry, date)
            if wish.rank != self.cleaned_data[name]:
                wish.rank = self.cleaned_data[name]
                _keep(wish)
        return len([rank for rank in self.cleaned_data.values() if rank])

    def field(self, date):
        """Return the bound field of a date, None if it cannot be ranked."""
        name = f"rank-{date.pk}"
        return self[name] if name in self.fields else None


class JourneyForm(StudioForm):
    """The teacher's own figures for the way between home and an audition."""

    class Meta:
        model = Entry
        fields = ["journey_minutes", "journey_cost"]
        labels = {"journey_minutes": "Minutes, one way", "journey_cost": "Cost, one way"}
        help_texts = {"journey_minutes": "", "journey_cost": ""}
