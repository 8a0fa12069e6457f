"""Students, what they play, when they are away; who plays with them and who writes for them."""

from django.core.exceptions import ValidationError
from django.core.validators import MaxValueValidator, MinValueValidator, RegexValidator
from django.db import models, transaction
from django.urls import reverse

from studio.accounts.history import Recorded
from studio.accounts.models import Invitation, Membership, Studio, feed_token, validate_zone

WEEKDAYS = ("mon", "tue", "wed", "thu", "fri", "sat", "sun")
LESSON_DAYS = tuple(
    enumerate(("Monday", "Tuesday", "Wednesday", "Thursday", "Friday", "Saturday", "Sunday"))
)
LATITUDE = (MinValueValidator(-90), MaxValueValidator(90))
LONGITUDE = (MinValueValidator(-180), MaxValueValidator(180))
pitch = RegexValidator(r"^[A-G](#|b|##|bb)?-?\d$", "Write a pitch as F#2 or Bb4.")


def whole_position(row):
    """Refuse half a position: a latitude without a longitude, or the other way round."""
    if (row.latitude is None) != (row.longitude is None):
        raise ValidationError("Give both latitude and longitude, or neither.")


class Family(models.TextChoices):
    """The instrument's family, in score order."""

    WOODWIND = "woodwind", "Woodwind"
    BRASS = "brass", "Brass"
    PERCUSSION = "percussion", "Percussion"
    KEYBOARD = "keyboard", "Keyboard"
    VOICE = "voice", "Voice"
    STRINGS = "strings", "Strings"
    OTHER = "other", "Other"


class Instrument(Recorded):
    """One line of the studio's own list of instruments, in score order."""

    studio = models.ForeignKey(Studio, models.CASCADE, related_name="instruments")
    name = models.CharField(max_length=60)
    family = models.CharField(max_length=12, choices=Family)
    position = models.PositiveSmallIntegerField(
        "place in score order", help_text="Smaller stands higher on the page."
    )
    semitones = models.SmallIntegerField(
        "sounds, in semitones from written",
        default=0,
        validators=[MinValueValidator(-36), MaxValueValidator(36)],
        help_text="Horn in F: -7. Piccolo: 12. Concert pitch: 0.",
    )
    lowest = models.CharField("lowest written note", max_length=5, blank=True, validators=[pitch])
    highest = models.CharField("highest written note", max_length=5, blank=True, validators=[pitch])

    class Meta:
        ordering = ["position", "name"]
        constraints = [models.UniqueConstraint(fields=["studio", "name"], name="instrument_once")]

    def __str__(self):
        return self.name


class Seated(Recorded):
    """Somebody who can be given a seat, and who takes it along when they go."""

    membership = models.OneToOneField(
        Membership, models.SET_NULL, null=True, blank=True, editable=False
    )

    class Meta:
        abstract = True

    def save(self, *args, **kwargs):
        """Save, and withdraw invitations to an address that is theirs no more."""
        super().save(*args, **kwargs)
        if self.membership_id:
            Invitation.withdraw(self.membership_id, self.email)

    def delete(self, *args, **kwargs):
        """Remove them with their seat: nobody signs in to what is not theirs any more."""
        seat = self.membership
        with transaction.atomic():
            done = super().delete(*args, **kwargs)
            if seat is not None:
                seat.delete()
        return done

    @property
    def called(self):
        """The name they go by."""
        return getattr(self, "known_as", "") or self.name.split()[0]

    @property
    def signs_in(self):
        """Whether somebody sits in their seat. Costs no query where the seat is loaded."""
        return bool(self.membership and self.membership.user_id)


class Student(Seated):
    """A young musician of the studio."""

    studio = models.ForeignKey(Studio, models.CASCADE, related_name="students")
    name = models.CharField(max_length=120)
    known_as = models.CharField(
        "goes by", max_length=60, blank=True, help_text="The name to use on their part."
    )
    instrument = models.ForeignKey(Instrument, models.RESTRICT, related_name="students")
    also_plays = models.ManyToManyField(Instrument, blank=True, related_name="also_players")
    school_year = models.CharField(max_length=40, blank=True)
    email = models.EmailField("e-mail", blank=True)
    town = models.CharField("home town", max_length=80, blank=True)
    latitude = models.FloatField(null=True, blank=True, validators=LATITUDE)
    longitude = models.FloatField(null=True, blank=True, validators=LONGITUDE)
    time_zone = models.CharField(
        max_length=60,
        blank=True,
        validators=[validate_zone],
        help_text="Empty: the studio's.",
    )
    since = models.DateField("with the studio since", null=True, blank=True)
    lesson_day = models.PositiveSmallIntegerField(
        "day of the lesson", choices=LESSON_DAYS, null=True, blank=True
    )
    lesson_at = models.TimeField("time of the lesson", null=True, blank=True)
    at_school = models.BooleanField(
        "goes to school", default=True, help_text="Then school days missed are counted."
    )
    practice_mon = models.PositiveSmallIntegerField("Monday", default=0)
    practice_tue = models.PositiveSmallIntegerField("Tuesday", default=0)
    practice_wed = models.PositiveSmallIntegerField("Wednesday", default=0)
    practice_thu = models.PositiveSmallIntegerField("Thursday", default=0)
    practice_fri = models.PositiveSmallIntegerField("Friday", default=0)
    practice_sat = models.PositiveSmallIntegerField("Saturday", default=0)
    practice_sun = models.PositiveSmallIntegerField("Sunday", default=0)
    notes = models.TextField(blank=True, help_text="Staff only.")
    erase_on = models.DateField(null=True, blank=True, editable=False)
    feed_token = models.CharField(max_length=64, unique=True, default=feed_token, editable=False)

    class Meta:
        ordering = ["instrument__position", "instrument__name", "name"]
        constraints = [models.UniqueConstraint(fields=["studio", "name"], name="student_once")]

    def __str__(self):
        return self.name

    def get_absolute_url(self):
        """Their page."""
        return reverse("student", args=[self.pk])

    @property
    def home_zone(self):
        """Their time zone's name. Costs no query where the studio is loaded."""
        return self.time_zone or self.studio.time_zone

    @property
    def weekly_minutes(self):
        """Practice minutes, Monday to Sunday."""
        return tuple(getattr(self, f"practice_{day}") for day in WEEKDAYS)

    def clean(self):
        """Refuse half a position."""
        whole_position(self)


