"""One student going for one audition: its date, its result, and which dates are wished for."""

from django.core.exceptions import ValidationError
from django.core.validators import MaxValueValidator, MinValueValidator
from django.db import models
from django.urls import reverse

from planner.dates.validate import MOST as DEAREST
from planner.travel import LONGEST_MINUTES
from studio.accounts.history import Recorded
from studio.entries.models.music import Wish
from studio.institutions.models import (
    ROUND,
    Audition,
    OfferedDate,
)
from studio.requirements.models import (
    RequirementSet,
)
from studio.students.models import Accompanist, Instrument, Student


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
        verbose_name_plural = "date wishes"
        constraints = [models.UniqueConstraint(fields=["entry", "date"], name="date_wish_once")]

    def __str__(self):
        return f"{self.date}: {self.get_word_display() or f'no. {self.rank}'}"

    def clean(self):
        """Refuse a date of another audition, and a wish that says nothing."""
        if self.date_id and self.date.audition_id != self.entry.audition_id:
            raise ValidationError({"date": "That date belongs to another audition."})
        if self.rank is None and not self.word:
            raise ValidationError("Give a place in the order, or a wish.")
