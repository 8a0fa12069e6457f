"""The pieces a studio plays, and what institutions ask for."""

from django.core.exceptions import ValidationError
from django.core.validators import MaxValueValidator, MinValueValidator
from django.db import models
from django.urls import reverse
from django.utils.deconstruct import deconstructible

from studio.accounts.history import Recorded
from studio.accounts.models import Studio
from studio.accounts.removal import NESTED
from studio.institutions.models import Institution
from studio.requirements.notation import understood
from studio.students.models import Instrument

OLDEST = 1200  # months of a recording: more is a slip of the keyboard


class Kind(models.TextChoices):
    """What a requirement asks for: a piece (the first five), a group (the last two), the rest."""

    SOLO = "solo", "Solo"
    ETUDE = "etude", "Etude"
    EXCERPT = "excerpt", "Orchestral excerpt"
    SCALES = "scales", "Scales"
    OTHER = "other", "Other music"
    SIGHT_READING = "sight-reading", "Sight-reading"
    TEST = "test", "Theory, aural or keyboard test"
    INTERVIEW = "interview", "Interview or lesson"
    PAPER = "paper", "Paper: list, letter, CV, essay"
    ALL_OF = "all of", "Group: all of these"
    SOME_OF = "some of", "Group: some of these"


MUSIC = frozenset(Kind.values[:5])
GROUPS = frozenset(Kind.values[-2:])


@deconstructible
class Readable:
    """Refuses a text in a notation that the planner cannot read, saying which clause to mend."""

    def __init__(self, notation):
        self.notation = notation

    def __call__(self, text):
        try:
            understood(self.notation, text)
        except ValueError as error:
            raise ValidationError(str(error)) from error

    def __eq__(self, other):
        return isinstance(other, Readable) and self.notation == other.notation


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


class KeysAt(models.TextChoices):
    """In which pitch an institution names the keys of its scales."""

    WRITTEN = "written", "Written keys"
    CONCERT = "concert", "Concert keys"
    UNSTATED = "not stated", "Not stated"


class Again(models.TextChoices):
    """Whether the pieces of the screening recording are played again later on."""

    MAY = "may", "May be the same"
    MUST = "must", "Must be the same"
    MUST_NOT = "must not", "Must be others"
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
    book = models.CharField(
        "book or collection", max_length=120, blank=True, help_text="Where it is printed."
    )
    genre = models.CharField(max_length=60, blank=True, help_text="For example concerto, aria.")
    period = models.CharField(max_length=40, blank=True, help_text="For example Baroque.")
    year = models.PositiveSmallIntegerField("year written", null=True, blank=True)
    character = models.CharField(
        max_length=60,
        blank=True,
        help_text="How it goes, in your words: lyrical, slow. Two pieces without a word in common "
        "count as contrasting.",
    )
    language = models.CharField(max_length=40, blank=True, help_text="Of what is sung.")
    level = models.PositiveSmallIntegerField(
        null=True,
        blank=True,
        validators=[MinValueValidator(1), MaxValueValidator(10)],
        help_text="How hard it is, from 1 to 10.",
    )
    bars = models.CharField(max_length=60, blank=True, help_text="For example 1 to 64.")
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
    copied_from = models.ForeignKey(
        "self", models.SET_NULL, null=True, blank=True, related_name="copies"
    )
    reuse = models.CharField(
        "may one piece fill two slots?",
        max_length=10,
        choices=Said,
        default=Said.UNSTATED,
        help_text="Not stated: planned as if it may not.",
    )
    again = models.CharField(
        "the screening’s pieces at the audition",
        max_length=10,
        choices=Again,
        default=Again.UNSTATED,
        help_text="Not stated: planned as if they may be the same.",
    )
    together = models.CharField(
        "all pieces of a round together",
        max_length=300,
        blank=True,
        validators=[Readable("together")],
        help_text="For example minutes: at most 10; different composers.",
    )
    rubric = models.CharField(
        "how it is scored",
        max_length=600,
        blank=True,
        validators=[Readable("rubric")],
        help_text="For example tone: 20; scales: 15, at least 7; pass: 70; ties: tone.",
    )
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
    """A slot of a set: so many pieces of one kind, under its rules; or a group of slots."""

    class Round(models.TextChoices):
        """At which hearing it is asked for."""

        SCREENING = "screening", "Screening recording"
        LIVE = "live", "Audition"
        FINAL = "final", "Final recording"

    requirement_set = models.ForeignKey(RequirementSet, models.CASCADE, related_name="requirements")
    parent = models.ForeignKey(
        "self",
        models.CASCADE,
        null=True,
        blank=True,
        related_name="children",
        verbose_name="inside",
        help_text="The group it belongs to. Empty: it is asked for in any case.",
    )
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
    fits = models.CharField(
        "only pieces with",
        max_length=300,
        blank=True,
        validators=[Readable("fits")],
        help_text="For example composer: Mozart or Haydn; section: first movement.",
    )
    together = models.CharField(
        "its pieces together",
        max_length=300,
        blank=True,
        validators=[Readable("together")],
        help_text="For example contrasting; different composers.",
    )
    scales = models.CharField(
        "scales asked for",
        max_length=300,
        blank=True,
        validators=[Readable("scales")],
        help_text="For example major: to 4; octaves: 2; from memory.",
    )
    keys_at = models.CharField(
        "the keys of its scales are",
        max_length=10,
        choices=KeysAt,
        default=KeysAt.UNSTATED,
        help_text="Not stated: taken as written keys.",
    )
    study_seconds = models.PositiveSmallIntegerField(
        "study time, seconds",
        null=True,
        blank=True,
        validators=[MinValueValidator(1), MaxValueValidator(3600)],
        help_text="Of sight-reading: how long it may be looked at before playing.",
    )
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
        """Refuse a most that is fewer than the least, and a place in a group that cannot be."""
        if self.at_most is not None and self.at_least and self.at_most < self.at_least:
            raise ValidationError({"at_most": "The most is fewer than the least."})
        if self.parent_id is not None:
            self._clean_parent()

    def _clean_parent(self):
        above, seen = self.parent, {self.pk} - {None}
        if above.requirement_set_id != self.requirement_set_id:
            raise ValidationError({"parent": "That group belongs to another set."})
        if not above.is_group:
            raise ValidationError({"parent": f"“{above}” is not a group: choose one that is."})
        if above.round != self.round:
            raise ValidationError({"parent": "That group is asked for at another round."})
        while above is not None:
            if above.pk in seen:
                raise ValidationError({"parent": "A group cannot stand inside itself."})
            seen.add(above.pk)
            above = above.parent
        if len(seen - {self.pk}) > NESTED:
            raise ValidationError({"parent": f"Groups stand at most {NESTED} deep."})

    @property
    def is_music(self):
        """Whether pieces are assigned to it."""
        return self.kind in MUSIC

    @property
    def is_group(self):
        """Whether it holds others."""
        return self.kind in GROUPS


