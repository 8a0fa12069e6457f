"""Every page costs the same number of queries at 1 and at 30 students, and at most 12."""

from datetime import date

import pytest
from django.db import connection
from django.test.utils import CaptureQueriesContext
from django.urls import reverse

from studio.accounts.models import Change, Role
from studio.entries.models import LessonCheck
from studio.reminders.sending import stop_path
from tests.big_studio import build
from tests.factories import (
    AccompanistFactory,
    ErratumFactory,
    GuardianFactory,
    HearingFactory,
    LeadTimeFactory,
    RecommenderFactory,
    StudioDayFactory,
    TakeFactory,
    TrialLessonFactory,
    seat,
    with_scales,
)
from tests.routes import ROUTES

pytestmark = pytest.mark.django_db

TODAY = date(2026, 11, 25)
LIMIT = 12
# One query for each kind of row that a workbook, or a student's file, holds.
EACH_KIND = {"workbook_export": 40, "workbook_export_csv": 40, "student_export": 40}


@pytest.fixture
def studios():
    """Studios of 1 and of 30 students, as (owner, rows that addresses are made of)."""
    return [_studio(size) for size in (1, 30)]


def _studio(size):
    owner = build(size, TODAY)
    student = owner.studio.students.order_by("pk").first()
    student.membership = seat(owner.studio, Role.STUDENT)
    student.save()
    entry = student.entries.order_by("pk").first()
    with_scales(entry, "harmonic minor: to 3; octaves: 2; tempo: 96")
    assignment = entry.assignments.first()
    return owner, {
        "assistant_seat": seat(owner.studio, Role.ASSISTANT).pk,
        "student": student.pk,
        "student_token": student.feed_token,
        "studio_token": owner.studio.feed_token,
        "mail_token": stop_path(student.membership).split("/")[2],
        "entry": entry.pk,
        "day_date": entry.chosen_date.on,
        "assignment": assignment.pk,
        "task": entry.tasks.first().pk,
        "piece": assignment.piece_id,
        "check": LessonCheck.objects.filter(student=student).first().pk,
        "away": student.days_away.first().pk,
        "recommender": RecommenderFactory(student=student).pk,
        "guardian": GuardianFactory(studio=owner.studio, students=[student]).pk,
        "accompanist": AccompanistFactory(studio=owner.studio).pk,
        "own_day": StudioDayFactory(studio=owner.studio).pk,
        "instrument": student.instrument_id,
        "institution": entry.audition.institution_id,
        "audition": entry.audition_id,
        "deadline": entry.audition.deadlines.first().pk,
        "date": entry.chosen_date_id,
        "requirement_set": entry.requirement_set_id,
        "requirement": assignment.requirement_id,
        "erratum": ErratumFactory(requirement_set=entry.requirement_set).pk,
        "take": (take := TakeFactory(entry=entry, pieces=[assignment.piece])).pk,
        "recording_rules": take.rules_id,
        "hearing": HearingFactory(entry=entry, take=take, pieces=[assignment.piece]).pk,
        "trial_lesson": TrialLessonFactory(student=student).pk,
        "lead_time": LeadTimeFactory(studio=owner.studio).pk,
        "invitation": "none",
        "batch": Change.objects.filter(studio=owner.studio).first().batch,
        "seat": student.membership,
    }


def pages(role):
    """The routes that `role` opens by GET; the sign-in program's own are not ours to count."""
    return sorted(
        name
        for name, route in ROUTES.items()
        if role in route.get and not name.startswith("account_") and name != "invitation"
    )


def cost(client, user, name, rows):
    client.force_login(user)
    if "nobody" in ROUTES[name].get:
        client.logout()  # a calendar program is not signed in
    url = reverse(name, args=ROUTES[name].args(rows))
    with CaptureQueriesContext(
        connection,
    ) as queries:
        response = client.get(url)
        assert response.status_code in {200, 302}, url
        b"".join(response) if response.streaming else response.content  # noqa: B018
    return len(queries)


def test_no_page_of_the_teacher_costs_more_with_more_students(studios, client):
    costs = {
        name: [cost(client, owner.user, name, rows) for owner, rows in studios]
        for name in pages("owner")
    }
    assert {name: pair for name, pair in costs.items() if pair[0] != pair[1]} == {}
    dear = {name: pair for name, pair in costs.items() if pair[1] > EACH_KIND.get(name, LIMIT)}
    assert dear == {}


def test_no_page_of_a_student_costs_more_with_more_students(studios, client):
    costs = {
        name: [cost(client, rows["seat"].user, name, rows) for _, rows in studios]
        for name in pages("sam")
    }
    assert {name: pair for name, pair in costs.items() if pair[0] != pair[1]} == {}
    dear = {name: pair for name, pair in costs.items() if pair[1] > EACH_KIND.get(name, LIMIT)}
    assert dear == {}
