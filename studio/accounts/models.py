"""People, studios, who belongs where, and the one-time invitations that let them in."""

import hashlib
import secrets
import uuid
from datetime import timedelta
from functools import lru_cache

import holidays
from django.contrib.auth.base_user import AbstractBaseUser, BaseUserManager
from django.contrib.auth.models import PermissionsMixin
from django.core.exceptions import ValidationError
from django.core.serializers.json import DjangoJSONEncoder
from django.core.validators import MaxValueValidator, MinValueValidator, RegexValidator
from django.db import models, transaction
from django.urls import reverse
from django.utils import timezone

from planner.zones import UnknownZone, zone

INVITATION_DAYS = 14
SEATED = ("student", "guardian", "accompanist")  # the rows that seats are given for
# Common practice, no source.
SIGHT_READING = """Key and mode
Metre, and how it is counted
The hardest bar: it sets the tempo
Rhythms that trip: ties, syncopations, rests
Accidentals, and how long they hold
The first note, and the last"""
FIRST_YEAR, LAST_YEAR = 1900, 2199


def feed_token():
    """Return an address nobody can guess (256 random bits)."""
    return secrets.token_urlsafe(32)


def validate_zone(name):
    """Accept an IANA time zone that the pinned tzdata knows."""
    try:
        zone(name)
    except UnknownZone as error:
        raise ValidationError(str(error)) from error


@lru_cache
def public_holidays(country, years):
    """Return a country's public holidays (US, DE-BY) in those years, sorted; worked out once.

    Raises NotImplementedError for a code without a calendar.
    """
    name, _, part = country.partition("-")
    return tuple(sorted(holidays.country_holidays(name, subdiv=part or None, years=years)))


class Role(models.TextChoices):
    """What somebody is in a studio; access.py says what each may do."""

    OWNER = "owner", "Owner"
    TEACHER = "teacher", "Teacher"
    ASSISTANT = "assistant", "Assistant"
    STUDENT = "student", "Student"
    GUARDIAN = "guardian", "Guardian"
    ACCOMPANIST = "accompanist", "Accompanist"


class UserManager(BaseUserManager):
    """Users are known by their e-mail address."""

    def create_user(self, email, password=None, **fields):
        """Make a user. The address is proven: an invitation was sent to it.

        One that is kept as proven can only give way to another that is proven too, so that nobody
        takes on the address of somebody else, and waits there for what is sent to them.
        """
        user = self.model(email=self.normalize_email(email).lower(), **fields)
        user.set_password(password)
        with transaction.atomic():
            user.save()
            user.emailaddress_set.create(email=user.email, verified=True, primary=True)
        return user

    def get_by_natural_key(self, email):
        """Return the user of an address, in capitals or not."""
        return self.get(email__iexact=email)


class User(AbstractBaseUser, PermissionsMixin):
    """A person who signs in with an e-mail address."""

    email = models.EmailField(unique=True)
    name = models.CharField(max_length=120)
    is_active = models.BooleanField(default=True)
    date_joined = models.DateTimeField(default=timezone.now)

    USERNAME_FIELD = "email"
    REQUIRED_FIELDS = ["name"]
    objects = UserManager()

    def __str__(self):
        return self.name or self.email


class Recorded(models.Model):
    """A row whose every change is kept: who, when, before, after. See history.py."""

    class Meta:
        abstract = True

    def save(self, *args, **kwargs):
        """Save, and write down what changed."""
        from studio.accounts.history import recording  # it reads access.py, which reads this file

        with recording(self):
            super().save(*args, **kwargs)

    def clean_fields(self, exclude=None):
        """Refuse besides the dates that can only be slips: the engine could not count from them."""
        found = {}
        try:
            super().clean_fields(exclude)
        except ValidationError as error:
            found = error.error_dict
        for name in {*_dates(type(self))} - {*(exclude or ()), *found}:
            on = getattr(self, name)
            if on and not FIRST_YEAR <= on.year <= LAST_YEAR:
                found[name] = [ValidationError(f"Write a year from {FIRST_YEAR} to {LAST_YEAR}.")]
        if found:
            raise ValidationError(found)


def _dates(model):
    return [c.name for c in model._meta.concrete_fields if type(c) is models.DateField]


