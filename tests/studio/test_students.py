"""Students are listed, written down, changed, removed, and invited to their part."""

import re
from datetime import date

import pytest
import time_machine
from django.core import mail
from django.urls import reverse

from studio.accounts.models import Invitation, Membership
from studio.students.models import DayAway, Instrument, Student
from studio.students.sounding import sounding
from tests.big_studio import build
from tests.factories import (
    AuditionFactory,
    DayAwayFactory,
    EntryFactory,
    InstrumentFactory,
    OfferedDateFactory,
    StudentFactory,
    full_entry,
)

pytestmark = pytest.mark.django_db


@pytest.fixture(autouse=True)
def in_january():
    with time_machine.travel("2027-01-12 15:00:00+00:00", tick=False):
        yield


def page(client, name, *args, query=""):
    return client.get(reverse(name, args=args) + query).content.decode()


def names_in_order(html, *names):
    return sorted(names, key=html.index)


def details(student, **changed):
    """Return what the form of a student sends, with some of it changed."""
    sent = {
        "name": student.name,
        "instrument": student.instrument_id,
        "latitude": student.latitude,
        "longitude": student.longitude,
        "town": student.town,
        **{f"practice_{day}": 45 for day in ("mon", "tue", "wed", "thu", "fri", "sat", "sun")},
    }
    return sent | changed


class TestList:
    def test_students_stand_in_score_order_or_by_name(self, as_teacher, people):
        tuba = InstrumentFactory(studio=people.studio, name="Tuba", position=270)
        StudentFactory(studio=people.studio, name="Abel Stone", instrument=tuba)
        score = page(as_teacher, "students")
        assert names_in_order(score, "Abel Stone", "Mia Okafor", "Sam Reyes") == [
            "Mia Okafor",
            "Sam Reyes",
            "Abel Stone",
        ]
        by_name = page(as_teacher, "students", query="?order=name")
        assert names_in_order(by_name, "Mia Okafor", "Abel Stone")[0] == "Abel Stone"

    def test_the_next_audition_is_one_that_is_still_ahead(self, as_teacher, people):
        for on, result in (
            (date(2027, 1, 9), "waiting"),
            (date(2027, 1, 30), "withdrawn"),
            (date(2027, 2, 20), "waiting"),
            (date(2027, 2, 13), "waiting"),
        ):
            entry = EntryFactory(student=people.sam_student, result=result)
            entry.chosen_date = OfferedDateFactory(audition=entry.audition, on=on)
            entry.save()
        line = re.search(r"Sam Reyes.*?</tr>", page(as_teacher, "students"), re.S).group()
        assert "13 February 2027" in line
        assert "4 auditions" in line

    def test_another_seasons_auditions_do_not_count(self, as_teacher, people):
        last = AuditionFactory(institution__studio=people.studio, season="2025–26")
        EntryFactory(student=people.sam_student, audition=last)
        line = re.search(r"Sam Reyes.*?</tr>", page(as_teacher, "students"), re.S).group()
        assert "audition" not in line

    def test_a_search_keeps_the_order_that_was_chosen(self, as_teacher, people):
        html = page(as_teacher, "students", query="?q=horn&order=name")
        assert "Sam Reyes" in html
        assert "q=horn&amp;order=score" in html

    def test_a_search_that_finds_nobody_says_so(self, as_teacher):
        html = page(as_teacher, "students", query="?q=zither")
        assert "Nothing matches “zither”" in html
        assert "Sam Reyes" not in html

    def test_an_empty_studio_begins_with_instruments(self, client, people):
        client.force_login(people.otto.user)
        assert reverse("instruments") in page(client, "students")

    def test_an_assistant_is_not_offered_to_add(self, client, people):
        client.force_login(people.ana.user)
        html = page(client, "students")
        assert "Sam Reyes" in html
        assert reverse("student_add") not in html

    def test_thirty_students_cost_no_more_queries_than_one(
        self, client, django_assert_max_num_queries
    ):
        counts = []
        for number in (1, 30):
            client.force_login(build(number, date(2027, 1, 12)).user)
            with django_assert_max_num_queries(12) as asked:
                page(client, "students")
            counts.append(len(asked))
        assert counts[0] == counts[1]


