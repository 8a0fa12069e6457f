"""What a student practises between lessons: minutes, days of their own, scales key by key."""

from functools import cached_property

from django.core.exceptions import ValidationError
from django.core.validators import MaxValueValidator, MinValueValidator, RegexValidator
from django.db import models
from django.db.models import Q
from django.utils import timezone

from planner import codec
from planner.practice.validate import DAY_MINUTES
from planner.readiness.prior import PIECES_NEEDED, Prior
from planner.readiness.words import figure
from planner.scales.demand import Sort
from studio.accounts.history import Recorded
from studio.accounts.models import Studio, User
from studio.entries.models.music import TEMPO, LessonCheck
from studio.requirements.models import Piece
from studio.students.models import Student

IN_A_DAY = (MinValueValidator(0), MaxValueValidator(DAY_MINUTES))
tonic = RegexValidator(r"^[A-G](#|b)?$", "Write a key as F# or Bb.")


class PracticeLog(Recorded):
    """Minutes a student practised on one day: on a piece, on an entry's whole programme, or else.

    Their own word: it moves the plan of practice, and never the readiness figure.
    """

    student = models.ForeignKey(Student, models.CASCADE, related_name="practice_logs")
    on = models.DateField("date", default=timezone.localdate)
    piece = models.ForeignKey(
        Piece, models.CASCADE, null=True, blank=True, related_name="practice_logs"
    )
    entry = models.ForeignKey(
        "entries.Entry",
        models.CASCADE,
        null=True,
        blank=True,
        related_name="practice_logs",
        verbose_name="run-through for",
        help_text="Of its whole programme. Neither a piece nor this: scales and all else.",
    )
    minutes = models.PositiveSmallIntegerField(validators=IN_A_DAY)
    by = models.ForeignKey(
        User, models.SET_NULL, null=True, blank=True, editable=False, related_name="+"
    )

    class Meta:
        ordering = ["on", "pk"]
        constraints = [
            models.UniqueConstraint(
                fields=["student", "on", "piece"],
                condition=Q(piece__isnull=False),
                name="piece_practised_once_a_day",
            ),
            models.UniqueConstraint(
                fields=["student", "on", "entry"],
                condition=Q(entry__isnull=False),
                name="run_through_once_a_day",
            ),
            models.UniqueConstraint(
                fields=["student", "on"],
                condition=Q(piece__isnull=True, entry__isnull=True),
                name="else_practised_once_a_day",
            ),
        ]

    def __str__(self):
        return f"{self.minutes} min on {self.on:%-d %B %Y}"

    def clean(self):
        """Refuse minutes on a piece and on a run-through at once, and another's entry."""
        if self.piece_id and self.entry_id:
            raise ValidationError("Log a piece or a run-through, each in a line of its own.")
        if self.entry_id and self.entry.student_id != self.student_id:
            raise ValidationError({"entry": "That entry is another student's."})


class PracticeDay(Recorded):
    """The minutes a student has on one day, where they are others than the weekday's."""

    student = models.ForeignKey(Student, models.CASCADE, related_name="practice_days")
    on = models.DateField("date")
    minutes = models.PositiveSmallIntegerField(validators=IN_A_DAY)

    class Meta:
        ordering = ["on"]
        constraints = [models.UniqueConstraint(fields=["student", "on"], name="practice_day_once")]

    def __str__(self):
        return f"{self.minutes} min on {self.on:%-d %B %Y}"


class KeyCheck(Recorded):
    """How fast one scale went clean on one day; its key is the written one."""

    SORTS = tuple((sort.value, sort.value) for sort in Sort if sort is not Sort.MINOR)

    student = models.ForeignKey(Student, models.CASCADE, related_name="key_checks")
    sort = models.CharField("scale", max_length=24, choices=SORTS, default=Sort.MAJOR.value)
    tonic = models.CharField("key", max_length=2, validators=[tonic])
    on = models.DateField("date", default=timezone.localdate)
    source = models.CharField(
        max_length=8, choices=LessonCheck.Source, default=LessonCheck.Source.TEACHER
    )
    tempo = models.PositiveSmallIntegerField("clean tempo", validators=TEMPO)
    by = models.ForeignKey(
        User, models.SET_NULL, null=True, blank=True, editable=False, related_name="+"
    )

    class Meta:
        ordering = ["on", "pk"]
        constraints = [
            models.UniqueConstraint(
                fields=["student", "sort", "tonic", "on", "source"], name="key_check_once_a_day"
            )
        ]

    def __str__(self):
        return f"{self.tonic} {self.sort}, {self.on}"


class LearnedPace(models.Model):
    """What is usual in a studio, learned from its finished pieces: figures, nobody's name.

    Worked out from the checks and never written by hand, so no history is kept of it.
    """

    studio = models.OneToOneField(Studio, models.CASCADE, related_name="learned_pace")
    on = models.DateField()
    pieces = models.PositiveIntegerField(help_text="How many finished pieces it rests on.")
    prior = models.JSONField(help_text="A planner.readiness.Prior by its fields.")

    def __str__(self):
        return f"Learned from {self.pieces} pieces on {self.on}"

    @property
    def is_learned(self):
        """Whether enough pieces are finished; with fewer the stated default holds."""
        return self.pieces >= PIECES_NEEDED

    @cached_property
    def usual(self):
        """The planner.readiness.Prior; the stated default where what is kept is no longer read."""
        try:
            return codec.read(Prior, self.prior) if self.is_learned else Prior()
        except codec.Unreadable:
            return Prior()

    @property
    def words(self):
        """ "Learned from 34 finished pieces on 12 January: about 4 points a week"."""
        if not self.is_learned:
            return f"Not learned yet: {self.pieces} of {PIECES_NEEDED} finished pieces"
        pace = f"about {figure(self.usual.rate)} points a week"
        return f"Learned from {self.pieces} finished pieces on {self.on:%-d %B}: {pace}"
