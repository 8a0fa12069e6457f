"""Accompanists, the studio's own days and recommenders are listed, written down and removed."""

from datetime import date, time

import pytest
import time_machine
from django.urls import reverse

from studio.students.models import Accompanist, Recommender, StudioDay
from tests.factories import (
    AccompanistFactory,
    AuditionFactory,
    EntryFactory,
    RecommenderFactory,
    StudentFactory,
    StudioDayFactory,
    TaskFactory,
)

pytestmark = pytest.mark.django_db


@pytest.fixture(autouse=True)
def in_january():
    with time_machine.travel("2027-01-12 15:00:00+00:00", tick=False):
        yield


def page(client, name, *args):
    return client.get(reverse(name, args=args)).content.decode()


def main(html):
    return html.split("<main")[1].split("</main>")[0]


class TestAccompanists:
    def test_the_first_page_says_what_to_do(self, as_teacher, client, people):
        html = page(as_teacher, "accompanists")
        assert "No accompanists yet" in html
        assert html.count(reverse("accompanist_add")) == 2
        client.force_login(people.ana.user)
        assert reverse("accompanist_add") not in page(client, "accompanists")

    def test_one_is_written_down_changed_and_removed(self, as_teacher, people):
        sent = {"name": "Carmen Ruiz", "email": "ruiz@studio.example", "most": "4"}
        response = as_teacher.post(reverse("accompanist_add"), sent)
        assert response.url == reverse("accompanists")
        row = Accompanist.objects.get()
        assert (row.studio, row.most) == (people.studio, 4)
        as_teacher.post(reverse("accompanist_edit", args=[row.pk]), sent | {"most": ""})
        row.refresh_from_db()
        assert row.most == 6
        entry = EntryFactory(student=people.sam_student, accompanist=row)
        as_teacher.post(reverse("accompanist_remove", args=[row.pk]))
        entry.refresh_from_db()
        assert (Accompanist.objects.count(), entry.accompanist) == (0, None)

    def test_a_removal_is_taken_back_with_the_entries_they_played_for(self, as_teacher, people):
        row = AccompanistFactory(studio=people.studio)
        entry = EntryFactory(student=people.sam_student, accompanist=row)
        StudioDayFactory(studio=people.studio, kind="accompanist away", accompanist=row)
        url = reverse("accompanist_remove", args=[row.pk])
        assert "1 studio day" in page(as_teacher, "accompanist_remove", row.pk)
        html = as_teacher.post(url, follow=True).content.decode()
        undo = html.split('action="/history/')[1].split('"')[0]
        as_teacher.post(f"/history/{undo}")
        entry.refresh_from_db()
        assert entry.accompanist == row
        assert StudioDay.objects.get().accompanist == row

    def test_the_list_counts_this_seasons_auditions(self, as_teacher, people):
        row = AccompanistFactory(studio=people.studio, name="Carmen Ruiz", phone="555 0142")
        for result in ("waiting", "waiting", "withdrawn"):
            EntryFactory(student=people.sam_student, accompanist=row, result=result)
        last = AuditionFactory(institution__studio=people.studio, season="2025–26")
        EntryFactory(student=people.sam_student, audition=last, accompanist=row)
        html = page(as_teacher, "accompanists")
        assert "2 auditions" in html
        assert "555 0142" in html

    @pytest.mark.parametrize(
        ("changed", "field", "told"),
        [
            ({"name": "Carmen Ruiz"}, "name", "Another accompanist has this name"),
            ({"name": ""}, "name", "required"),
            ({"most": "0"}, "most", "greater than or equal to 1"),
            ({"email": "ruiz"}, "email", "valid email"),
        ],
    )
    def test_what_cannot_be_is_refused(self, as_teacher, people, changed, field, told):
        AccompanistFactory(studio=people.studio, name="Carmen Ruiz")
        sent = {"name": "C. Ruiz", "most": "4"} | changed
        response = as_teacher.post(reverse("accompanist_add"), sent)
        assert response.status_code == 422
        assert told in response.context["form"].errors[field][0]
        assert Accompanist.objects.count() == 1

    def test_another_studios_is_not_there(self, as_teacher, people):
        row = AccompanistFactory(studio=people.otto.studio, name="Other Pianist")
        assert "Other Pianist" not in page(as_teacher, "accompanists")
        for name in ("accompanist_edit", "accompanist_remove"):
            assert as_teacher.post(reverse(name, args=[row.pk])).status_code == 404
        assert Accompanist.objects.filter(pk=row.pk).exists()