class TestWriting:
    def test_a_new_student_belongs_to_the_studio_and_leads_to_their_page(self, as_teacher, people):
        horn = people.sam_student.instrument
        sent = {"name": "Noor Haddad", "instrument": horn.pk, "practice_sat": 90}
        response = as_teacher.post(reverse("student_add"), sent)
        noor = Student.objects.get(name="Noor Haddad")
        assert noor.studio == people.studio
        assert noor.weekly_minutes == (0, 0, 0, 0, 0, 90, 0)
        assert response.url == reverse("student", args=[noor.pk])

    def test_lessons_and_school_are_written_down_and_shown(self, as_teacher, people):
        sam = people.sam_student
        sent = details(sam, lesson_day="0", lesson_at="16:30", since="2023-09-04", at_school="on")
        as_teacher.post(reverse("student_edit", args=[sam.pk]), sent)
        sam.refresh_from_db()
        assert (sam.lesson_day, sam.at_school) == (0, True)
        assert "Monday, 16:30 · here since September 2023" in page(as_teacher, "student", sam.pk)
        as_teacher.post(reverse("student_edit", args=[sam.pk]), details(sam))
        sam.refresh_from_db()
        assert (sam.lesson_day, sam.since, sam.at_school) == (None, None, False)

    def test_adding_another_offers_the_empty_form_again(self, as_teacher, people):
        sent = {"name": "Noor", "instrument": people.sam_student.instrument_id, "again": "1"}
        assert as_teacher.post(reverse("student_add"), sent).url == reverse("student_add")

    def test_without_instruments_the_list_of_these_comes_first(self, client, people):
        client.force_login(people.otto.user)
        response = client.get(reverse("student_add"), follow=True)
        assert response.redirect_chain[0][0] == reverse("instruments")
        assert "start with the list" in response.content.decode()

    def test_a_second_student_of_the_same_name_is_told_beside_the_field(self, as_teacher, people):
        sent = {"name": "Mia Okafor", "instrument": people.sam_student.instrument_id}
        response = as_teacher.post(reverse("student_add"), sent)
        assert response.status_code == 422
        assert "Another student has this name" in response.context["form"].errors["name"][0]
        assert Student.objects.filter(name="Mia Okafor").count() == 1

    def test_a_form_that_fails_keeps_what_was_typed(self, as_teacher, people):
        student = people.sam_student
        sent = details(student, longitude="", town="Lake Ardent", time_zone="Chicago")
        response = as_teacher.post(reverse("student_edit", args=[student.pk]), sent)
        html = response.content.decode()
        assert response.status_code == 422
        assert "Lake Ardent" in html
        assert "did you mean America/Chicago?" in html
        student.refresh_from_db()
        assert student.town == "Harbour Falls"

    def test_the_instruments_of_another_studio_are_no_choice(self, as_teacher, people):
        foreign = InstrumentFactory(studio=people.otto.studio)
        sent = details(people.sam_student, instrument=foreign.pk)
        url = reverse("student_edit", args=[people.sam_student.pk])
        assert as_teacher.post(url, sent).status_code == 422

    def test_a_removed_student_comes_back_with_everything(self, as_teacher, people):
        entry = full_entry(people.sam_student)
        url = reverse("student_remove", args=[people.sam_student.pk])
        asked = as_teacher.get(url).content.decode()
        assert "1 entry" in asked
        assert "6 lesson checks" in asked
        listed = as_teacher.post(url, follow=True).content.decode()
        assert not Student.objects.filter(name="Sam Reyes").exists()
        as_teacher.post(re.search(r'action="(/history/[^"]+)"', listed).group(1))
        assert Student.objects.get(name="Sam Reyes").entries.get() == entry

    def test_saving_without_a_change_offers_no_undo(self, as_teacher, people):
        student = people.sam_student
        url = reverse("student_edit", args=[student.pk])
        as_teacher.post(url, details(student))
        shown = as_teacher.get(reverse("students")).content.decode()
        assert "Undo" in shown
        as_teacher.post(url, details(student))
        shown = as_teacher.get(reverse("students")).content.decode()
        assert "Sam Reyes: saved." in shown
        assert "Undo" not in shown


class TestDaysAway:
    def test_days_away_are_written_down_changed_and_removed(self, as_teacher, people):
        sam = people.sam_student
        sent = {"first": "2027-01-20", "last": "2027-01-22", "reason": "School trip"}
        response = as_teacher.post(reverse("away_add", args=[sam.pk]), sent)
        away = sam.days_away.get()
        assert response.url == reverse("student", args=[sam.pk])
        as_teacher.post(reverse("away_edit", args=[away.pk]), sent | {"last": "2027-01-23"})
        assert sam.days_away.get().last == date(2027, 1, 23)
        as_teacher.post(reverse("away_remove", args=[away.pk]))
        assert not sam.days_away.exists()

    def test_exams_are_days_on_which_nobody_auditions(self, as_teacher, people):
        sam = people.sam_student
        sent = {"kind": "exam", "first": "2027-01-20", "last": "2027-01-22", "reason": "Mocks"}
        as_teacher.post(reverse("away_add", args=[sam.pk]), sent)
        assert sam.days_away.get().kind == "exam"
        assert "22 January 2027</a>, exams, Mocks" in page(as_teacher, "student", sam.pk)

    def test_days_that_end_before_they_begin_are_refused(self, as_teacher, people):
        sent = {"first": "2027-01-20", "last": "2027-01-19"}
        response = as_teacher.post(reverse("away_add", args=[people.sam_student.pk]), sent)
        assert response.status_code == 422
        assert not DayAway.objects.exists()

    def test_the_same_first_day_twice_is_told(self, as_teacher, people):
        away = DayAwayFactory(student=people.sam_student)
        sent = {"first": away.first, "last": away.last}
        response = as_teacher.post(reverse("away_add", args=[people.sam_student.pk]), sent)
        assert response.status_code == 422
        assert "written down already" in response.content.decode()


