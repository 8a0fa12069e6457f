"""Forms of an entry's tasks and of the studio's lead times."""

from itertools import groupby

from django import forms
from django.core.exceptions import ValidationError
from django.utils.html import format_html, format_html_join

from studio.accounts import history
from studio.accounts.access import readable
from studio.accounts.forms import StudioForm
from studio.entries.models import LeadTime, Task
from studio.entries.words import count

BEFORE = "Due so long before"
WAITS_FOR_ITSELF = "That task waits for this one itself: choose another, or nothing."


def closing_words(deadline):
    """Name a deadline with its date, or how long before the audition it is."""
    if deadline.on:
        return f"{deadline.name}, {deadline.on:%-d %B %Y}"
    before = count(deadline.before, deadline.before_unit)
    return f"{deadline.name}, {before} before the audition"


class TaskForm(StudioForm):
    """A task of an entry: with a day of its own, or counted back from a deadline or the day."""

    owner = "entry"
    defaulted = ("lead", "takes")
    lines = (("doer", "takes"), ("on", "deadline"), ("lead", "lead_unit"), ("after", "needs"))

    class Meta:
        model = Task
        fields = [
            "name",
            "doer",
            "takes",
            "on",
            "deadline",
            "of_day",
            "lead",
            "lead_unit",
            "after",
            "needs",
            "shared",
            "recommender",
            "note",
        ]
        labels = {
            "name": "Task",
            "on": "Due on a day of its own",
            "deadline": "Or for a deadline",
            "of_day": "Or for the audition day",
            "lead": BEFORE,
            "after": "Comes after",
        }

    def __init__(self, *args, **kwargs):
        super().__init__(*args, **kwargs)
        field = self.fields["deadline"]
        field.queryset = field.queryset.filter(audition=self.instance.entry.audition_id)
        field.label_from_instance = closing_words
        self.writer = self.instance.recommender_id
        self._offer_tasks(self.fields["after"])
        self._offer_recommenders()

    def _offer_tasks(self, field):
        """Offer the student's other tasks of the season by place, those of the entry first."""
        entry = self.instance.entry
        theirs = readable(self.who, Task).filter(
            entry__student=entry.student_id, entry__audition__season=entry.audition.season
        )
        self.waits = dict(theirs.values_list("pk", "after"))
        others = theirs.exclude(pk=self.instance.pk).exclude(state=Task.State.DROPPED)
        field.queryset = others.select_related("entry__audition__institution")
        rows = sorted(field.queryset, key=lambda task: (*self._place(task), task.name))
        groups = groupby(rows, key=self._place)
        field.choices = [
            ("", "Nothing"),
            *((place[1], [(task.pk, task.name) for task in some]) for place, some in groups),
        ]

    def _place(self, task):
        return task.entry_id != self.instance.entry_id, str(task.entry.audition)

    def _offer_recommenders(self):
        field = self.fields["recommender"]
        field.queryset = field.queryset.filter(student=self.instance.entry.student_id)
        if not field.queryset.exists():
            del self.fields["recommender"]

    def clean_after(self):
        """Refuse tasks that wait for each other in a circle."""
        after = self.cleaned_data["after"]
        step, seen = after and after.pk, set()
        while step and step not in seen:
            if step == self.instance.pk:
                raise ValidationError(WAITS_FOR_ITSELF)
            seen.add(step)
            step = self.waits.get(step)
        return after

    def clean(self):
        """Refuse a second task of one name at the same deadline."""
        values = super().clean()
        same = Task.objects.filter(
            entry=self.instance.entry, name=values.get("name"), deadline=values.get("deadline")
        )
        if same.exclude(pk=self.instance.pk).exists():
            self.add_error("name", "The entry has a task of this name already.")
        return values

    def save(self, commit=True):
        """Save; the other tasks of the same letter get its new writer too."""
        task = super().save(commit)
        if task.recommender_id != self.writer and task.deadline_id:
            rest = task.entry.tasks.filter(deadline=task.deadline_id, recommender=self.writer)
            rows = list(rest.exclude(pk=task.pk).select_related("entry__student__studio"))
            for row in rows:
                row.recommender = task.recommender
            history.bulk_update(rows, ["recommender"])
        return task


class Offered(forms.TextInput):
    """A text to type, with names to choose from."""

    def __init__(self, names):
        super().__init__({"autocomplete": "off"})
        self.names = names

    def render(self, name, value, attrs=None, renderer=None):
        """Return the field with the list of names that it offers."""
        listed = f"{(attrs or {}).get('id', name)}_names"
        field = super().render(name, value, {**(attrs or {}), "list": listed}, renderer)
        options = format_html_join("", '<option value="{}"></option>', ((n,) for n in self.names))
        return format_html('{}<datalist id="{}">{}</datalist>', field, listed, options)


class LeadTimeForm(StudioForm):
    """A rule of the studio: what a kind of deadline, or the day itself, brings."""

    owner = "studio"
    taken = ("name", "There is a rule of this name for that kind of deadline already.")
    defaulted = ("lead", "takes")
    lines = (("kind", "of"), ("lead", "lead_unit"), ("doer", "takes"), ("after", "needs"))

    class Meta:
        model = LeadTime
        fields = [
            "kind",
            "of",
            "name",
            "lead",
            "lead_unit",
            "doer",
            "takes",
            "after",
            "needs",
            "shared",
        ]
        labels = {"lead": BEFORE}
        help_texts = {
            "name": "Without the institution, which is added: Send the music application.",
            "of": "One kind of institution. There it takes the place of the rule of the same name "
            "for all.",
        }

    def __init__(self, *args, **kwargs):
        super().__init__(*args, **kwargs)
        self.fields["of"].choices = [("", "All"), *LeadTime._meta.get_field("of").choices]
        rules = readable(self.who, LeadTime).exclude(pk=self.instance.pk)
        self.rules = list(rules.values_list("kind", "name", "after"))
        kind = self.instance.kind
        names = {name for found, name, _ in self.rules if not kind or found == kind}
        self.fields["after"].widget = Offered(sorted(names))

    def clean(self):
        """Refuse a task to come after that is not there, or that waits for this one itself."""
        values = super().clean()
        kind, after = values.get("kind"), values.get("after")
        waits = {name: before for found, name, before in self.rules if found == kind}
        if after and after not in waits:
            self.add_error("after", "No rule counted from the same has that name: choose another.")
        step, seen = after, {""}
        while step not in seen:
            if step == values.get("name"):
                self.add_error("after", WAITS_FOR_ITSELF)
                break
            seen.add(step)
            step = waits.get(step, "")
        return values
