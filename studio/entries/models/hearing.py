"""The whole programme heard in one go."""

from django.core.exceptions import ValidationError
from django.db import models
from django.utils import timezone

from studio.accounts.history import Recorded
from studio.accounts.models import User
from studio.entries.models.music import Take
from studio.requirements.models import Piece, Readable


class Hearing(Recorded):
    """The programme of an entry heard in one go: in a mock audition, or on a recording.

    points: by the institution's rubric where one is known, else by the studio's marks, in the
    notation of planner.rubric: "tone: 15; technique: 12".
    """

    class Kind(models.TextChoices):
        """How it was heard."""

        MOCK = "mock", "Mock audition"
        RECORDING = "recording", "Recording"

    entry = models.ForeignKey("entries.Entry", models.CASCADE, related_name="hearings")
    kind = models.CharField(max_length=9, choices=Kind, default=Kind.MOCK)
    on = models.DateField("date", default=timezone.localdate)
    heard_by = models.CharField("who listened", max_length=80, blank=True)
    take = models.ForeignKey(Take, models.SET_NULL, null=True, blank=True, related_name="hearings")
    pieces = models.ManyToManyField(
        Piece, blank=True, related_name="hearings", help_text="What was played. None: all of it."
    )
    points = models.CharField(max_length=800, blank=True, validators=[Readable("points")])
    note = models.CharField(max_length=300, blank=True)
    by = models.ForeignKey(
        User, models.SET_NULL, null=True, blank=True, editable=False, related_name="+"
    )

    LIMITS = ("pieces",)  # none: all

    class Meta:
        ordering = ["on", "pk"]
        constraints = [
            models.UniqueConstraint(fields=["entry", "kind", "on", "heard_by"], name="hearing_once")
        ]

    def __str__(self):
        return f"{self.get_kind_display()} of {self.on:%-d %B %Y}"

    def clean(self):
        """Refuse the recording of another entry."""
        if self.take_id and self.take.entry_id != self.entry_id:
            raise ValidationError({"take": "That recording is another entry's."})