class Studio(Recorded):
    """One teacher's studio. Everything else belongs to exactly one."""

    name = models.CharField(max_length=120)
    season = models.CharField(
        max_length=20, help_text="The season you are working on, as you write it: 2026–27."
    )
    time_zone = models.CharField(
        max_length=60, validators=[validate_zone], help_text="For example America/Chicago."
    )
    country = models.CharField(
        max_length=10,
        blank=True,
        help_text="Whose public holidays are not working days: a code such as US, GB or DE-BY. "
        "Empty: weekends only.",
    )
    mark_names = models.CharField(
        "marks in a lesson",
        max_length=120,
        default="Tone, Rhythm, Intonation, Style",
        help_text="Up to four, separated by commas. Each is marked from 1 to 10.",
    )
    ready_at = models.PositiveSmallIntegerField(
        "ready at",
        default=95,
        validators=[MinValueValidator(1), MaxValueValidator(100)],
        help_text="A piece counts as ready from this figure of 100 on.",
    )
    ease_days = models.PositiveSmallIntegerField(
        "days of ease",
        default=3,
        validators=[MaxValueValidator(60)],
        help_text="A chance is that of being ready so many days before the audition.",
    )
    check_days = models.PositiveSmallIntegerField(
        "requirements checked within",
        default=30,
        validators=[MaxValueValidator(3660)],
        help_text="Days before an audition. A check that is older then is marked in red.",
    )
    currency = models.CharField(
        max_length=3,
        default="USD",
        validators=[RegexValidator(r"^[A-Z]{3}$", "Write three capitals: USD, EUR, GBP.")],
        help_text="In which costs are written, as three letters: USD.",
    )
    two_factor = models.BooleanField(
        "staff sign in with two factors",
        default=False,
        help_text="A code from an app or a passkey besides the password, for all who teach here.",
    )
    keep_months = models.PositiveSmallIntegerField(
        "months kept after the season",
        null=True,
        blank=True,
        validators=[MinValueValidator(1), MaxValueValidator(240)],
        help_text="Who has had nothing to play for so long is put down for erasure. "
        "Empty: nobody by themselves.",
    )
    sight_reading = models.TextField(
        "before sight-reading",
        blank=True,
        default=SIGHT_READING,
        help_text="What to look at in the study time, one thing a line.",
    )
    day_minutes = models.JSONField(default=dict, blank=True, editable=False)
    journeys = models.JSONField(default=dict, blank=True, editable=False)
    practice = models.JSONField(default=dict, blank=True, editable=False)
    calendar_id = models.UUIDField(default=uuid.uuid4, unique=True, editable=False)
    feed_token = models.CharField(max_length=64, unique=True, default=feed_token, editable=False)

    def __str__(self):
        return self.name

    @property
    def marks(self):
        """The names of the marks given in a lesson, at most four."""
        return [name.strip() for name in self.mark_names.split(",") if name.strip()][:4]

    @property
    def today(self):
        """The date on the studio's calendar."""
        return timezone.localdate(timezone=zone(self.time_zone))

    def renew_feed(self):
        """Give the calendar a new address; the old one is gone at once."""
        self.feed_token = feed_token()
        self.save(update_fields=["feed_token"])

    def days_off(self, years):
        """Return the public holidays of `years` where the studio is, as dates."""
        return public_holidays(self.country, tuple(years)) if self.country else ()

    def clean(self):
        """Refuse a country whose holidays nobody knows."""
        try:
            self.days_off([2026])
        except NotImplementedError as error:
            raise ValidationError(
                {
                    "country": "No holiday calendar is known for that code. Use US, GB, DE-BY "
                    "or leave it empty."
                }
            ) from error


class Membership(Recorded):
    """A seat in a studio. It is empty until its invitation has been accepted."""

    studio = models.ForeignKey(Studio, models.CASCADE, related_name="memberships")
    user = models.ForeignKey(
        User, models.CASCADE, null=True, blank=True, related_name="memberships"
    )
    role = models.CharField(max_length=12, choices=Role)
    weekly_mail = models.BooleanField(
        "weekly e-mail", default=True, help_text="What has to be done, once a week."
    )

    class Meta:
        constraints = [
            models.UniqueConstraint(fields=["studio", "user", "role"], name="one_seat_each")
        ]

    def __str__(self):
        return f"{self.user or 'Empty seat'}, {self.get_role_display().lower()}"

    @property
    def name(self):
        """The name of whoever sits here."""
        return str(self.user)

    @property
    def gets_mail(self):
        """Whether a weekly e-mail is written for it: who has no cues of their own gets none."""
        return self.role in {Role.OWNER, Role.TEACHER, Role.STUDENT}

    @property
    def is_teacher(self):
        """Whether the seat's holder may change the studio's own things."""
        return self.role in {Role.OWNER, Role.TEACHER}

    @property
    def needs_two_factors(self):
        """Whether the studio asks for two factors here: of its staff, never of those who learn."""
        return self.studio.two_factor and (self.is_teacher or self.role == Role.ASSISTANT)


