"""The pieces a studio plays, and what institutions ask for."""

from django.core.exceptions import ValidationError
from django.core.validators import MinValueValidator
from django.db import models
from django.urls import reverse

from studio.accounts.history import Recorded
from studio.accounts.models import Studio
from studio.institutions.models import Institution
from studio.students.models import Instrument


class Kind(models.TextChoices):
    """What a requirement asks for; a piece is one of the first five."""

    SOLO = "solo", "Solo"
    ETUDE = "etude", "Etude"
    EXCERPT = "excerpt", "Orchestral excerpt"
    SCALES = "scales", "Scales"
    OTHER = "other", "Other music"
    SIGHT_READING = "sight-reading", "Sight-reading"
    TEST = "test", "Theory, aural or keyboard test"
    INTERVIEW = "interview", "Interview or lesson"
    PAPER = "paper", "Paper: list, letter, CV, essay"


class Said(models.TextChoices):
    """What an institution says of a rule; silence is an answer of its own."""

    YES = "yes", "Yes"
    NO = "no", "No"
    UNSTATED = "not stated", "Not stated"


class Piano(models.TextChoices):
    """Whether the piano plays along."""

    WITH = "with piano", "With piano"
    WITHOUT = "without piano", "Without piano"
    UNSTATED = "not stated", "Not stated"


class Piece(Recorded):
    """A movement or section of a work: the unit that is prepared and played."""

    studio = models.ForeignKey(Studio, models.CASCADE, related_name="pieces")
    composer = models.CharField(max_length=80, blank=True)
    work = models.CharField(max_length=160)
    section = models.CharField(
        "movement or section", max_length=120, blank=True, help_text="Empty: the whole work."
    )
    instrument = models.ForeignKey(
        Instrument, models.RESTRICT, null=True, blank=True, help_text="Empty: any."
    )
    kind = models.CharField(max_length=14, choices=Kind.choices[:5], default=Kind.SOLO)
    period = models.CharField(
        max_length=40, blank=True, help_text="For example Baroque, or a year."
    )
    character = models.CharField(max_length=60, blank=True, help_text="For example lyrical.")
    minutes = models.DecimalField(
        max_digits=5, decimal_places=1, null=True, blank=True, validators=[MinValueValidator(0)]
    )
    piano = models.CharField(max_length=14, choices=Piano, default=Piano.UNSTATED)
    edition = models.CharField(max_length=120, blank=True)
    hours = models.DecimalField(
        "hours to prepare",
        max_digits=5,
        decimal_places=1,
        null=True,
        blank=True,
        validators=[MinValueValidator(0)],
        help_text="Your estimate, from opening the page to ready.",
    )
    target_tempo = models.PositiveSmallIntegerField(
        null=True, blank=True, validators=[MinValueValidator(1)], help_text="Beats a minute."
    )
    beat = models.CharField(
        max_length=20, blank=True, help_text="What one beat is: quarter, dotted quarter."
    )
    notes = models.TextField(blank=True)

    class Meta:
        ordering = ["composer", "work", "section"]
        constraints = [
            models.UniqueConstraint(
                fields=["studio", "composer", "work", "section"], name="piece_once"
            )
        ]

    def __str__(self):
        return ", ".join(filter(None, [self.composer, self.title]))

    def get_absolute_url(self):
        """Its page."""
        return reverse("piece", args=[self.pk])

    @property
    def title(self):
        """Work and section, without the composer."""
        return ", ".join(filter(None, [self.work, self.section]))


class RequirementSet(Recorded):
    """What an institution asks of one instrument at one level for one degree in one season."""

    institution = models.ForeignKey(Institution, models.CASCADE, related_name="requirement_sets")
    season = models.CharField(max_length=20, help_text="As you write it: 2026–27.")
    instrument = models.ForeignKey(Instrument, models.RESTRICT, related_name="requirement_sets")
    level = models.CharField(max_length=60, blank=True, help_text="For example undergraduate.")
    degree = models.CharField(max_length=80, blank=True, help_text="For example performance.")
    source = models.URLField("source link", blank=True)
    checked_by = models.CharField(max_length=80, blank=True)
    checked_on = models.DateField(null=True, blank=True)
    notes = models.TextField(
        blank=True, help_text="What stands here is not checked by the program."
    )

    class Meta:
        ordering = ["institution__name", "instrument__position", "level", "degree"]
        constraints = [
            models.UniqueConstraint(
                fields=["institution", "season", "instrument", "level", "degree"],
                name="requirement_set_once",
            )
        ]

    def __str__(self):
        parts = [self.instrument.name, self.level, self.degree, self.season]
        return f"{self.institution}: {', '.join(filter(None, parts))}"

    def get_absolute_url(self):
        """Its page."""
        return reverse("requirement_set", args=[self.pk])


class Requirement(Recorded):
    """One slot of a set: so many pieces of one kind, under its rules."""

    class Round(models.TextChoices):
        """At which hearing it is asked for."""

        SCREENING = "screening", "Screening recording"
        LIVE = "live", "Audition"
        FINAL = "final", "Final recording"

    requirement_set = models.ForeignKey(RequirementSet, models.CASCADE, related_name="requirements")
    position = models.PositiveSmallIntegerField(default=1)
    name = models.CharField(max_length=120, help_text="In a few words: Solo, first movement.")
    kind = models.CharField(max_length=14, choices=Kind, default=Kind.SOLO)
    round = models.CharField(max_length=10, choices=Round, default=Round.LIVE)
    at_least = models.PositiveSmallIntegerField("pieces, at least", default=1)
    at_most = models.PositiveSmallIntegerField("pieces, at most", null=True, blank=True)
    minutes = models.DecimalField(
        "minutes, at most", max_digits=5, decimal_places=1, null=True, blank=True
    )
    memory = models.CharField("from memory", max_length=14, choices=Said, default=Said.UNSTATED)
    piano = models.CharField(max_length=14, choices=Piano, default=Piano.UNSTATED)
    weight = models.PositiveSmallIntegerField(
        default=1,
        validators=[MinValueValidator(1)],
        help_text="How much it counts in the audition's readiness.",
    )
    details = models.TextField(
        blank=True, help_text="As the institution puts it. Not checked by the program."
    )

    class Meta:
        ordering = ["position", "pk"]
        constraints = [
            models.UniqueConstraint(
                fields=["requirement_set", "name", "round"], name="requirement_once"
            )
        ]

    def __str__(self):
        return self.name

    def clean(self):
        """Refuse a most that is fewer than the least."""
        if self.at_most is not None and self.at_least and self.at_most < self.at_least:
            raise ValidationError({"at_most": "The most is fewer than the least."})

    @property
    def is_music(self):
        """Whether pieces are assigned to it."""
        return self.kind in {value for value, _ in Kind.choices[:5]}
