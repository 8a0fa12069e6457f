"""The weekly e-mail: to whom, when by whose clock, once, and how it is stopped."""

import smtplib
from datetime import date, timedelta

import pytest
import time_machine
from django.core import mail
from django.core.management import call_command
from django.db import transaction
from django.test import Client
from django.urls import reverse
from django.utils import timezone

from studio.accounts.models import Change, Reminder, Role
from studio.reminders import sending
from studio.reminders.sending import send_due, stop_path, week_of
from tests.factories import EntryFactory, StudentFactory, TaskFactory, seat

pytestmark = pytest.mark.django_db

MONDAY = "2026-11-30 13:30Z"  # 7:30 in Chicago, where the studio is


@pytest.fixture
def clock():
    with time_machine.travel(MONDAY, tick=False) as moved:
        yield moved


@pytest.fixture
def tasks(people, clock):
    """Sam's task of the week, one of his teacher's, and Mia's that is far away."""
    entry = EntryFactory(student=people.sam_student, audition__institution__short_name="Fairmont")
    TaskFactory(entry=entry, name="Send the essay", on=date(2026, 12, 2))
    TaskFactory(entry=entry, name="Read the draft", doer="teacher", on=date(2026, 12, 1))
    TaskFactory(
        entry=EntryFactory(student=people.mia_student), name="Pay the fee", on=date(2027, 2, 1)
    )
    return entry


def letters():
    """The texts that were sent, by address."""
    assert all(len(message.to) == 1 for message in mail.outbox)
    return {message.to[0]: message.body for message in mail.outbox}


def test_teachers_get_the_studios_cues_and_each_student_their_own(people, tasks):
    send_due(timezone.now())
    found = letters()
    assert set(found) == {people.ines.user.email, people.theo.user.email, people.sam.user.email}
    teachers, sams = found[people.ines.user.email], found[people.sam.user.email]
    assert "- Sam · Fairmont · Send the essay: due Wed 2 Dec" in teachers
    assert "- Sam · Fairmont · Read the draft (teacher): due Tue 1 Dec" in teachers
    assert "- Fairmont · Send the essay: due Wednesday 2 December" in sams
    assert "Read the draft" not in sams
    assert "Pay the fee" not in teachers + sams, "February is not of this week or the next"
    assert "verify with the institution itself" in sams


def test_what_is_too_late_is_not_told_to_be_started(people, tasks):
    TaskFactory(entry=tasks, name="Send the portfolio", on=date(2026, 12, 1), takes=9)
    send_due(timezone.now())
    found = letters()
    line = "Fairmont · Send the portfolio: due Tue 1 Dec · too late"
    assert f"- Sam · {line}" in found[people.ines.user.email]
    sams = found[people.sam.user.email]
    assert "Send the portfolio: due Tuesday 1 December; cannot be done before" in sams


def test_nobody_gets_what_is_another_students(people, tasks):
    TaskFactory(
        entry=people.mia_student.entries.get(), name="Ask for the letter", on=date(2026, 12, 3)
    )
    send_due(timezone.now())
    found = letters()
    assert "Ask for the letter" in found[people.mia.user.email]
    assert "Ask for the letter" not in found[people.sam.user.email]
    assert "Sam" not in found[people.mia.user.email]


def test_an_empty_week_brings_no_mail_and_an_audition_does(people, tasks):
    send_due(timezone.now())
    assert people.mia.user.email not in letters(), "nothing to tell"
    entry = people.mia_student.entries.get()
    entry.chosen_date.on = date(2026, 12, 12)
    entry.chosen_date.save()
    send_due(timezone.now())
    assert "Saturday 12 December, in 12 days" in letters()[people.mia.user.email]


def test_it_is_sent_once_however_often_the_command_runs(people, tasks, clock, capsys):
    for hour in range(5):
        clock.move_to(timezone.now() + timedelta(hours=hour))
        call_command("send_reminders")
    assert sorted(letters()) == sorted(message.to[0] for message in mail.outbox)
    assert capsys.readouterr().out.splitlines()[1:] == ["0 sent, 0 failed."] * 4
    assert Reminder.objects.exclude(sent_at=None).count() == 3


def test_two_runs_at_once_send_it_once(people, tasks, monkeypatch):
    """The second run decides who is due before the first has claimed anything."""
    due = sending._by_studio(timezone.now())
    send_due(timezone.now())
    first = len(mail.outbox)
    monkeypatch.setattr(sending, "_by_studio", lambda now: due)
    assert send_due(timezone.now()).sent == 0
    assert len(mail.outbox) == first == 3


def test_the_next_week_brings_the_next(people, tasks, clock):
    send_due(timezone.now())
    clock.move_to(timezone.now() + timedelta(7))
    send_due(timezone.now())
    dates = Reminder.objects.filter(membership=people.sam).order_by("week")
    assert [r.week for r in dates] == [date(2026, 11, 30), date(2026, 12, 7)]
    assert "OVERDUE" in letters()[people.sam.user.email]


def test_it_waits_for_seven_by_each_readers_own_clock(people, tasks, clock):
    people.sam_student.time_zone = "America/Los_Angeles"  # two hours behind the studio
    people.sam_student.save()
    clock.move_to("2026-11-30 12:59Z")
    send_due(timezone.now())
    assert not mail.outbox, "6:59 in Chicago"
    clock.move_to("2026-11-30 13:00Z")
    send_due(timezone.now())
    assert set(letters()) == {people.ines.user.email, people.theo.user.email}
    clock.move_to("2026-11-30 15:00Z")
    send_due(timezone.now())
    assert people.sam.user.email in letters()


