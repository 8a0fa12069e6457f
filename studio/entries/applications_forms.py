"""Forms of takes and of trial lessons."""

from django import forms
from django.db.models import Q
from django.utils.html import format_html, format_html_join

from studio.accounts.forms import Rows, StudioForm
from studio.entries.models import Take, TrialLesson
from studio.entries.trial_lessons import ASK
from studio.requirements.models import Requirement

RECORDED = (Requirement.Round.SCREENING, Requirement.Round.FINAL)
TO_COME = "That day is still to come."


def refuse_future(form, *names):
    """Say of each of these days of `form` that it is still to come, where it is."""
    for name in names:
        day = form.cleaned_data.get(name)
        if day and day > form.who.studio.today:
            form.add_error(name, TO_COME)


class TrialLessonForm(StudioForm):
    """A trial lesson as the teacher writes it down; the student's own words have a form apart."""

    owner = "student"
    taken = ("teacher", "A trial lesson with this teacher is written down: change that one.")
    lines = (("institution", "teacher"), ("asked_on", "reply"), ("on", "at", "cost"))

    class Meta:
        model = TrialLesson
        fields = [
            "institution",
            "teacher",
            "asked_on",
            "reply",
            "on",
            "at",
            "cost",
            "held",
            "worked_on",
        ]

    def __init__(self, *args, **kwargs):
        super().__init__(*args, **kwargs)
        self.fields["cost"].help_text = f"In {self.who.studio.currency}."

    def clean(self):
        """Refuse a lesson held before its day or after a no, and a time without a day."""
        values = super().clean()
        refuse_future(self, "asked_on")
        held, on = values.get("held"), values.get("on")
        if held and on and on > self.who.studio.today:
            self.add_error("held", "Its day is still to come.")
        if held and values.get("reply") == TrialLesson.Reply.NO:
            self.add_error("reply", "It took place, so the answer was not no.")
        if values.get("at") and not on and "on" not in self.errors:
            self.add_error("on", "Give the day that belongs to the time.")
        return values


class TrialLessonWordsForm(StudioForm):
    """What the student wants to ask at a trial lesson, and what they thought of it."""

    class Meta:
        model = TrialLesson
        fields = ["questions", "impressions"]
        labels = {"questions": "Questions to take along", "impressions": "How it was"}
        help_texts = {
            "impressions": "For you and your teacher: what you liked, what you would want to know.",
        }

    def __init__(self, *args, **kwargs):
        super().__init__(*args, **kwargs)
        prompts = format_html_join("", "<li>{}</li>", ((each,) for each in ASK))
        self.fields["questions"].help_text = format_html(
            "One a line. Worth asking:<ul>{}</ul>", prompts
        )
        for field in self.fields.values():
            field.widget.attrs["rows"] = 6


class TakeForm(StudioForm):
    """A recording that was made, and what was seen and heard in it."""

    owner = "entry"
    taken = ("file", "A take of that day with this name is written down: give it another name.")
    defaulted = ("piano", "edited")
    lines = (("rules", "made_on"), ("piano", "edited", "minutes"))

    class Meta:
        model = Take
        fields = [
            "rules",
            "made_on",
            "file",
            "pieces",
            "piano",
            "edited",
            "minutes",
            "order_seen",
            "camera_seen",
            "silence_seen",
            "names_seen",
            "chosen",
            "sent_on",
            "note",
        ]
        labels = {
            "rules": "For",
            "pieces": "What is on it",
            "order_seen": "Heard: the pieces are in the order asked for",
            "camera_seen": "Seen: picture and camera are as asked for",
            "silence_seen": "Heard: nobody speaks",
            "names_seen": "Seen and heard: no names",
            "chosen": "This is the one to be sent",
        }
        field_classes = {"pieces": Rows}
        widgets = {"pieces": forms.CheckboxSelectMultiple}
        error_messages = {
            "pieces": {"required": "Tick at least one piece."},
            "rules": {"invalid_choice": "Choose one of the recordings this entry asks for."},
        }

    def __init__(self, *args, **kwargs):
        super().__init__(*args, **kwargs)
        entry = self.instance.entry
        rules = self.fields["rules"]
        rules.queryset = rules.queryset.filter(requirement_set=entry.requirement_set_id)
        rules.empty_label = None
        pieces = self.fields["pieces"]
        wanted = Q(assignments__entry=entry, assignments__requirement__round__in=RECORDED)
        if self.instance.pk:
            wanted |= Q(takes=self.instance.pk)
        pieces.queryset = pieces.queryset.filter(wanted).distinct()
        pieces.help_text = (
            "Those that are chosen for the recordings of this entry. What is missing here is "
            "chosen on the entry’s page first."
        )

    def clean(self):
        """Refuse days to come and what was sent before it was made; what was sent was chosen."""
        values = super().clean()
        refuse_future(self, "made_on", "sent_on")
        made, sent = values.get("made_on"), values.get("sent_on")
        if made and sent and sent < made:
            self.add_error("sent_on", "That is before it was made.")
        if sent:
            values["chosen"] = True
        return values
