"""Forms of lesson checks, entries, their music and results; those of tasks: task_forms.py."""

from django import forms
from django.core.exceptions import ValidationError

from studio.accounts.forms import StudioForm
from studio.accounts.meanwhile import Meanwhile
from studio.accounts.models import FIRST_YEAR
from studio.entries import choices
from studio.entries.models import TEMPO, Assignment, Entry, LessonCheck

HIGHEST_MARK = 10
FASTEST = TEMPO[1].limit_value
NOTHING_HEARD = "Give at least a tempo, a mark, memory or a note."
NO_FUTURE = "That day is still to come: choose today or an earlier day."


def figure(label, most, column):
    """Return a field for a whole number from 1 to `most`, quick to type on any keyboard."""
    wrong = f"Write a number, 1 to {most}."
    return forms.IntegerField(
        label=label,
        min_value=1,
        max_value=most,
        required=False,
        error_messages=dict.fromkeys(("invalid", "min_value", "max_value"), wrong),
        widget=forms.TextInput(
            {"inputmode": "numeric", "autocomplete": "off", "data-column": column}
        ),
    )


def add_figures(fields, names):
    """Put tempo, target and the marks of the studio's `names` in place; marks without a name go."""
    fields["tempo"] = figure("Clean tempo", FASTEST, "tempo")
    fields["tempo"].widget.attrs["data-tap"] = True
    fields["target"] = figure("Target", FASTEST, "target")
    for mark in LessonCheck.MARKS:
        fields.pop(mark, None)
    for mark, name in zip(LessonCheck.MARKS, names, strict=False):
        fields[mark] = figure(name, HIGHEST_MARK, mark)


class LessonForm(forms.Form):
    """The day of a lesson. `shown`: the day whose values stood on the page."""

    on = forms.DateField(
        label="Date",
        error_messages={"required": "Give the day of the lesson."},
        widget=forms.DateInput(format="%Y-%m-%d", attrs={"type": "date"}),
    )
    shown = forms.DateField(required=False, widget=forms.HiddenInput)

    def __init__(self, *args, today, **kwargs):
        super().__init__(*args, **kwargs)
        self.today = today
        self.fields["on"].widget.attrs["max"] = today.isoformat()

    def clean_on(self):
        """Refuse a day to come and a year that is a slip of the finger."""
        on = self.cleaned_data["on"]
        if on > self.today:
            raise ValidationError(NO_FUTURE)
        if on.year < FIRST_YEAR:
            raise ValidationError(f"Write a year from {FIRST_YEAR} on.")
        return on


class HeardForm(Meanwhile, forms.Form):
    """One row of a lesson: what was heard of one piece. Initial values are those on the page."""

    def __init__(self, *args, names, **kwargs):
        super().__init__(*args, **kwargs)
        add_figures(self.fields, names)
        self.fields["memory"] = forms.ChoiceField(
            choices=LessonCheck.Memory.choices,
            required=False,
            widget=forms.Select({"data-column": "memory"}),
        )
        note = LessonCheck._meta.get_field("note")
        self.fields["note"] = forms.CharField(
            max_length=note.max_length,
            required=False,
            widget=forms.TextInput({"autocomplete": "off", "data-column": "note"}),
        )
        self.watch()

    def clean(self):
        """Refuse a new target alone: nothing was heard."""
        values = super().clean()
        said = [value for name, value in values.items() if name != "target"]
        if self.has_changed() and not self.errors and not any(said):
            raise ValidationError(NOTHING_HEARD)
        return values


class CheckForm(StudioForm):
    """One check, changed after the lesson."""

    taken = ("on", "This piece has a check of that day already: change that one.")
    lines = (("tempo", "target"), LessonCheck.MARKS, ("memory", "on"))

    class Meta:
        model = LessonCheck
        fields = ["tempo", "target", *LessonCheck.MARKS, "memory", "on", "note"]

    def __init__(self, *args, **kwargs):
        super().__init__(*args, **kwargs)
        add_figures(self.fields, self.who.studio.marks)
        self.order_fields(self.Meta.fields)
        self.watch()

    def clean_on(self):
        """Refuse a day to come."""
        on = self.cleaned_data["on"]
        if on > self.who.studio.today:
            raise ValidationError(NO_FUTURE)
        return on

    def _get_validation_exclusions(self):
        """A day is taken where the same piece has a check of the same source."""
        return super()._get_validation_exclusions() - {"student", "piece", "source"}


class EntryAddForm(StudioForm):
    """Enter a student for an audition of the current season."""

    taken = ("audition", "This student is entered there on that instrument already.")

    class Meta:
        model = Entry
        fields = ["audition", "instrument"]

    def __init__(self, *args, **kwargs):
        super().__init__(*args, **kwargs)
        self.fields["audition"].queryset = choices.auditions(self.who)

    def _get_validation_exclusions(self):
        return super()._get_validation_exclusions() - {"student"}

    def save(self, commit=True):
        """Save; where exactly one set of requirements fits, the entry goes by it."""
        self.instance.requirement_set = choices.fitting(self.who, self.instance)
        return super().save(commit)


