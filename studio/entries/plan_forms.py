"""What a teacher says of a plan: a wish for a piece, and which auditions are in it."""

from django import forms

from studio.accounts.access import readable
from studio.accounts.forms import StudioForm
from studio.entries.models import Entry, Wish
from studio.requirements.models import Piece


class WishForm(forms.Form):
    """The teacher's word on one piece for one student; empty: no wish."""

    piece = forms.ModelChoiceField(Piece.objects.none())
    word = forms.ChoiceField(choices=Wish.Word, required=False)

    def __init__(self, *args, who, student):
        super().__init__(*args)
        self.student = student
        self.fields["piece"].queryset = readable(who, Piece)

    def save(self):
        """Put the wish in place of an earlier one, and return it in words."""
        piece, word = self.cleaned_data["piece"], self.cleaned_data["word"]
        wish = Wish.objects.filter(student=self.student, piece=piece).first()
        if word:
            wish = wish or Wish(student=self.student, piece=piece)
            wish.word = word
            wish.save()
        elif wish:
            wish.delete()
        said = wish.get_word_display().lower() if word else "no wish"
        return f"{piece.title}: {said}"


class KeptForm(StudioForm):
    """Whether the plan covers an entry: two who tick it can only want the same or the other."""

    class Meta:
        model = Entry
        fields = ["kept"]

    def watch(self):
        """Let the last tick stand."""


class WorthForm(StudioForm):
    """What an entry is worth to the student."""

    class Meta:
        model = Entry
        fields = ["worth"]


class KeysForm(forms.Form):
    """The auditions (keys of entries, spaces between) that are to be planned."""

    auditions = forms.RegexField(r"^[0-9]{0,18}(?: [0-9]{0,18})*$", required=False)

    def clean_auditions(self):
        """Return the keys as a set."""
        return {int(word) for word in self.cleaned_data["auditions"].split()}
