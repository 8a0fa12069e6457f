"""Guardians read their children's parts; accompanists see the days they play on; nothing else."""

from datetime import date

import pytest
from django.core import mail
from django.test import Client
from django.urls import reverse

from studio.accounts.access import accompanied, changeable, readable, removable, tickable
from studio.accounts.models import Invitation, Membership
from studio.entries.models import Entry, LessonCheck, Task
from studio.requirements.models import Piece
from studio.students.models import Guardian, Student
from tests.factories import (
    AssignmentFactory,
    GuardianFactory,
    OfferedDateFactory,
    PieceFactory,
    full_entry,
)
from tests.pages import form_of

pytestmark = pytest.mark.django_db


def signed_in(seat):
    client = Client()
    client.force_login(seat.user)
    return client


@pytest.fixture
def entry(company):
    entry = full_entry(company.sam_student)
    full_entry(company.mia_student)
    return entry


@pytest.fixture
def gil(company):
    return signed_in(company.gil)


@pytest.fixture
def paz(company):
    return signed_in(company.paz)


def test_a_guardian_is_led_to_the_part_of_their_child(gil, company, entry):
    page = gil.get(reverse("home"), follow=True)
    assert page.redirect_chain[-1][0] == company.sam_student.get_absolute_url()
    words = page.content.decode()
    assert "Sam’s part" in words and "Mia" not in words
    assert reverse("part_feed") not in words
    assert f'href="{reverse("entry", args=[entry.pk])}"' not in words


def test_with_two_children_a_guardian_chooses(gil, company, entry):
    company.gil_guardian.students.add(company.mia_student)
    words = gil.get(reverse("part")).content.decode()
    assert company.sam_student.get_absolute_url() in words
    assert company.mia_student.get_absolute_url() in words


def test_a_guardian_reads_nothing_of_another_child(gil, company, entry):
    assert gil.get(company.mia_student.get_absolute_url()).status_code == 404
    for model in (Student, Entry, Task, LessonCheck):
        found = readable(company.gil, model)
        assert found.exists() and not found.exclude(pk__in=_of(model, company.sam_student))
    for model in (Piece, Membership, Guardian):
        assert not readable(company.gil, model).exists()


def _of(model, student):
    path = {Student: "pk", Entry: "student", Task: "entry__student", LessonCheck: "student"}[model]
    return model.objects.filter(**{path: student.pk}).values("pk")


def test_a_guardian_ticks_only_what_the_teacher_allows(gil, company, entry):
    task = entry.tasks.filter(doer="student").first()
    url = reverse("task_tick", args=[task.pk])
    page = company.sam_student.get_absolute_url()
    assert url not in gil.get(page).content.decode()
    assert gil.post(url).status_code == 404
    company.gil_guardian.ticks = True
    company.gil_guardian.save()
    assert url in gil.get(page).content.decode()
    assert gil.post(url).status_code == 302
    task.refresh_from_db()
    assert task.state == Task.State.DONE and task.done_by == company.gil.user
    task.doer = "teacher"
    task.save()
    assert gil.post(url).status_code == 404
    assert not changeable(company.gil, Task).exists() and not removable(company.gil, Task).exists()


def test_leave_to_tick_one_child_is_not_leave_for_another_guardians_child(company, entry):
    GuardianFactory(studio=company.studio, students=[company.sam_student], ticks=True)
    company.gil_guardian.students.add(company.mia_student)
    assert not tickable(company.gil).exists()


def test_an_accompanist_sees_days_and_pieces_of_whom_they_play_for(paz, company, entry):
    assert "Nothing to play yet" in paz.get(reverse("home"), follow=True).content.decode()
    entry.accompanist = company.paz_accompanist
    entry.save()
    words = paz.get(reverse("accompanying")).content.decode()
    piece = entry.assignments.first().piece
    assert "<b>Sam</b>" in words and piece.title in words
    assert entry.audition.institution.name in words
    assert "Mia" not in words and "Reyes" not in words
    for url in (company.sam_student.get_absolute_url(), reverse("day", args=[entry.pk])):
        assert paz.get(url).status_code == 404
    assert list(accompanied(company.paz)) == [entry]
    assert not accompanied(company.ines).exists() and not readable(company.paz, Entry).exists()


