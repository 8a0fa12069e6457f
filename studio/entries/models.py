"""One student going for one audition: its date, its music, its tasks, its result; and checks."""

from django.core.exceptions import ValidationError
from django.core.validators import MaxValueValidator, MinValueValidator
from django.db import models
from django.db.models import Q
from django.urls import reverse
from django.utils import timezone

from planner.dates.validate import MOST as DEAREST
from planner.travel import LONGEST_MINUTES
from studio.accounts.history import Recorded
from studio.accounts.models import Studio, User
from studio.institutions.models import (
    LEAD,
    ROUND,
    Audition,
    Deadline,
    Institution,
    OfferedDate,
    Unit,
)
from studio.requirements.models import (
    Piece,
    RecordingRules,
    Requirement,
    RequirementSet,
    Said,
)
from studio.students.models import Accompanist, Instrument, Recommender, Student

TEMPO = (MinValueValidator(1), MaxValueValidator(400))


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


class Entry(Recorded):
    """One student for one audition: date, requirements and result."""

    class DateState(models.TextChoices):
        """How far the choice of a date has come."""

        OPEN = "open", "No date yet"
        RANKED = "ranked", "Ranked, not assigned yet"
        ASKED = "asked for", "Asked for, not confirmed"
        CONFIRMED = "confirmed", "Confirmed"

    class Reply(models.TextChoices):
        """What the student answered to an offer."""

        NONE = "", "No reply yet"
        ACCEPTED = "accepted", "Accepted"
        DECLINED = "declined", "Declined"

    class Result(models.TextChoices):
        """What came of it."""

        WAITING = "waiting", "Waiting"
        THROUGH = "next round", "Through to the next round"
        OFFERED = "offered", "Offered a place"
        WAITING_LIST = "waiting list", "On the waiting list"
        NOT_OFFERED = "not offered", "Not offered"
        WITHDRAWN = "withdrawn", "Withdrawn"

    student = models.ForeignKey(Student, models.CASCADE, related_name="entries")
    audition = models.ForeignKey(Audition, models.CASCADE, related_name="entries")
    instrument = models.ForeignKey(Instrument, models.RESTRICT, related_name="entries")
    requirement_set = models.ForeignKey(
        RequirementSet, models.RESTRICT, null=True, blank=True, related_name="entries"
    )
    chosen_date = models.ForeignKey(
        OfferedDate, models.RESTRICT, null=True, blank=True, related_name="entries"
    )
    date_state = models.CharField(
        "state of the date", max_length=10, choices=DateState, default=DateState.OPEN
    )
    round = models.CharField(
        "round of applications",
        max_length=ROUND,
        blank=True,
        help_text="Where there are several, such as early and regular.",
    )
    accompanist = models.ForeignKey(
        Accompanist,
        models.SET_NULL,
        null=True,
        blank=True,
        related_name="entries",
        help_text="Who comes along to play. Empty: nobody, or theirs.",
    )
    teacher_comes = models.BooleanField("the teacher comes along", default=False)
    journey_minutes = models.PositiveSmallIntegerField(
        "journey, minutes",
        null=True,
        blank=True,
        validators=[MaxValueValidator(LONGEST_MINUTES)],
        help_text="One way from home. Empty: reckoned from the map.",
    )
    journey_cost = models.PositiveIntegerField(
        "journey, cost",
        null=True,
        blank=True,
        validators=[MaxValueValidator(DEAREST)],
        help_text="One way. Empty: reckoned.",
    )
    result = models.CharField(max_length=14, choices=Result, default=Result.WAITING)
    result_on = models.DateField("heard on", null=True, blank=True)
    waiting_place = models.PositiveSmallIntegerField(
        "place on the waiting list", null=True, blank=True
    )
    reply = models.CharField("reply to the offer", max_length=8, blank=True, choices=Reply)
    replied_on = models.DateField("replied on", null=True, blank=True)
    kept = models.BooleanField(
        "in the plan", default=True, help_text="Whether the repertoire plan covers it."
    )
    worth = models.PositiveSmallIntegerField(
        "worth to the student",
        default=5,
        validators=[MinValueValidator(1), MaxValueValidator(10)],
        help_text="From 1 to 10, for weighing auditions against hours.",
    )
    errata_told = models.DateField(
        "errata passed on, up to", null=True, blank=True, help_text="Those published by that day."
    )
    notes = models.TextField(blank=True)

    class Meta:
        ordering = ["student__name", "chosen_date__on", "audition__institution__name"]
        verbose_name_plural = "entries"
        constraints = [
            models.UniqueConstraint(fields=["student", "audition", "instrument"], name="entry_once")
        ]

    def __str__(self):
        return f"{self.student}, {self.audition}"

    def get_absolute_url(self):
        """Its page."""
        return reverse("entry", args=[self.pk])

    @property
    def is_live(self):
        """Whether there is still something to play for."""
        return self.result in {self.Result.WAITING, self.Result.THROUGH}

    @property
    def on(self):
        """The date of the audition, or None."""
        return self.chosen_date and self.chosen_date.on

    def clean(self):
        """Refuse a date or requirements that belong to something else."""
        problems = {}
        if self.chosen_date_id and self.chosen_date.audition_id != self.audition_id:
            problems["chosen_date"] = "That date belongs to another audition."
        if self.requirement_set_id and self.audition_id:
            asked, place = self.requirement_set.institution, self.audition.institution
            if asked.pk not in {place.pk, place.part_of_id} and asked.part_of_id != place.pk:
                problems["requirement_set"] = "Those requirements are another institution's."
        if problems:
            raise ValidationError(problems)


