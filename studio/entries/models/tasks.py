"""What has to be done for an entry, and the studio's rules that bring it."""

from django.core.exceptions import ValidationError
from django.db import models
from django.db.models import Q

from studio.accounts.history import Recorded
from studio.accounts.models import Studio, User
from studio.entries.models.entry import Entry
from studio.institutions.models import (
    LEAD,
    Deadline,
    Institution,
    Unit,
)
from studio.students.models import Recommender

DAY_CHOICE = ("audition day", "Audition day")


class Doer(models.TextChoices):
    """Who does a task."""

    STUDENT = "student", "Student"
    TEACHER = "teacher", "Teacher"
    OTHER = "other", "Somebody else"


class Needs(models.TextChoices):
    """What has to be so before a task can be begun."""

    NOTHING = "", "Nothing"
    PIECES = "pieces ready", "The pieces are ready"
    DATE = "date confirmed", "The date is confirmed"


class LeadTime(Recorded):
    """The studio's rule for what a kind of deadline, or the day itself, brings to be done.

    A rule for one kind of institution takes the place of the one of the same name for all.
    """

    studio = models.ForeignKey(Studio, models.CASCADE, related_name="lead_times")
    kind = models.CharField(
        "counted from", max_length=30, choices=[*Deadline.Kind.choices, DAY_CHOICE]
    )
    of = models.CharField(
        "only for",
        max_length=20,
        blank=True,
        choices=Institution.Kind,
        help_text="One kind of institution. Empty: for all.",
    )
    name = models.CharField("task", max_length=120)
    doer = models.CharField("who does it", max_length=8, choices=Doer, default=Doer.STUDENT)
    lead = models.PositiveSmallIntegerField("due before the deadline", default=0, validators=LEAD)
    lead_unit = models.CharField("counted in", max_length=14, choices=Unit, default=Unit.DAYS)
    takes = models.PositiveSmallIntegerField("days of work", default=0, validators=LEAD)
    after = models.CharField(
        "comes after",
        max_length=120,
        blank=True,
        help_text="The name of another task counted from the same: this one waits for it.",
    )
    needs = models.CharField("needs first", max_length=14, blank=True, choices=Needs)
    shared = models.BooleanField(
        "once for all",
        default=False,
        help_text="Done once for all of a student's auditions, at the earliest of the dates.",
    )

    class Meta:
        ordering = ["kind", "-lead", "name", "of"]
        constraints = [
            models.UniqueConstraint(fields=["studio", "kind", "of", "name"], name="lead_time_once")
        ]

    def __str__(self):
        return f"{self.get_kind_display()}: {self.name}"


class Task(Recorded):
    """Something to be done for an entry: drawn up from a deadline, or the teacher's own.

    It has a date of its own, or is counted back from a deadline or from the audition's day.
    """

    class State(models.TextChoices):
        """Whether it still has to be done."""

        OPEN = "open", "Open"
        DONE = "done", "Done"
        DROPPED = "not needed", "Not needed"

    entry = models.ForeignKey(Entry, models.CASCADE, related_name="tasks")
    deadline = models.ForeignKey(
        Deadline, models.CASCADE, null=True, blank=True, related_name="tasks"
    )
    name = models.CharField(max_length=160)
    doer = models.CharField("who does it", max_length=8, choices=Doer, default=Doer.STUDENT)
    on = models.DateField("due on", null=True, blank=True)
    of_day = models.BooleanField("counted from the audition day", default=False)
    lead = models.PositiveSmallIntegerField("due before the deadline", default=0, validators=LEAD)
    lead_unit = models.CharField("counted in", max_length=14, choices=Unit, default=Unit.DAYS)
    takes = models.PositiveSmallIntegerField("days of work", default=0, validators=LEAD)
    after = models.ForeignKey(
        "self",
        models.SET_NULL,
        null=True,
        blank=True,
        related_name="before",
        help_text="Another task of the student that has to be done first.",
    )
    needs = models.CharField("needs first", max_length=14, blank=True, choices=Needs)
    shared = models.BooleanField(
        "once for all", default=False, help_text="One errand for all of the student's auditions."
    )
    recommender = models.ForeignKey(
        Recommender,
        models.SET_NULL,
        null=True,
        blank=True,
        related_name="tasks",
        help_text="For a letter: who writes it.",
    )
    state = models.CharField(max_length=10, choices=State, default=State.OPEN)
    done_on = models.DateField(null=True, blank=True)
    done_by = models.ForeignKey(
        User, models.SET_NULL, null=True, blank=True, editable=False, related_name="+"
    )
    note = models.CharField(max_length=200, blank=True)

    class Meta:
        ordering = ["entry", "pk"]
        constraints = [
            models.CheckConstraint(
                condition=Q(deadline__isnull=False, on=None, of_day=False)
                | Q(deadline=None, on__isnull=False, of_day=False)
                | Q(deadline=None, on=None, of_day=True),
                name="task_has_one_date",
            ),
            models.UniqueConstraint(fields=["entry", "deadline", "name"], name="task_once"),
            models.UniqueConstraint(
                fields=["entry", "name"], condition=Q(deadline=None), name="own_task_once"
            ),
        ]

    def __str__(self):
        return self.name

    def tick(self, user, today):
        """Mark it done by `user`, or open again if it was done."""
        if self.state == self.State.DONE:
            self.state, self.done_on, self.done_by = self.State.OPEN, None, None
        else:
            self.state, self.done_on, self.done_by = self.State.DONE, today, user
        self.save()

    def drop(self):
        """Mark it not needed, or open again if it was not needed."""
        dropped = self.state == self.State.DROPPED
        self.state = self.State.OPEN if dropped else self.State.DROPPED
        self.done_on, self.done_by = None, None
        self.save()

    def clean(self):
        """Refuse a task due twice or never, done without its day, or waiting for another's."""
        if bool(self.deadline_id) + bool(self.on) + self.of_day != 1:
            raise ValidationError(
                {"on": "Give a date, or a deadline or the audition day to count back from."}
            )
        if self.after_id and self.after_id == self.pk:
            raise ValidationError({"after": "A task cannot wait for itself."})
        if self.after_id and self.after.entry.student_id != self.entry.student_id:
            raise ValidationError({"after": "That task is another student's."})
        if self.recommender_id and self.recommender.student_id != self.entry.student_id:
            raise ValidationError({"recommender": "That is another student's recommender."})
        if (self.state == self.State.DONE) != bool(self.done_on):
            raise ValidationError({"done_on": "A task that is done needs its day, and no other."})
        if self.deadline_id and self.deadline.audition_id != self.entry.audition_id:
            raise ValidationError({"deadline": "That deadline belongs to another audition."})