def test_monday_is_the_readers_own(people, clock):
    people.sam_student.time_zone = "Pacific/Auckland"
    people.sam_student.save()
    sam = sending.receiving().get(pk=people.sam.pk)
    clock.move_to("2026-11-29 18:00Z")  # Monday, 7:00 in Auckland
    assert week_of(sam, timezone.now()) == date(2026, 11, 30)
    assert week_of(sending.receiving().get(pk=people.ines.pk), timezone.now()) == date(2026, 11, 23)


def test_what_the_mail_server_refuses_is_tried_again(people, tasks, monkeypatch):
    refused = []

    def refuse(self, **_):
        refused.append(self)
        raise smtplib.SMTPServerDisconnected("gone")

    with monkeypatch.context() as patch:
        patch.setattr("django.core.mail.EmailMessage.send", refuse)
        assert send_due(timezone.now()).failed == len(refused) == 3
    assert not Reminder.objects.exists()
    assert send_due(timezone.now()).sent == 3


def test_what_cannot_be_written_keeps_nobody_elses_back(people, tasks, monkeypatch):
    real = sending.letter_for

    def broken(seat, now):
        if seat.pk == people.ines.pk:
            raise KeyError("a row that no page can read")
        return real(seat, now)

    monkeypatch.setattr(sending, "letter_for", broken)
    done = send_due(timezone.now())
    assert (done.sent, done.failed) == (2, 1)
    assert set(letters()) == {people.theo.user.email, people.sam.user.email}


def test_a_name_with_breaks_in_it_stays_on_its_line(people, tasks):
    TaskFactory(entry=tasks, name="Post it\r\n\nLATE\n- all", on=date(2026, 12, 2))
    send_due(timezone.now())
    assert "- Fairmont · Post it LATE - all: due" in letters()[people.sam.user.email]


def test_somebody_without_a_name_is_written_to(people, tasks):
    people.ines.user.name = ""
    people.ines.user.save()
    send_due(timezone.now())
    assert letters()[people.ines.user.email].startswith(people.ines.user.email)


def test_what_a_dead_run_had_claimed_is_taken_up_after_an_hour(people, tasks, clock):
    Reminder.objects.create(membership=people.sam, week=date(2026, 11, 30))
    send_due(timezone.now())
    assert people.sam.user.email not in letters(), "it may still be on its way"
    clock.move_to(timezone.now() + timedelta(hours=1))
    send_due(timezone.now())
    assert people.sam.user.email in letters()


def test_who_has_stopped_it_gets_none(people, tasks):
    for stopped in (people.sam, people.theo):
        stopped.weekly_mail = False
        stopped.save()
    people.ines.user.is_active = False
    people.ines.user.save()
    send_due(timezone.now())
    assert not mail.outbox


def test_an_empty_seat_gets_none(people, tasks):
    free = seat(people.studio, Role.STUDENT)
    free.user = None
    free.save()
    student = StudentFactory(studio=people.studio, membership=free)
    TaskFactory(entry=EntryFactory(student=student), on=date(2026, 12, 1))
    send_due(timezone.now())
    assert len(mail.outbox) == 3


def test_the_subject_names_nobody(people, tasks):
    send_due(timezone.now())
    subjects = {message.to[0]: message.subject for message in mail.outbox}
    assert subjects[people.ines.user.email] == "Your week: 2 things to do"
    assert subjects[people.sam.user.email] == "Your week: 1 thing to do"


def test_the_mail_says_how_to_stop_it_to_people_and_to_programs(people, tasks):
    send_due(timezone.now())
    message = next(each for each in mail.outbox if each.to == [people.sam.user.email])
    stop = f"http://127.0.0.1:8000{stop_path(people.sam)}"
    assert message.extra_headers["List-Unsubscribe"] == f"<{stop}>"
    assert message.extra_headers["List-Unsubscribe-Post"] == "List-Unsubscribe=One-Click"
    assert f"To stop it: {stop}" in message.body
    assert "http://127.0.0.1:8000/part/" in message.body


def test_a_mail_program_stops_it_by_one_post_without_signing_in(people):
    program = Client(enforce_csrf_checks=True)
    url = stop_path(people.sam)
    assert "Stop the weekly e-mail" in program.get(url).content.decode()
    people.sam.refresh_from_db()
    assert people.sam.weekly_mail, "a scanner that opens links stops nothing"
    program.post(url, {"List-Unsubscribe": "One-Click"})
    people.sam.refresh_from_db()
    assert not people.sam.weekly_mail
    assert Change.objects.filter(model="accounts.membership", object_pk=people.sam.pk).exists()
    page = program.get(url).content.decode()
    assert "It is stopped" in page
    program.post(url, {"again": ""})
    people.sam.refresh_from_db()
    assert people.sam.weekly_mail


def test_an_address_that_was_changed_stops_nobodys(people):
    path = stop_path(people.sam)
    other = path.replace(path.split(":")[-1], "x" * 43 + "/stop/")
    assert other != path
    with transaction.atomic():
        response = Client().post(other)
    assert response.status_code == 404
    assert "Take it from the latest e-mail" in response.content.decode()
    people.sam.refresh_from_db()
    assert people.sam.weekly_mail


def test_one_sees_and_sets_ones_own(as_student, people, tasks):
    page = as_student.get(reverse("mail")).content.decode()
    assert "Send the essay" in page
    assert "Monday 7 December, 7:00" in page
    as_student.post(reverse("mail"), {})
    people.sam.refresh_from_db()
    assert not people.sam.weekly_mail
    assert "None is sent to you" in as_student.get(reverse("mail")).content.decode()
    people.ines.refresh_from_db()
    assert people.ines.weekly_mail