def test_no_weekly_letter_is_offered_to_whoever_gets_none(client, company):
    for seat in (company.gil, company.paz, company.ana):
        page = signed_in(seat).get(reverse("account")).content.decode()
        assert f'href="{reverse("mail")}"' not in page
    page = signed_in(company.sam).get(reverse("account")).content.decode()
    assert f'href="{reverse("mail")}"' in page


def test_an_accompanist_reads_first_what_the_piano_plays(paz, company, entry):
    entry.accompanist = company.paz_accompanist
    entry.save()
    first = entry.assignments.first()
    Piece.objects.filter(pk=first.piece_id).update(piano="without piano", minutes=6)
    alone = entry.requirement_set.requirements.exclude(pk=first.requirement_id).first()
    with_piano = PieceFactory(studio=company.studio, work="Arietta", piano="with piano")
    AssignmentFactory(entry=entry, requirement=alone, piece=with_piano)
    words = paz.get(reverse("accompanying")).content.decode()
    assert words.index("Arietta") < words.index(first.piece.title)
    assert "with piano" in words and "without piano" in words and "6 min" in words
    alone.piano = "without piano"
    alone.save()
    words = paz.get(reverse("accompanying")).content.decode()
    assert "with piano" not in words, "what is asked counts before what is usual of the piece"


def test_an_accompanist_is_told_of_two_places_on_one_day(paz, company, entry):
    there = full_entry(company.mia_student)
    there.chosen_date = OfferedDateFactory(audition=there.audition, on=entry.on)
    for each in (entry, there):
        each.accompanist = company.paz_accompanist
        each.save()
    words = paz.get(reverse("accompanying")).content.decode()
    for each in (entry, there):
        assert f"<dd>{each.audition.institution.name}: ask the teacher" in words
    there.chosen_date = OfferedDateFactory(audition=there.audition, on=date(2027, 3, 9))
    there.save()
    assert "Also on that day" not in paz.get(reverse("accompanying")).content.decode()


def test_what_was_played_or_withdrawn_is_gone_from_the_accompanists_page(paz, company, entry):
    entry.accompanist = company.paz_accompanist
    entry.chosen_date = OfferedDateFactory(audition=entry.audition, on=date(2026, 1, 9))
    entry.save()
    assert "Nothing to play yet" in paz.get(reverse("accompanying")).content.decode()


@pytest.mark.parametrize(
    ("who", "route"),
    [("gil_guardian", "guardian_invite"), ("paz_accompanist", "accompanist_invite")],
)
def test_both_are_invited_by_a_link_that_works_once(as_teacher, company, who, route):
    row = getattr(company, who)
    row.membership, row.email = None, "new@home.example"
    row.save()
    answer = as_teacher.post(reverse(route, args=[row.pk]))
    link = answer.context["link"]
    assert link in mail.outbox[0].body and mail.outbox[0].to == ["new@home.example"]
    guest = Client()
    assert guest.get(link).status_code == 200
    form = {"name": "Somebody New", "password": "a tuba in the attic"}
    assert guest.post(link, form).status_code == 302
    row.refresh_from_db()
    assert row.membership.user.email == "new@home.example"
    assert Client().post(link, form).status_code == 404
    assert Invitation.objects.get(membership=row.membership).used_at


def test_whoever_goes_takes_their_seat_along(as_teacher, company):
    for row, route in (
        (company.gil_guardian, "guardian_remove"),
        (company.paz_accompanist, "accompanist_remove"),
    ):
        seat = row.membership_id
        assert as_teacher.post(reverse(route, args=[row.pk])).status_code == 302
        assert not Membership.objects.filter(pk=seat).exists()


def test_a_teacher_writes_down_a_guardian_from_the_students_page(as_teacher, company):
    page = as_teacher.get(company.mia_student.get_absolute_url()).content.decode()
    url = reverse("guardian_add", args=[company.mia_student.pk])
    assert url in page
    form = form_of(as_teacher.get(url), "name")
    assert form["students"] == [str(company.mia_student.pk)]
    answer = as_teacher.post(url, form | {"name": "Ada Okafor", "email": "ada@home.example"})
    guardian = Guardian.objects.get(name="Ada Okafor")
    assert answer.url == reverse("guardian_edit", args=[guardian.pk])
    assert list(guardian.students.all()) == [company.mia_student]
    page = as_teacher.get(company.mia_student.get_absolute_url()).content.decode()
    assert "Ada Okafor" in page and "ada@home.example" in page