class Assignment(Recorded):
    """A piece chosen for a requirement of an entry."""

    entry = models.ForeignKey(Entry, models.CASCADE, related_name="assignments")
    requirement = models.ForeignKey(Requirement, models.CASCADE, related_name="assignments")
    piece = models.ForeignKey(Piece, models.RESTRICT, related_name="assignments")

    class Meta:
        ordering = ["requirement__position", "pk"]
        constraints = [
            models.UniqueConstraint(
                fields=["entry", "requirement", "piece"], name="assignment_once"
            )
        ]

    def __str__(self):
        return f"{self.requirement}: {self.piece}"


class Wish(Recorded):
    """What the teacher wants of one piece when a student's music is planned."""

    class Word(models.TextChoices):
        """Which wish it is."""

        KEEP = "keep", "In any case"
        LIKE = "like", "Rather than another"
        LEAVE = "leave", "Not this season"

    student = models.ForeignKey(Student, models.CASCADE, related_name="wishes")
    piece = models.ForeignKey(Piece, models.CASCADE, related_name="wishes")
    word = models.CharField("wish", max_length=5, choices=Word)

    class Meta:
        ordering = ["student", "piece"]
        verbose_name_plural = "wishes"
        constraints = [models.UniqueConstraint(fields=["student", "piece"], name="wish_once")]

    def __str__(self):
        return f"{self.piece}: {self.get_word_display()}"


class DateWish(Recorded):
    """What is wished of one offered date: its place in the student's order, the teacher's word."""

    Word = Wish.Word

    entry = models.ForeignKey(Entry, models.CASCADE, related_name="date_wishes")
    date = models.ForeignKey(OfferedDate, models.CASCADE, related_name="wishes")
    rank = models.PositiveSmallIntegerField(
        null=True, blank=True, validators=[MinValueValidator(1), MaxValueValidator(60)]
    )
    word = models.CharField("wish", max_length=5, blank=True, choices=Wish.Word)

    class Meta:
        ordering = ["entry", "rank", "date"]
        constraints = [models.UniqueConstraint(fields=["entry", "date"], name="date_wish_once")]

    def __str__(self):
        return f"{self.date}: {self.get_word_display() or f'no. {self.rank}'}"

    def clean(self):
        """Refuse a date of another audition, and a wish that says nothing."""
        if self.date_id and self.date.audition_id != self.entry.audition_id:
            raise ValidationError({"date": "That date belongs to another audition."})
        if self.rank is None and not self.word:
            raise ValidationError("Give a place in the order, or a wish.")


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