class TestOwnDays:
    SENT = {"kind": "concert", "name": "Brass evening", "first": "2027-02-13"}

    def add(self, client, **changed):
        return client.post(reverse("own_day_add"), self.SENT | changed)

    def test_the_first_page_says_what_to_do(self, as_teacher):
        html = page(as_teacher, "own_days")
        assert "No days of your own yet" in html
        assert reverse("own_day_add") in html

    def test_a_concert_is_one_day_and_may_need_some_students(self, as_teacher, people):
        sam = people.sam_student
        response = self.add(as_teacher, students=[sam.pk], starts="18:00", ends="20:30")
        assert response.url == reverse("own_days")
        row = StudioDay.objects.get()
        assert (row.studio, row.last, row.starts) == (people.studio, date(2027, 2, 13), time(18))
        assert list(row.students.all()) == [sam]
        html = page(as_teacher, "own_days")
        assert "Saturday 13 February 2027, from 18:00 to 20:30" in html
        assert ">Sam<" in html

    def test_a_concert_of_everybody_says_so(self, as_teacher):
        self.add(as_teacher)
        assert "everybody" in page(as_teacher, "own_days")

    def test_days_are_changed_and_removed(self, as_teacher, people):
        row = StudioDayFactory(studio=people.studio, kind="day off")
        url = reverse("own_day_edit", args=[row.pk])
        as_teacher.post(url, self.SENT | {"kind": "teacher away", "last": "2027-02-15"})
        row.refresh_from_db()
        assert (row.kind, row.last) == ("teacher away", date(2027, 2, 15))
        words = "Saturday 13 February 2027 to Monday 15 February 2027"
        assert words in page(as_teacher, "own_days")
        response = as_teacher.post(reverse("own_day_remove", args=[row.pk]))
        assert response.url == reverse("own_days")
        assert not StudioDay.objects.exists()

    def test_what_is_ahead_stands_first_and_what_is_over_last(self, as_teacher, people):
        for name, first in (("Past", date(2027, 1, 9)), ("Long past", date(2026, 11, 1))):
            StudioDayFactory(studio=people.studio, name=name, first=first)
        StudioDayFactory(studio=people.studio, name="Today", first=date(2027, 1, 12))
        html = main(page(as_teacher, "own_days"))
        places = [html.index(f">{name}<") for name in ("Ahead", "Today", "Over", "Past")]
        assert places == sorted(places)
        assert html.index(">Past<") < html.index(">Long past<")

    @pytest.mark.parametrize(
        ("changed", "field", "told"),
        [
            ({"first": ""}, "first", "required"),
            ({"last": "2027-02-12"}, "last", "before the first"),
            ({"starts": "18:00", "ends": "17:00"}, "ends", "not after the start"),
            ({"kind": "accompanist away"}, "accompanist", "Say which accompanist is away"),
            ({"name": "There already"}, "name", "begins on that day already"),
        ],
    )
    def test_what_cannot_be_is_refused(self, as_teacher, people, changed, field, told):
        StudioDayFactory(studio=people.studio, name="There already")
        response = self.add(as_teacher, **changed)
        assert response.status_code == 422
        assert told in response.context["form"].errors[field][0]
        assert StudioDay.objects.count() == 1

    def test_students_and_accompanists_of_another_studio_are_no_choice(self, as_teacher, people):
        foreign = StudentFactory(studio=people.otto.studio)
        pianist = AccompanistFactory(studio=people.otto.studio)
        assert self.add(as_teacher, students=[foreign.pk]).status_code == 422
        away = {"kind": "accompanist away", "accompanist": pianist.pk}
        assert self.add(as_teacher, **away).status_code == 422
        assert not StudioDay.objects.exists()

    def test_another_studios_is_not_there(self, as_teacher, people):
        row = StudioDayFactory(studio=people.otto.studio, name="Other concert")
        assert "Other concert" not in page(as_teacher, "own_days")
        for name in ("own_day_edit", "own_day_remove"):
            assert as_teacher.post(reverse(name, args=[row.pk])).status_code == 404
        assert StudioDay.objects.filter(pk=row.pk).exists()

    def test_thirty_days_cost_no_more_queries_than_one(
        self, as_teacher, people, django_assert_max_num_queries
    ):
        counts = []
        for number in (1, 29):
            for row in StudioDayFactory.create_batch(number, studio=people.studio):
                row.students.add(people.sam_student, people.mia_student)
            with django_assert_max_num_queries(12) as asked:
                page(as_teacher, "own_days")
            counts.append(len(asked))
        assert counts[0] == counts[1]


