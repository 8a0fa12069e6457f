"""Sending the weekly e-mails: each seat's once a week, however often and by how many it is run.

A row of `Reminder` is claimed before the e-mail is handed over, and its unique key settles who
sends it. What the mail server refuses is given back, to be tried at the next run; what a run
that died had claimed is taken up again after an hour, so that in this one case a letter may come
twice rather than never.
"""

import logging
from dataclasses import dataclass
from datetime import datetime, time, timedelta

from django.conf import settings
from django.core import signing
from django.core.mail import EmailMessage
from django.db import IntegrityError, transaction
from django.db.models import Q
from django.urls import reverse

from planner.zones import moment, zone
from studio.accounts.access import TEACHERS
from studio.accounts.models import Membership, Reminder, Role
from studio.entries.bridge import Season
from studio.entries.queries import whole_season
from studio.reminders.weekly import Letter, home

FROM = time(7)  # on Monday, by the reader's clock
STALE = timedelta(hours=1)
SALT = "weekly mail"
log = logging.getLogger(__name__)


@dataclass
class Sent:
    """What came of one run, in numbers."""

    sent: int = 0
    failed: int = 0


def stop_path(seat):
    """Return the path at which a seat's e-mail is stopped, without signing in."""
    return reverse("mail_stop", args=[signing.dumps(seat.pk, salt=SALT)])


def seat_at(token):
    """Return the seat whose e-mail is stopped at `token`, or None."""
    try:
        pk = signing.loads(token, salt=SALT)
    except signing.BadSignature:
        return None
    return Membership.objects.select_related("studio", "user").filter(pk=pk).first()


def week_of(seat, now):
    """Return the Monday of the reader's week; None before the hour at which it is sent."""
    here = now.astimezone(zone(home(seat)))
    monday = here.date() - timedelta(here.weekday())
    return monday if now >= moment(monday, FROM, zone(home(seat))).at else None


def send_due(now):
    """Send what is due at `now` (aware) and not sent yet; return Sent."""
    done = Sent()
    for seats in _by_studio(now).values():
        for seat in seats:
            _write(seat, now, done)
    return done


def _write(seat, now, done):
    try:
        letter = letter_for(seat, now)
        message = None if letter.is_empty else _message(letter)
    except Exception as error:  # what is wrong with one's rows keeps nobody else's letter back
        _failed(done, f"written for seat {seat.pk}", error)
        return
    if message:
        _send(message, letter, week_of(seat, now), done)


def _failed(done, what, error):
    done.failed += 1
    log.warning("a weekly e-mail could not be %s: %s", what, type(error).__name__)


def letter_for(seat, now):
    """Return the Letter of a seat, empty or not."""
    students = whole_season(seat)
    return Letter(
        seat=seat,
        seasons=tuple(Season(student, now) for student in students),
        now=now,
        site=settings.SITE_URL,
        stop=stop_path(seat),
    )


def receiving():
    """Return the seats that an e-mail is written for, if they want it: teachers, students."""
    return (
        Membership.objects.filter(user__is_active=True)
        .filter(Q(role__in=TEACHERS) | Q(role=Role.STUDENT, student__isnull=False))
        .select_related("studio", "user", "student__studio")
        .order_by("studio", "pk")
    )


def _by_studio(now):
    """Return the seats that are due, by studio."""
    settled = {}
    since = now - timedelta(8)
    for reminder in Reminder.objects.filter(week__gte=since.date()):
        if reminder.sent_at or reminder.claimed_at > now - STALE:
            settled.setdefault(reminder.membership_id, set()).add(reminder.week)
    due = {}
    for seat in receiving().filter(weekly_mail=True):
        week = week_of(seat, now)
        if week and week not in settled.get(seat.pk, ()):
            due.setdefault(seat.studio_id, []).append(seat)
    return due


def _send(message, letter, week, done):
    claim = _claim(letter.seat, week, letter.now)
    if claim is None:
        return
    try:
        message.send()
    except (OSError, ValueError) as error:
        claim.delete()
        _failed(done, "sent", error)
        return
    Reminder.objects.filter(pk=claim.pk).update(sent_at=letter.now)
    done.sent += 1


def _claim(seat, week, now):
    """Return the seat's Reminder of the week, ours to send now; None if it is another's."""
    stale = Reminder.objects.filter(
        membership=seat, week=week, sent_at=None, claimed_at__lte=now - STALE
    )
    if stale.update(claimed_at=now):
        return Reminder.objects.get(membership=seat, week=week)
    try:
        with transaction.atomic():
            return Reminder.objects.create(membership=seat, week=week, claimed_at=now)
    except IntegrityError:
        return None


def _message(letter):
    stop = letter.site + letter.stop
    return EmailMessage(
        letter.subject,
        letter.text,
        to=[letter.seat.user.email],
        headers={
            "List-Unsubscribe": f"<{stop}>",
            "List-Unsubscribe-Post": "List-Unsubscribe=One-Click",  # RFC 8058
            "Auto-Submitted": "auto-generated",  # RFC 3834: no out-of-office answers
        },
    )


def next_time(seat, now):
    """Return the datetime, in the reader's zone, at which the next e-mail is due."""
    tz = zone(home(seat))
    here = now.astimezone(tz)
    monday = here.date() - timedelta(here.weekday())
    at: datetime = moment(monday, FROM, tz).at
    return at if now < at else moment(monday + timedelta(7), FROM, tz).at