class DayAway(Recorded):
    """A stretch of days on which a student cannot audition; away, they do not practise either."""

    class Kind(models.TextChoices):
        """Why."""

        AWAY = "away", "Away"
        EXAM = "exam", "Exams or tests at school"

    student = models.ForeignKey(Student, models.CASCADE, related_name="days_away")
    kind = models.CharField(max_length=5, choices=Kind, default=Kind.AWAY)
    first = models.DateField("first day")
    last = models.DateField("last day")
    reason = models.CharField(max_length=120, blank=True)

    class Meta:
        ordering = ["first"]
        verbose_name_plural = "days away"
        constraints = [models.UniqueConstraint(fields=["student", "first"], name="away_once")]

    def __str__(self):
        return f"{self.student} away, {self.first} to {self.last}"

    def clean(self):
        """Refuse an end before the beginning."""
        if self.first and self.last and self.last < self.first:
            raise ValidationError({"last": "The last day is before the first."})


class Accompanist(Seated):
    """Somebody at the piano, who plays for several students."""

    studio = models.ForeignKey(Studio, models.CASCADE, related_name="accompanists")
    name = models.CharField(max_length=120)
    email = models.EmailField("e-mail", blank=True)
    phone = models.CharField(max_length=40, blank=True)
    most = models.PositiveSmallIntegerField(
        "players a day",
        default=6,
        validators=[MinValueValidator(1), MaxValueValidator(40)],
        help_text="How many at most on one day.",
    )
    notes = models.TextField(blank=True)

    class Meta:
        ordering = ["name"]
        constraints = [models.UniqueConstraint(fields=["studio", "name"], name="accompanist_once")]

    def __str__(self):
        return self.name


class Guardian(Seated):
    """A parent or guardian: reads their children's parts, and ticks there what they may."""

    studio = models.ForeignKey(Studio, models.CASCADE, related_name="guardians")
    name = models.CharField(max_length=120)
    email = models.EmailField("e-mail", blank=True)
    phone = models.CharField(max_length=40, blank=True)
    students = models.ManyToManyField(Student, related_name="guardians")
    ticks = models.BooleanField(
        "may tick",
        default=False,
        help_text="What the student has to do, they may tick for them.",
    )

    class Meta:
        ordering = ["name"]
        constraints = [models.UniqueConstraint(fields=["studio", "name"], name="guardian_once")]

    def __str__(self):
        return self.name


class StudioDay(Recorded):
    """Days of the studio's own: days off, concerts, days on which somebody is not there."""

    class Kind(models.TextChoices):
        """What the days are."""

        OFF = "day off", "Day off: nobody works"
        CONCERT = "concert", "Concert: students are needed"
        TEACHER = "teacher away", "Teacher away"
        ACCOMPANIST = "accompanist away", "Accompanist away"

    studio = models.ForeignKey(Studio, models.CASCADE, related_name="own_days")
    kind = models.CharField(max_length=16, choices=Kind, default=Kind.CONCERT)
    name = models.CharField(max_length=120)
    first = models.DateField("first day")
    last = models.DateField("last day")
    starts = models.TimeField("from", null=True, blank=True)
    ends = models.TimeField("to", null=True, blank=True)
    accompanist = models.ForeignKey(
        Accompanist,
        models.CASCADE,
        null=True,
        blank=True,
        related_name="days_away",
        help_text="Only where an accompanist is away: who.",
    )
    students = models.ManyToManyField(
        Student, blank=True, related_name="own_days", help_text="Only these. None: all."
    )
    notes = models.CharField(max_length=200, blank=True)

    LIMITS = ("students",)  # none: all

    class Meta:
        ordering = ["first", "starts", "name"]
        constraints = [
            models.UniqueConstraint(fields=["studio", "first", "name"], name="studio_day_once")
        ]

    def __str__(self):
        return self.name

    def clean(self):
        """Refuse an end before the beginning, and an absence of nobody."""
        if self.first and self.last and self.last < self.first:
            raise ValidationError({"last": "The last day is before the first."})
        if self.starts and self.ends and self.first == self.last and self.ends <= self.starts:
            raise ValidationError({"ends": "The end is not after the start."})
        if (self.kind == self.Kind.ACCOMPANIST) != bool(self.accompanist_id):
            raise ValidationError(
                {"accompanist": "Say which accompanist is away; otherwise leave it empty."}
            )


class Recommender(Recorded):
    """Somebody who writes letters for a student: one request, however many letters."""

    student = models.ForeignKey(Student, models.CASCADE, related_name="recommenders")
    name = models.CharField(max_length=120)
    role = models.CharField(max_length=120, blank=True, help_text="For example band director.")
    is_ours = models.BooleanField(
        "a teacher of this studio", default=False, help_text="Then the letter is yours to write."
    )
    email = models.EmailField("e-mail", blank=True)

    class Meta:
        ordering = ["name"]
        constraints = [models.UniqueConstraint(fields=["student", "name"], name="recommender_once")]

    def __str__(self):
        return self.name