class Invitation(models.Model):
    """A one-time link to a seat. Only a hash of its secret is kept."""

    membership = models.ForeignKey(Membership, models.CASCADE, related_name="invitations")
    email = models.EmailField()
    secret_hash = models.CharField(max_length=64, unique=True)
    created_at = models.DateTimeField(default=timezone.now)
    expires_at = models.DateTimeField()
    used_at = models.DateTimeField(null=True, blank=True)

    def __str__(self):
        return f"Invitation of {self.email}"

    @staticmethod
    def hash(secret):
        """Return what is stored of a secret, so that the database does not give it away."""
        return hashlib.sha256(secret.encode()).hexdigest()

    @classmethod
    def issue(cls, membership, email):
        """Make an invitation, withdraw earlier ones to the seat, and return its link's path."""
        now = timezone.now()
        cls.objects.filter(membership=membership, used_at=None).delete()
        secret = secrets.token_urlsafe(32)
        cls.objects.create(
            membership=membership,
            email=email.lower(),
            secret_hash=cls.hash(secret),
            expires_at=now + timedelta(days=INVITATION_DAYS),
        )
        return reverse("invitation", args=[secret])

    @classmethod
    def open(cls, secret):
        """Return the unused, unexpired invitation with this secret, or None.

        None too if whoever the seat is for has another address by now.
        """
        seated = [f"membership__{name}" for name in SEATED]
        invited = (
            cls.objects.select_related("membership__studio", *seated)
            .filter(secret_hash=cls.hash(secret), used_at=None, expires_at__gt=timezone.now())
            .first()
        )
        people = [getattr(invited and invited.membership, name, None) for name in SEATED]
        moved = any(person.email.lower() != invited.email for person in people if person)
        return None if moved else invited

    @classmethod
    def withdraw(cls, membership, email):
        """Withdraw what is still open to a seat at any other address than `email`."""
        waiting = cls.objects.filter(membership=membership, used_at=None)
        waiting.exclude(email=email.lower()).delete()

    def accept(self, user):
        """Seat `user`. Return False if somebody else was quicker."""
        taken = Invitation.objects.filter(pk=self.pk, used_at=None).update(used_at=timezone.now())
        if taken:
            self.membership.user = user
            self.membership.save()
        return bool(taken)


class Reminder(models.Model):
    """The weekly e-mail of one seat for one week: claimed before it is sent, so sent once."""

    membership = models.ForeignKey(Membership, models.CASCADE, related_name="reminders")
    week = models.DateField(help_text="Its Monday, by the reader's calendar.")
    claimed_at = models.DateTimeField(default=timezone.now)
    sent_at = models.DateTimeField(null=True)

    class Meta:
        constraints = [models.UniqueConstraint(fields=["membership", "week"], name="reminder_once")]

    def __str__(self):
        return f"{self.membership}, week of {self.week}"


class Erasure(models.Model):
    """That somebody was erased: when, on whose word, how many rows; and nothing of who it was."""

    studio = models.ForeignKey(Studio, models.CASCADE, related_name="erasures")
    at = models.DateTimeField(default=timezone.now)
    by = models.ForeignKey(User, models.SET_NULL, null=True, related_name="+")
    rows = models.PositiveIntegerField()

    class Meta:
        ordering = ["-at"]

    def __str__(self):
        return f"Erased on {self.at:%-d %B %Y}"


class Change(models.Model):
    """What somebody did to one row: the row before, the row after. See history.py."""

    class Action(models.TextChoices):
        """What was done to the row."""

        CREATED = "created", "added"
        CHANGED = "changed", "changed"
        REMOVED = "removed", "removed"

    studio = models.ForeignKey(Studio, models.CASCADE, related_name="changes")
    batch = models.UUIDField(default=uuid.uuid4, db_index=True)
    at = models.DateTimeField(default=timezone.now)
    by = models.ForeignKey(User, models.SET_NULL, null=True, related_name="+")
    action = models.CharField(max_length=8, choices=Action)
    model = models.CharField(max_length=60)
    object_pk = models.BigIntegerField()
    label = models.CharField(max_length=200)
    student_pk = models.BigIntegerField(null=True, db_index=True)
    before = models.JSONField(null=True, encoder=DjangoJSONEncoder)
    after = models.JSONField(null=True, encoder=DjangoJSONEncoder)

    class Meta:
        ordering = ["-pk"]
        indexes = [models.Index(fields=["model", "object_pk"])]

    def __str__(self):
        return f"{self.label}: {self.get_action_display()}"
