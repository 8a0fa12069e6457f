"""The audition day of one entry: when, where, with whom and with what in the case."""

import re
from dataclasses import dataclass
from datetime import time

from django.core.exceptions import ValidationError
from django.core.validators import MaxValueValidator, MinValueValidator
from django.db import models
from django.urls import reverse

from planner.day.model import LONGEST_STEP
from planner.travel import FARTHEST_KM, LONGEST_MINUTES
from studio.accounts.history import Recorded
from studio.entries.models import Entry

EXTRA = re.compile(r"^(?:(\d{1,2}):(\d{2})\s+)?(.+?)(?:\s*\((\d{1,3}) min\))?$")


@dataclass(frozen=True)
class ExtraLine:
    """Something else on the day: `11:30 Theory test, hall B (45 min)`."""

    at: time | None
    title: str
    minutes: int | None


def read_extras(text):
    """Return the lines of `text` as ExtraLines; ValidationError names a line with a wrong time."""
    extras = []
    for line in filter(None, map(str.strip, text.splitlines())):
        hour, minute, title, minutes = EXTRA.match(line).groups()
        try:
            at = time(int(hour), int(minute)) if hour else None
        except ValueError as error:
            raise ValidationError(f"“{line}”: write the time from 0:00 to 23:59.") from error
        extras.append(ExtraLine(at, title, int(minutes) if minutes else None))
    return tuple(extras)


def lines(text):
    """Return the lines of `text` that say something."""
    return tuple(filter(None, map(str.strip, text.splitlines())))


class AuditionDay(Recorded):
    """All times are wall times at the place. Empty minutes: the studio's usual ones."""

    entry = models.OneToOneField(Entry, models.CASCADE, related_name="day")
    call = models.TimeField("audition at", null=True, blank=True)
    minutes = models.PositiveSmallIntegerField(
        "minutes in the room", null=True, blank=True, validators=[MinValueValidator(1)]
    )
    check_in_place = models.CharField("check-in", max_length=120, blank=True)
    check_in_by = models.TimeField("check in by", null=True, blank=True)
    entrance = models.CharField(max_length=120, blank=True)
    parking = models.CharField(max_length=120, blank=True)
    walk_minutes = models.PositiveSmallIntegerField("minutes to walk", null=True, blank=True)
    warm_up_room = models.CharField("warm-up room", max_length=80, blank=True)
    warm_up_from = models.TimeField("room free from", null=True, blank=True)
    warm_up_minutes = models.PositiveSmallIntegerField("minutes to warm up", null=True, blank=True)
    audition_room = models.CharField(max_length=80, blank=True)
    panel = models.CharField(
        max_length=120, blank=True, help_text="For example three on the panel; pianist provided."
    )
    travel_minutes = models.PositiveSmallIntegerField(
        "journey, minutes",
        null=True,
        blank=True,
        validators=[MaxValueValidator(LONGEST_MINUTES)],
        help_text="Empty: reckoned from the map.",
    )
    travel_km = models.PositiveSmallIntegerField(
        "journey, km", null=True, blank=True, validators=[MaxValueValidator(FARTHEST_KM)]
    )
    extras = models.TextField(
        "also on the day",
        blank=True,
        validators=[read_extras],
        help_text="One a line: 11:30 Theory test, hall B (45 min)",
    )
    contacts = models.TextField(blank=True, help_text="One a line: Desk on the day: 555 0142")
    bring = models.TextField("in the case", blank=True, help_text="One thing a line.")
    notes = models.TextField(blank=True)

    SHARED = (
        "check_in_place",
        "entrance",
        "parking",
        "walk_minutes",
        "warm_up_room",
        "audition_room",
        "panel",
        "extras",
        "contacts",
        "bring",
        "notes",
    )

    class Meta:
        ordering = ["entry__chosen_date__on", "call"]

    def __str__(self):
        return f"Day of {self.entry}"

    def get_absolute_url(self):
        """Its page; a day is addressed by its entry."""
        return reverse("day", args=[self.entry_id])

    def clean(self):
        """Refuse a day without a chosen date, and steps longer than a day."""
        if self.entry_id and not self.entry.chosen_date_id:
            raise ValidationError("Choose the entry's date first: the day hangs on it.")
        too_long = {
            name: f"Give minutes up to {LONGEST_STEP}, the minutes of a day."
            for name in ("minutes", "walk_minutes", "warm_up_minutes")
            if (getattr(self, name) or 0) > LONGEST_STEP
        }
        if too_long:
            raise ValidationError(too_long)