class LessonCheck(Recorded):
    """How a piece went on one day: once by the teacher, once by the student."""

    class Source(models.TextChoices):
        """Whose word it is."""

        TEACHER = "teacher", "In a lesson"
        STUDENT = "student", "By the student"

    class Memory(models.TextChoices):
        """How well it is known from memory."""

        NOT_ASKED = "", "Not asked"
        NOT_YET = "not yet", "Not yet"
        PARTLY = "partly", "Partly"
        SECURE = "secure", "Secure"

    student = models.ForeignKey(Student, models.CASCADE, related_name="checks")
    piece = models.ForeignKey(Piece, models.CASCADE, related_name="checks")
    on = models.DateField("date", default=timezone.localdate)
    source = models.CharField(max_length=8, choices=Source, default=Source.TEACHER)
    tempo = models.PositiveSmallIntegerField("clean tempo", null=True, blank=True, validators=TEMPO)
    target = models.PositiveSmallIntegerField(
        "target tempo", null=True, blank=True, validators=TEMPO
    )
    mark_1 = models.PositiveSmallIntegerField(null=True, blank=True)
    mark_2 = models.PositiveSmallIntegerField(null=True, blank=True)
    mark_3 = models.PositiveSmallIntegerField(null=True, blank=True)
    mark_4 = models.PositiveSmallIntegerField(null=True, blank=True)
    memory = models.CharField(max_length=8, choices=Memory, blank=True, default=Memory.NOT_ASKED)
    note = models.CharField(max_length=200, blank=True)
    by = models.ForeignKey(
        User, models.SET_NULL, null=True, blank=True, editable=False, related_name="+"
    )

    MARKS = ("mark_1", "mark_2", "mark_3", "mark_4")

    class Meta:
        ordering = ["on", "pk"]
        constraints = [
            models.UniqueConstraint(
                fields=["student", "piece", "on", "source"], name="check_once_a_day"
            )
        ]

    def __str__(self):
        return f"{self.piece}, {self.on}"

    def clean(self):
        """Refuse marks off the scale, and a check that says nothing."""
        marks = [getattr(self, mark) for mark in self.MARKS]
        if any(mark is not None and not 1 <= mark <= 10 for mark in marks):
            raise ValidationError("Marks go from 1 to 10.")
        if self.tempo is None and not any(marks) and not self.memory and not self.note:
            raise ValidationError("Give at least a tempo, a mark, memory or a note.")


class Take(Recorded):
    """One recording that was made for an entry, and what somebody saw when looking at it."""

    entry = models.ForeignKey(Entry, models.CASCADE, related_name="takes")
    rules = models.ForeignKey(RecordingRules, models.CASCADE, related_name="takes")
    made_on = models.DateField("made on")
    file = models.CharField(
        "where it is", max_length=200, blank=True, help_text="A name or an address."
    )
    pieces = models.ManyToManyField(Piece, related_name="takes")
    piano = models.CharField("with piano", max_length=10, choices=Said, default=Said.UNSTATED)
    edited = models.CharField(max_length=10, choices=Said, default=Said.UNSTATED)
    minutes = models.DecimalField(
        max_digits=5, decimal_places=1, null=True, blank=True, validators=[MinValueValidator(0)]
    )
    order_seen = models.BooleanField("in the order asked for", default=False)
    camera_seen = models.BooleanField("camera as asked for", default=False)
    silence_seen = models.BooleanField("nobody speaks", default=False)
    names_seen = models.BooleanField("no names", default=False)
    chosen = models.BooleanField("to be sent", default=False)
    sent_on = models.DateField("sent on", null=True, blank=True)
    note = models.CharField(max_length=200, blank=True)

    class Meta:
        ordering = ["entry", "made_on", "pk"]
        constraints = [
            models.UniqueConstraint(fields=["entry", "rules", "made_on", "file"], name="take_once")
        ]

    def __str__(self):
        return f"Take of {self.made_on:%-d %B %Y}"

    def clean(self):
        """Refuse rules of another set than the entry's."""
        if self.rules_id and self.rules.requirement_set_id != self.entry.requirement_set_id:
            raise ValidationError({"rules": "Those rules are another institution's."})


class TrialLesson(Recorded):
    """A lesson with a teacher that the student may study with one day."""

    class Reply(models.TextChoices):
        """What came of asking."""

        WAITING = "waiting", "Waiting for an answer"
        YES = "yes", "Yes"
        NO = "no", "No"

    student = models.ForeignKey(Student, models.CASCADE, related_name="trial_lessons")
    institution = models.ForeignKey(Institution, models.RESTRICT, related_name="trial_lessons")
    teacher = models.CharField("with", max_length=120, help_text="The teacher's name.")
    asked_on = models.DateField("asked on", null=True, blank=True)
    reply = models.CharField("answer", max_length=8, choices=Reply, default=Reply.WAITING)
    on = models.DateField("date", null=True, blank=True)
    at = models.TimeField("time there", null=True, blank=True)
    held = models.BooleanField("it took place", default=False)
    cost = models.DecimalField(
        max_digits=9, decimal_places=2, null=True, blank=True, validators=[MinValueValidator(0)]
    )
    worked_on = models.TextField("worked on", blank=True)
    questions = models.TextField(
        "the student's questions", blank=True, help_text="One a line, to take along."
    )
    impressions = models.TextField("the student's impressions", blank=True)

    class Meta:
        ordering = ["student", "on", "institution__name"]
        constraints = [
            models.UniqueConstraint(
                fields=["student", "institution", "teacher"], name="trial_lesson_once"
            )
        ]

    def __str__(self):
        return f"Trial lesson with {self.teacher}, {self.institution}"

    def clean(self):
        """Refuse a lesson that took place on no day."""
        if self.held and not self.on:
            raise ValidationError({"on": "Give the day on which it took place."})