class TestRecommenders:
    SENT = {"name": "R. Bell", "role": "Band director", "is_ours": "on"}

    def test_the_students_page_offers_to_add_one(self, as_teacher, people):
        html = page(as_teacher, "student", people.sam_student.pk)
        assert reverse("recommender_add", args=[people.sam_student.pk]) in html

    def test_one_is_written_down_changed_and_removed(self, as_teacher, people):
        sam = people.sam_student
        response = as_teacher.post(reverse("recommender_add", args=[sam.pk]), self.SENT)
        assert response.url == reverse("student", args=[sam.pk])
        row = sam.recommenders.get()
        assert row.is_ours
        html = page(as_teacher, "student", sam.pk)
        assert "R. Bell</a>, Band director, of this studio" in html
        as_teacher.post(reverse("recommender_edit", args=[row.pk]), {"name": "R. T. Bell"})
        row.refresh_from_db()
        assert (row.name, row.role, row.is_ours) == ("R. T. Bell", "", False)
        task = TaskFactory(entry=EntryFactory(student=sam), recommender=row)
        as_teacher.post(reverse("recommender_remove", args=[row.pk]))
        task.refresh_from_db()
        assert (Recommender.objects.count(), task.recommender) == (0, None)

    def test_an_assistant_reads_and_a_student_sees_nothing_of_it(self, client, people):
        row = RecommenderFactory(student=people.sam_student, name="R. Bell")
        client.force_login(people.ana.user)
        html = page(client, "student", people.sam_student.pk)
        assert "R. Bell" in html
        assert "/recommenders/" not in html
        client.force_login(people.sam.user)
        assert "R. Bell" not in page(client, "part")
        assert client.get(reverse("recommender_edit", args=[row.pk])).status_code == 404

    def test_the_same_name_twice_is_told(self, as_teacher, people):
        sam = people.sam_student
        RecommenderFactory(student=sam, name="R. Bell")
        RecommenderFactory(student=people.mia_student, name="T. Cole")
        url = reverse("recommender_add", args=[sam.pk])
        response = as_teacher.post(url, self.SENT)
        assert response.status_code == 422
        assert "of that name already" in response.context["form"].errors["name"][0]
        assert as_teacher.post(url, {"name": "T. Cole"}).status_code == 302

    def test_another_studios_is_not_there(self, as_teacher, people):
        foreign = RecommenderFactory(student=StudentFactory(studio=people.otto.studio))
        url = reverse("recommender_add", args=[foreign.student.pk])
        assert as_teacher.post(url, self.SENT).status_code == 404
        for name in ("recommender_edit", "recommender_remove"):
            assert as_teacher.post(reverse(name, args=[foreign.pk])).status_code == 404
        assert Recommender.objects.get() == foreign


class TestWays:
    def test_the_studio_and_the_students_lead_there(self, as_teacher):
        for place in ("studio", "students"):
            html = page(as_teacher, place)
            assert reverse("accompanists") in html, place
            assert reverse("own_days") in html, place