class Erratum(Recorded):
    """A correction that an institution published after its requirements."""

    requirement_set = models.ForeignKey(RequirementSet, models.CASCADE, related_name="errata")
    requirement = models.ForeignKey(
        Requirement,
        models.SET_NULL,
        null=True,
        blank=True,
        related_name="errata",
        help_text="Empty: it concerns all of them.",
    )
    on = models.DateField("published on")
    text = models.CharField("what is corrected", max_length=300)
    source = models.URLField("source link", blank=True)

    class Meta:
        ordering = ["-on", "pk"]
        verbose_name_plural = "errata"
        constraints = [
            models.UniqueConstraint(fields=["requirement_set", "on", "text"], name="erratum_once")
        ]

    def __str__(self):
        return self.text


class Judgement(Recorded):
    """The teacher's word on whether a piece fits a requirement; stronger than its rules."""

    requirement = models.ForeignKey(Requirement, models.CASCADE, related_name="judgements")
    piece = models.ForeignKey(Piece, models.CASCADE, related_name="judgements")
    fits = models.BooleanField(default=True)
    reason = models.CharField(
        max_length=200, blank=True, help_text="For example: of equal weight, asked on the phone."
    )

    class Meta:
        ordering = ["requirement", "piece"]
        constraints = [
            models.UniqueConstraint(fields=["requirement", "piece"], name="judgement_once")
        ]

    def __str__(self):
        return f"{self.piece}: {'fits' if self.fits else 'does not fit'}"


class RecordingRules(Recorded):
    """How the recording of one round has to be made and sent."""

    class Files(models.TextChoices):
        """How the pieces are divided into files."""

        EACH = "one each", "One file for each piece"
        ONE = "one file", "One file with all of them"
        UNSTATED = "not stated", "Not stated"

    requirement_set = models.ForeignKey(RequirementSet, models.CASCADE, related_name="recordings")
    round = models.CharField(
        max_length=10, choices=Requirement.Round, default=Requirement.Round.SCREENING
    )
    files = models.CharField(max_length=10, choices=Files, default=Files.UNSTATED)
    fixed_order = models.CharField(
        "in the order given", max_length=10, choices=Said, default=Said.UNSTATED
    )
    editing = models.CharField(
        "editing allowed", max_length=10, choices=Said, default=Said.UNSTATED
    )
    piano = models.CharField(max_length=14, choices=Piano, default=Piano.UNSTATED)
    video = models.CharField("with a picture", max_length=10, choices=Said, default=Said.UNSTATED)
    camera = models.CharField(
        max_length=120, blank=True, help_text="For example fixed, the whole player in view."
    )
    speaking = models.CharField(
        "speaking allowed", max_length=10, choices=Said, default=Said.UNSTATED
    )
    names = models.CharField(
        "names allowed",
        max_length=10,
        choices=Said,
        default=Said.UNSTATED,
        help_text="In sound, picture or the name of the file.",
    )
    max_age = models.PositiveSmallIntegerField(
        "months old, at most",
        null=True,
        blank=True,
        validators=[MinValueValidator(1), MaxValueValidator(OLDEST)],
    )
    max_minutes = models.PositiveSmallIntegerField(
        "minutes in all, at most", null=True, blank=True, validators=[MinValueValidator(1)]
    )
    notes = models.TextField(
        "other rules", blank=True, help_text="One a line. These are not checked by the program."
    )

    SAID = (
        "round",
        "files",
        "fixed_order",
        "editing",
        "piano",
        "video",
        "camera",
        "speaking",
        "names",
        "max_age",
        "max_minutes",
        "notes",
    )

    class Meta:
        ordering = ["requirement_set", "round"]
        verbose_name_plural = "recording rules"
        constraints = [
            models.UniqueConstraint(fields=["requirement_set", "round"], name="recording_once")
        ]

    def __str__(self):
        return self.get_round_display()

    def clean(self):
        """Refuse a live round: nothing is recorded for it."""
        if self.round == Requirement.Round.LIVE:
            raise ValidationError({"round": "Choose the screening or the final recording."})
