"""Institutions, their auditions of a season, with deadlines and the dates they offer."""

from django.core.exceptions import ValidationError
from django.core.validators import MaxValueValidator, MinValueValidator
from django.db import models
from django.db.models import F
from django.urls import reverse

from planner.deadlines import Kind as DeadlineKind
from planner.deadlines import Unit as LeadUnit
from planner.deadlines.model import LONGEST_LEAD
from studio.accounts.history import Recorded
from studio.accounts.models import Studio, validate_zone
from studio.students.models import LATITUDE, LONGITUDE, Instrument, whole_position

Unit = models.TextChoices("Unit", {unit.name: (unit.value, unit.value) for unit in LeadUnit})
LEAD = (MaxValueValidator(LONGEST_LEAD),)  # more is a slip of the keyboard
ROUND = 20  # letters of the name of a round of applications


class Institution(Recorded):
    """A place that holds auditions."""

    class Kind(models.TextChoices):
        """What sort of place it is."""

        UNIVERSITY = "university", "University or conservatory"
        SCHOOL = "school of music", "School of music inside a university"
        HONOUR = "honour ensembles", "Honour-ensemble organiser"
        YOUTH = "youth orchestra", "Youth orchestra"
        OTHER = "other", "Other"

    studio = models.ForeignKey(Studio, models.CASCADE, related_name="institutions")
    name = models.CharField(max_length=160)
    short_name = models.CharField(
        max_length=24, blank=True, help_text="For the score and small pages: Fairmont."
    )
    kind = models.CharField(max_length=20, choices=Kind, default=Kind.UNIVERSITY)
    part_of = models.ForeignKey(
        "self", models.SET_NULL, null=True, blank=True, related_name="schools"
    )
    town = models.CharField(max_length=80, blank=True)
    latitude = models.FloatField(null=True, blank=True, validators=LATITUDE)
    longitude = models.FloatField(null=True, blank=True, validators=LONGITUDE)
    time_zone = models.CharField(
        max_length=60,
        blank=True,
        validators=[validate_zone],
        help_text="For example America/New_York. Empty: not known yet.",
    )
    website = models.URLField(blank=True)
    links = models.TextField(blank=True, help_text="Other pages, one a line: Auditions https://…")
    notes = models.TextField(blank=True)

    class Meta:
        ordering = ["name"]
        constraints = [models.UniqueConstraint(fields=["studio", "name"], name="institution_once")]

    def __str__(self):
        return self.name

    def get_absolute_url(self):
        """Its page."""
        return reverse("institution", args=[self.pk])

    @property
    def short(self):
        """The name for narrow places."""
        return self.short_name or self.name

    def clean(self):
        """Refuse half a position, and a place that is part of itself."""
        whole_position(self)
        if self.part_of_id and self.part_of_id == self.pk:
            raise ValidationError({"part_of": "An institution cannot be part of itself."})


class Audition(Recorded):
    """What an institution holds in one season, for example its BMus auditions."""

    class Format(models.TextChoices):
        """How the player is heard."""

        FACE = "face to face", "Face to face"
        BLIND = "blind", "Blind, behind a screen"
        RECORDED = "recorded", "Recorded"
        UNKNOWN = "not stated", "Not stated"

    class DateChoice(models.TextChoices):
        """Who decides on the date."""

        CHOSEN = "chosen", "The applicant chooses a date"
        RANKED = "ranked", "The applicant ranks the dates"
        ASSIGNED = "assigned", "The institution assigns a date"
        UNKNOWN = "not stated", "Not stated"

    institution = models.ForeignKey(Institution, models.CASCADE, related_name="auditions")
    season = models.CharField(max_length=20, help_text="As you write it: 2026–27.")
    name = models.CharField(max_length=120, help_text="For example BMus performance.")
    format = models.CharField(max_length=14, choices=Format, default=Format.UNKNOWN)
    date_choice = models.CharField(
        "how the date is found", max_length=10, choices=DateChoice, default=DateChoice.UNKNOWN
    )
    results_on = models.DateField("results on", null=True, blank=True)
    reply_by = models.DateField("reply by", null=True, blank=True)
    link = models.URLField(blank=True)
    notes = models.TextField(blank=True)

    class Meta:
        ordering = ["institution__name", "name"]
        constraints = [
            models.UniqueConstraint(fields=["institution", "season", "name"], name="audition_once")
        ]

    def __str__(self):
        return f"{self.institution}: {self.name}"

    def get_absolute_url(self):
        """Its page."""
        return reverse("audition", args=[self.pk])


