"""Lessons with teachers that a student may study with one day."""

from django.core.exceptions import ValidationError
from django.core.validators import MinValueValidator
from django.db import models

from studio.accounts.history import Recorded
from studio.institutions.models import (
    Institution,
)
from studio.students.models import Student


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