class EntryForm(StudioForm):
    """What an entry goes by; its date, music, tasks and result are on its page."""

    taken = ("instrument", "This student is entered there on that instrument already.")
    lines = (("journey_minutes", "journey_cost"),)

    class Meta:
        model = Entry
        fields = [
            "instrument",
            "requirement_set",
            "round",
            "accompanist",
            "teacher_comes",
            "journey_minutes",
            "journey_cost",
            "notes",
        ]
        labels = {"requirement_set": "Requirements"}
        help_texts = {
            "requirement_set": "Those of the institution, its university or its schools. "
            "Pieces chosen for others stay until you take them away.",
            "accompanist": "Who comes along to play. Empty: nobody, or the institution's own.",
        }

    def __init__(self, *args, **kwargs):
        super().__init__(*args, **kwargs)
        field = self.fields["requirement_set"]
        field.queryset = choices.requirement_sets(self.who, self.instance)
        field.choices = self._grouped(field)
        self._offer_rounds()

    def _offer_rounds(self):
        """Let a round be chosen of those that the audition's deadlines name; none: no field."""
        deadlines = self.instance.audition.deadlines.exclude(round="")
        rounds = dict.fromkeys(deadlines.values_list("round", flat=True))
        if self.instance.round:
            rounds[self.instance.round] = None
        if not rounds:
            del self.fields["round"]
            return
        offered = [("", "Not chosen yet"), *((name, name) for name in rounds)]
        self.fields["round"] = forms.ChoiceField(
            label="Round of applications",
            choices=offered,
            required=False,
            help_text="Its deadlines bring their tasks; open tasks of other rounds go.",
        )

    def _grouped(self, field):
        """Offer the entry's own instrument first, others under a heading of their own."""
        own = {True: [], False: []}
        for row in field.queryset:
            fits = row.instrument_id == self.instance.instrument_id
            own[fits].append((row.pk, str(row)))
        name = self.instance.instrument.name
        groups = [(f"For {name}", own[True]), ("For other instruments", own[False])]
        return [("", "Not chosen yet"), *(group for group in groups if group[1])]

    def _get_validation_exclusions(self):
        return super()._get_validation_exclusions() - {"student", "audition"}


class DateForm(StudioForm):
    """The date of an entry, among those its audition offers, and how sure it is."""

    class Meta:
        model = Entry
        fields = ["chosen_date", "date_state"]
        error_messages = {
            "chosen_date": {"invalid_choice": "Choose one of the dates this audition offers."}
        }

    def __init__(self, *args, **kwargs):
        super().__init__(*args, **kwargs)
        field = self.fields["chosen_date"]
        field.queryset = field.queryset.filter(audition=self.instance.audition_id)

    def clean(self):
        """Refuse a confirmation without a date; a date that is chosen is asked for at least."""
        values = super().clean()
        state, date = values.get("date_state"), values.get("chosen_date")
        states = Entry.DateState
        if "chosen_date" not in self.errors and state == states.CONFIRMED and date is None:
            self.add_error("chosen_date", "Choose the date that is confirmed.")
        if date is not None and state == states.OPEN:
            values["date_state"] = states.ASKED
        return values


class ResultForm(StudioForm):
    """What came of an entry, and what was replied."""

    class Meta:
        model = Entry
        fields = ["result", "result_on", "waiting_place", "reply", "replied_on"]
        labels = {"result_on": "News on", "waiting_place": "Waiting place"}

    def clean(self):
        """Refuse what does not go together: a place on no list, a reply to no offer, its day."""
        values = super().clean()
        result, results = values.get("result"), Entry.Result
        if result == results.WAITING and values.get("result_on"):
            self.add_error("result", "Say what was heard, or leave the day empty.")
        if result != results.WAITING_LIST and values.get("waiting_place"):
            self.add_error("waiting_place", "Only on the waiting list is there such a place.")
        if values.get("reply") and result not in {results.OFFERED, results.WITHDRAWN}:
            self.add_error("reply", "There is an offer to reply to only once it is the result.")
        self._clean_replied_on(values)
        return values

    def _clean_replied_on(self, values):
        on, heard = values.get("replied_on"), values.get("result_on")
        if on is None:
            return
        if not values.get("reply"):
            self.add_error("reply", "Say what was replied that day.")
        if on > self.who.studio.today:
            self.add_error("replied_on", NO_FUTURE)
        elif heard and on < heard and values.get("result") == Entry.Result.OFFERED:
            self.add_error("replied_on", "That is before the offer was heard of.")


class AssignForm(StudioForm):
    """Choose a piece for a requirement of an entry (already on the instance)."""

    owner = "entry"
    taken = ("piece", "That piece is chosen for this requirement already.")

    class Meta:
        model = Assignment
        fields = ["requirement", "piece"]
        error_messages = {
            "requirement": {
                "invalid_choice": "That requirement is not the entry's: reload the page.",
                "required": "Say for which requirement: reload the page.",
            },
            "piece": {
                "invalid_choice": "Choose a piece of your own list.",
                "required": "Choose a piece.",
            },
        }

    def __init__(self, *args, **kwargs):
        super().__init__(*args, **kwargs)
        field = self.fields["requirement"]
        asked = self.instance.entry.requirement_set_id
        field.queryset = field.queryset.filter(requirement_set=asked)

    def clean_requirement(self):
        """Refuse pieces for what is not music."""
        need = self.cleaned_data["requirement"]
        if not need.is_music:
            raise ValidationError("Pieces are chosen for music only.")
        return need
