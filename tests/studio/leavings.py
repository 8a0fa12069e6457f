"""A student of whom something of every kind is stored, with words nobody else has."""

import json

from allauth.account.models import EmailConfirmation
from allauth.mfa.models import Authenticator
from allauth.usersessions.models import UserSession
from django.contrib.auth import SESSION_KEY
from django.contrib.sessions.backends.db import SessionStore
from django.utils import timezone

from studio.accounts.models import Invitation, Reminder, Role
from tests.factories import (
    AccompanistFactory,
    DateWishFactory,
    DayAwayFactory,
    GuardianFactory,
    HearingFactory,
    KeyCheckFactory,
    PracticeDayFactory,
    PracticeLogFactory,
    RecommenderFactory,
    StudentFactory,
    StudioDayFactory,
    TakeFactory,
    TrialLessonFactory,
    WishFactory,
    full_entry,
    seat,
)

NAME = "Zebulonia Quaxwort"
EMAIL = "zeb.quaxwort@learner.example"
TOWN = "Vexleigh-under-Crook"
NOTES = "Plays pelargonium softly"
PARENT = "Ottoline Quaxwort"
WORDS = (NAME, EMAIL, TOWN, NOTES, PARENT, "ottoline@parent.example", "Zebrowser 7", "Zebbie")


def full_student(studio, other):
    """Return a student with a row of every kind, in company of another student."""
    own = seat(studio, Role.STUDENT, name=NAME, email=EMAIL)
    fields = {"known_as": "Zebbie", "email": EMAIL, "town": TOWN, "notes": NOTES}
    student = StudentFactory(studio=studio, name=NAME, membership=own, **fields)
    entry = full_entry(student)
    piece = entry.assignments.first().piece
    take = TakeFactory(entry=entry, pieces=[piece])
    HearingFactory(entry=entry, take=take, pieces=[piece])
    for make in (
        DayAwayFactory,
        RecommenderFactory,
        KeyCheckFactory,
        PracticeLogFactory,
        PracticeDayFactory,
        TrialLessonFactory,
        WishFactory,
    ):
        make(student=student)
    DateWishFactory(entry=entry)
    AccompanistFactory(studio=studio)
    recital = StudioDayFactory(studio=studio, name=f"Recital with {NAME}")
    recital.students.set([student, other])
    StudioDayFactory(studio=studio, name="Coaching").students.set([student])
    parent = seat(studio, Role.GUARDIAN, name=PARENT, email="ottoline@parent.example")
    fields = {"name": PARENT, "email": parent.user.email, "membership": parent}
    GuardianFactory(studio=studio, students=[student], **fields)
    GuardianFactory(studio=studio, name="Parent of both", students=[student, other])
    _account(own)
    return student


def _account(own):
    address = own.user.emailaddress_set.get_or_create(email=EMAIL)[0]
    EmailConfirmation.objects.create(email_address=address, key="k", sent=timezone.now())
    Authenticator.objects.create(user=own.user, type="totp", data={"secret": "s"})
    session = signed_in(own.user)
    UserSession.objects.create(
        user=own.user, ip="203.0.113.77", session_key=session, user_agent="Zebrowser 7"
    )
    Invitation.issue(own, EMAIL)
    Reminder.objects.create(membership=own, week="2026-11-23")


def signed_in(user, **told):
    """Return the key of a new session; user: None for nobody's."""
    session = SessionStore()
    session.update(told | ({SESSION_KEY: str(user.pk)} if user else {}))
    session.save()
    return session.session_key


def staged(folder, user, studio):
    """Let an uploaded workbook of a studio wait to be loaded; return its folder."""
    kept = folder / "uploads" / f"token{studio.pk}"
    kept.mkdir(parents=True)
    (kept / "told.json").write_text(json.dumps({"owner": [user.pk, studio.pk], "names": ["a.csv"]}))
    (kept / "0").write_text(f"Name\n{NAME}\n")
    return kept
