"""Students, the instruments they play, the minutes they practise and the days they are away."""

from django.core.exceptions import ValidationError
from django.core.validators import MaxValueValidator, MinValueValidator, RegexValidator
from django.db import models, transaction
from django.urls import reverse

from studio.accounts.history import Recorded
from studio.accounts.models import Membership, Studio, feed_token, validate_zone

WEEKDAYS = ("mon", "tue", "wed", "thu", "fri", "sat", "sun")
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


class Student(Recorded):
    """A young musician of the studio."""

    studio = models.ForeignKey(Studio, models.CASCADE, related_name="students")
    membership = models.OneToOneField(
        Membership, models.SET_NULL, null=True, blank=True, editable=False
    )
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
    practice_mon = models.PositiveSmallIntegerField("Monday", default=0)
    practice_tue = models.PositiveSmallIntegerField("Tuesday", default=0)
    practice_wed = models.PositiveSmallIntegerField("Wednesday", default=0)
    practice_thu = models.PositiveSmallIntegerField("Thursday", default=0)
    practice_fri = models.PositiveSmallIntegerField("Friday", default=0)
    practice_sat = models.PositiveSmallIntegerField("Saturday", default=0)
    practice_sun = models.PositiveSmallIntegerField("Sunday", default=0)
    notes = models.TextField(blank=True, help_text="Staff only.")
    feed_token = models.CharField(max_length=64, unique=True, default=feed_token, editable=False)

    class Meta:
        ordering = ["instrument__position", "instrument__name", "name"]
        constraints = [models.UniqueConstraint(fields=["studio", "name"], name="student_once")]

    def __str__(self):
        return self.name

    def get_absolute_url(self):
        """Their page."""
        return reverse("student", args=[self.pk])

    def delete(self, *args, **kwargs):
        """Remove the student with their seat: nobody signs in to a part that is gone."""
        seat = self.membership
        with transaction.atomic():
            done = super().delete(*args, **kwargs)
            if seat is not None:
                seat.delete()
        return done

    @property
    def called(self):
        """The name they go by."""
        return self.known_as or self.name.split()[0]

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
    """A stretch of days on which a student can neither practise nor audition."""

    student = models.ForeignKey(Student, models.CASCADE, related_name="days_away")
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
