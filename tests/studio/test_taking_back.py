"""Who takes back what: never more than they may do as they sit today."""

from datetime import date

import pytest
from allauth.mfa.totp.internal.auth import TOTP, generate_totp_secret
from django.test import Client
from django.urls import reverse

from studio.accounts import history
from studio.accounts.models import Change, Membership, Role, Studio
from studio.entries.models import KeyCheck, LessonCheck, PracticeLog
from tests.factories import full_entry

pytestmark = pytest.mark.django_db
DAY = date(2026, 11, 2)


def signed_in(who):
    client = Client()
    client.force_login(who.user)
    return client


def take_back(client, batch):
    return client.post(reverse("undo", args=[batch]))


def taken(seat, user):
    """Seat somebody as an invitation does; return the batch."""
    with history.acting(None) as act:
        seat.user = user
        seat.save()
    return act.batch


def latest():
    return Change.objects.first().batch


def test_nobody_puts_the_owner_out_by_taking_back_that_they_came(people):
    seat = Membership.objects.create(studio=people.studio, role=Role.OWNER)
    batch = taken(seat, people.otto.user)
    for who in (people.theo, people.ines):
        client = signed_in(who)
        assert take_back(client, batch).status_code == 404
        page = client.get(reverse("history_batch", args=[batch])).content.decode()
        assert "This is not yours to take back." in page
        act = reverse("undo", args=[batch])
        assert act not in page + client.get(reverse("history")).content.decode()
    seat.refresh_from_db()
    assert seat.user == people.otto.user


def test_the_owners_own_letters_stay_theirs_to_stop(as_teacher, people):
    as_teacher.post(reverse("mail"), {})
    assert take_back(as_teacher, latest()).status_code == 302
    people.ines.refresh_from_db()
    assert people.ines.weekly_mail


@pytest.mark.parametrize(("name", "value"), [("two_factor", True), ("keep_months", 12)])
def test_a_teacher_takes_back_no_setting_of_the_owners(people, name, value):
    with history.acting(people.ines.user) as act:
        setattr(people.studio, name, value)
        people.studio.save()
    theo = signed_in(people.theo)
    TOTP.activate(people.theo.user, generate_totp_secret())
    assert take_back(theo, act.batch).status_code == 404
    assert getattr(Studio.objects.get(pk=people.studio.pk), name) == value
    ines = signed_in(people.ines)
    TOTP.activate(people.ines.user, generate_totp_secret())
    assert take_back(ines, act.batch).status_code == 302
    assert getattr(Studio.objects.get(pk=people.studio.pk), name) != value


def test_an_assistant_turned_student_takes_back_nothing_of_another_student(people):
    entry = full_entry(people.mia_student)
    piece = entry.assignments.first().piece_id
    people.sam.role = Role.ASSISTANT
    people.sam.save()
    client = signed_in(people.sam)
    body = {"what": f"piece-{piece}", "on": people.studio.today, "minutes": 20}
    client.post(reverse("practice_log", args=[people.mia_student.pk]), body)
    batch = latest()
    people.sam.role = Role.STUDENT
    people.sam.save()
    assert take_back(client, batch).status_code == 404
    assert PracticeLog.objects.get().minutes == 20


def test_nor_their_own_checks_of_that_time(people):
    entry = full_entry(people.sam_student)
    piece = entry.assignments.first().piece
    with history.acting(people.sam.user) as act:
        LessonCheck.objects.create(student=people.sam_student, piece=piece, on=DAY, tempo=90)
    assert take_back(signed_in(people.sam), act.batch).status_code == 404
    with history.acting(people.sam.user) as act:
        KeyCheck.objects.create(
            student=people.sam_student, tonic="F", on=DAY, source="student", tempo=90
        )
    assert take_back(signed_in(people.sam), act.batch).status_code == 302
    assert take_back(signed_in(people.sam), latest()).status_code == 302, "and back again"
    assert KeyCheck.objects.count() == 1


@pytest.fixture
def ticked(company):
    """A task that Gil ticked for Sam, who could; and the batch."""
    company.gil_guardian.ticks = True
    company.gil_guardian.save()
    task = full_entry(company.sam_student).tasks.first()
    task.doer = "student"
    task.save()
    signed_in(company.gil).post(reverse("task_tick", args=[task.pk]))
    task.refresh_from_db()
    assert task.done_on
    return task, latest()


def test_a_guardian_takes_their_tick_back(company, ticked):
    task, batch = ticked
    assert take_back(signed_in(company.gil), batch).status_code == 302
    task.refresh_from_db()
    assert task.done_on is None


@pytest.mark.parametrize("lost", ["leave", "child"])
def test_but_not_once_they_may_not_tick_any_more(company, ticked, lost):
    task, batch = ticked
    if lost == "leave":
        company.gil_guardian.ticks = False
        company.gil_guardian.save()
    else:
        company.gil_guardian.students.set([company.mia_student])
    assert take_back(signed_in(company.gil), batch).status_code == 404
    task.refresh_from_db()
    assert task.done_on


def test_the_calendar_moves_when_a_teachers_seat_goes_by_taking_back(as_teacher, people):
    seat = Membership.objects.create(studio=people.studio, role=Role.TEACHER)
    batch = taken(seat, people.otto.user)
    known = reverse("studio_feed_calendar", args=[people.studio.feed_token])
    assert take_back(as_teacher, batch).status_code == 302
    seat.refresh_from_db()
    assert seat.user is None
    assert Client().get(known).status_code == 404
