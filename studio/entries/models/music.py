"""The music of an entry: what is chosen, wished, heard in lessons and recorded."""

from django.core.exceptions import ValidationError
from django.core.validators import MaxValueValidator, MinValueValidator
from django.db import models
from django.utils import timezone

from studio.accounts.history import Recorded
from studio.accounts.models import User
from studio.requirements.models import (
    Piece,
    RecordingRules,
    Requirement,
    Said,
)
from studio.students.models import Student

TEMPO = (MinValueValidator(1), MaxValueValidator(400))


class Assignment(Recorded):
    """A piece chosen for a requirement of an entry."""

    entry = models.ForeignKey("entries.Entry", models.CASCADE, related_name="assignments")
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

    entry = models.ForeignKey("entries.Entry", models.CASCADE, related_name="takes")
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