class Deadline(Recorded):
    """One date by which an institution wants one thing."""

    Kind = models.TextChoices(
        "Kind",
        {kind.name: (kind.value, kind.value[0].upper() + kind.value[1:]) for kind in DeadlineKind},
    )

    audition = models.ForeignKey(Audition, models.CASCADE, related_name="deadlines")
    kind = models.CharField(max_length=30, choices=Kind)
    name = models.CharField(max_length=120, help_text="In words: music application.")
    on = models.DateField(
        "date", null=True, blank=True, help_text="Empty: so long before the date of the audition."
    )
    before = models.PositiveSmallIntegerField(
        "before the audition",
        null=True,
        blank=True,
        validators=LEAD,
        help_text="Instead of a date: so long before the student's own date.",
    )
    before_unit = models.CharField("counted in", max_length=14, choices=Unit, default=Unit.DAYS)
    at = models.TimeField("time", null=True, blank=True, help_text="Empty: none is given.")
    zone = models.CharField(
        "time zone",
        max_length=60,
        blank=True,
        validators=[validate_zone],
        help_text="Empty: not stated. It is then planned a day early.",
    )
    opens_on = models.DateField(null=True, blank=True)
    opens_after = models.ForeignKey(
        "self", models.SET_NULL, null=True, blank=True, related_name="opens"
    )
    round = models.CharField(
        "only for the round",
        max_length=ROUND,
        blank=True,
        help_text="Where there are several, such as early and regular. Empty: for all.",
    )
    late_until = models.DateField(
        "late until", null=True, blank=True, help_text="Until when it is still taken, late."
    )
    late_terms = models.CharField(
        "late on these terms", max_length=120, blank=True, help_text="For example with a fee of 30."
    )
    cost = models.DecimalField(
        max_digits=9, decimal_places=2, null=True, blank=True, validators=[MinValueValidator(0)]
    )
    link = models.URLField(blank=True)
    notes = models.TextField(blank=True)

    class Meta:
        ordering = [F("on").asc(nulls_last=True), "at", "name"]
        constraints = [models.UniqueConstraint(fields=["audition", "name"], name="deadline_once")]

    def __str__(self):
        return f"{self.audition}: {self.name}"

    def clean(self):
        """Refuse two dates or none, one that opens after itself or after another audition's."""
        if (self.on is None) == (self.before is None):
            raise ValidationError(
                {"on": "Give a date, or how long before the audition: one of the two."}
            )
        if self.late_until and self.on and self.late_until <= self.on:
            raise ValidationError({"late_until": "That is not after the deadline."})
        after, seen = self.opens_after, {self.pk}
        while after is not None:
            if after.pk in seen or after.audition_id != self.audition_id:
                raise ValidationError(
                    {"opens_after": "Choose an earlier deadline of the same audition."}
                )
            seen.add(after.pk)
            after = after.opens_after


class OfferedDate(Recorded):
    """A day on which an institution hears players, some days only some instruments."""

    audition = models.ForeignKey(Audition, models.CASCADE, related_name="dates")
    on = models.DateField("date")
    starts = models.TimeField("from", null=True, blank=True)
    ends = models.TimeField("to", null=True, blank=True)
    place = models.CharField(max_length=120, blank=True, help_text="Empty: at the institution.")
    book_by = models.DateField(
        "to be had until", null=True, blank=True, help_text="The last day to ask for it."
    )
    full = models.BooleanField(default=False, help_text="Nobody can have it any more.")
    instruments = models.ManyToManyField(
        Instrument, blank=True, help_text="Only for these. None: for all."
    )
    notes = models.CharField(max_length=200, blank=True)

    LIMITS = ("instruments",)  # none: all

    class Meta:
        ordering = ["on", "starts"]
        constraints = [models.UniqueConstraint(fields=["audition", "on"], name="offered_once")]

    def __str__(self):
        return f"{self.audition}, {self.on:%-d %B %Y}"

    def clean(self):
        """Refuse an end before the start."""
        if self.starts and self.ends and self.ends <= self.starts:
            raise ValidationError({"ends": "The end is not after the start."})