class TestInstruments:
    def test_the_usual_instruments_start_a_list_and_leave_what_is_there(self, as_teacher, people):
        Instrument.objects.filter(studio=people.studio).update(semitones=5)
        as_teacher.post(reverse("instruments_usual"))
        there = people.studio.instruments
        assert there.filter(name="Tuba", position=270).exists()
        assert there.get(name="Horn").semitones == 5
        count = there.count()
        as_teacher.post(reverse("instruments_usual"))
        assert there.count() == count

    def test_the_list_says_how_each_sounds(self, as_teacher):
        assert "a perfect fifth lower" in page(as_teacher, "instruments")

    @pytest.mark.parametrize(
        ("semitones", "words"),
        [
            (0, "as written"),
            (-7, "a perfect fifth lower"),
            (12, "an octave higher"),
            (-14, "an octave and a major second lower"),
            (-36, "three octaves lower"),
            (3, "a minor third higher"),
        ],
    )
    def test_sounding_is_said_in_words(self, semitones, words):
        assert sounding(semitones) == words

    def test_an_instrument_that_is_played_stays_and_says_by_whom(self, as_teacher, people):
        url = reverse("instrument_remove", args=[people.sam_student.instrument_id])
        asked = as_teacher.get(url).content.decode()
        assert "Horn is still used by Mia Okafor; Sam Reyes" in asked
        assert 'class="button-remove"' not in asked
        as_teacher.post(url)
        assert people.studio.instruments.filter(name="Horn").exists()

    def test_a_pitch_is_checked(self, as_teacher):
        sent = {"name": "Alto horn", "family": "brass", "position": 225, "lowest": "H2"}
        response = as_teacher.post(reverse("instrument_add"), sent)
        assert response.status_code == 422
        assert "Write a pitch as F#2 or Bb4." in response.content.decode()

    def test_a_new_instrument_is_offered_the_lowest_place(self, as_teacher):
        form = as_teacher.get(reverse("instrument_add")).context["form"]
        assert form["position"].value() == 210


class TestInviting:
    def invite(self, client, student):
        return client.post(reverse("student_invite", args=[student.pk]), follow=True)

    def test_the_link_is_shown_and_sent_and_seats_the_student(self, as_teacher, client, people):
        noor = StudentFactory(studio=people.studio, name="Noor Haddad", email="noor@home.example")
        html = self.invite(as_teacher, noor).content.decode()
        link = re.search(r"http://testserver(/invitation/[^<]+)", html).group(1)
        (sent,) = mail.outbox
        assert sent.to == ["noor@home.example"]
        assert link in sent.body
        client.logout()
        client.post(link, {"name": "Noor Haddad", "password": "a long enough secret"})
        noor.refresh_from_db()
        assert (noor.membership.role, noor.membership.user.email) == ("student", noor.email)

    def test_inviting_again_keeps_the_seat_and_ends_the_first_link(self, as_teacher, people):
        noor = StudentFactory(studio=people.studio, email="noor@home.example")
        self.invite(as_teacher, noor)
        self.invite(as_teacher, noor)
        assert Membership.objects.filter(student=noor).count() == 1
        assert Invitation.objects.count() == 1

    def test_without_an_address_it_says_what_to_do(self, as_teacher, people):
        noor = StudentFactory(studio=people.studio, name="Noor Haddad", email="")
        response = self.invite(as_teacher, noor)
        assert "Noor Haddad has no e-mail address yet" in response.content.decode()
        assert mail.outbox == []
        assert not Invitation.objects.exists()

    def test_who_signs_in_already_is_not_invited(self, as_teacher, people):
        Student.objects.filter(pk=people.sam_student.pk).update(email="sam@home.example")
        self.invite(as_teacher, people.sam_student)
        assert mail.outbox == []

    def test_a_mail_that_cannot_be_sent_is_told(self, as_teacher, people, settings):
        settings.EMAIL_BACKEND = "django.core.mail.backends.smtp.EmailBackend"
        settings.EMAIL_PORT = 1
        noor = StudentFactory(studio=people.studio, email="noor@home.example")
        html = self.invite(as_teacher, noor).content.decode()
        assert "could not be sent" in html
        assert "/invitation/" in html

    @pytest.mark.parametrize("role", ["ana", "sam", "otto"])
    def test_only_teachers_of_the_studio_invite(self, client, people, role):
        noor = StudentFactory(studio=people.studio, email="noor@home.example")
        client.force_login(getattr(people, role).user)
        url = reverse("student_invite", args=[noor.pk])
        assert client.post(url).status_code == 404
        assert mail.outbox == []


@pytest.mark.parametrize("name", ["students", "student_add", "instruments", "instrument_add"])
def test_students_see_none_of_these_pages(as_student, name):
    assert as_student.get(reverse(name)).status_code == 404


def test_an_assistant_changes_nothing(client, people):
    client.force_login(people.ana.user)
    url = reverse("student_edit", args=[people.sam_student.pk])
    assert client.get(url).status_code == 404
    assert client.post(url, details(people.sam_student, name="Other")).status_code == 404
    people.sam_student.refresh_from_db()
    assert people.sam_student.name == "Sam Reyes"
