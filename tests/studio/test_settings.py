"""The studio's settings, its history and the way back."""

import pytest
from django.urls import reverse

from studio.accounts import history, queries
from studio.accounts.models import Change
from studio.requirements.models import Piece
from studio.students.models import Student
from tests.factories import StudentFactory

pytestmark = pytest.mark.django_db

SETTINGS = {
    "name": "Quayside Brass",
    "season": "2026–27",
    "time_zone": "Europe/London",
    "country": "GB",
    "currency": "gbp",
    "mark_names": "Tone, Pulse",
    "ready_at": 90,
    "ease_days": 5,
    "check_days": 21,
}


def test_settings_are_saved(as_teacher, people):
    as_teacher.post(reverse("studio"), SETTINGS)
    people.studio.refresh_from_db()
    assert (people.studio.time_zone, people.studio.marks) == ("Europe/London", ["Tone", "Pulse"])
    assert (people.studio.check_days, people.studio.currency) == (21, "GBP")
    assert (people.studio.ready_at, people.studio.ease_days) == (90, 5)


@pytest.mark.parametrize(
    ("field", "wrong", "told"),
    [
        ("time_zone", "America/Chigaco", "America/Chicago"),
        ("country", "ZZ", "leave it empty"),
        ("currency", "$", "USD, EUR"),
        ("ready_at", "0", "greater than or equal to 1"),
        ("ready_at", "101", "less than or equal to 100"),
        ("ease_days", "61", "less than or equal to 60"),
        ("check_days", "3661", "less than or equal to 3660"),
    ],
)
def test_a_wrong_setting_is_explained(as_teacher, people, field, wrong, told):
    page = as_teacher.post(reverse("studio"), SETTINGS | {field: wrong})
    assert page.status_code == 422
    assert told in page.content.decode()
    people.studio.refresh_from_db()
    assert people.studio.time_zone == "America/Chicago"


def test_public_holidays_of_the_country_are_days_off(people):
    people.studio.country = "US"
    # 5 USC 6103: Independence Day on a Saturday is observed on the Friday before.
    assert {str(day) for day in people.studio.days_off([2026])} >= {"2026-07-03", "2026-11-26"}
    people.studio.country = ""
    assert people.studio.days_off([2026]) == ()


def test_a_removal_is_taken_back_from_the_page(as_teacher, people):
    student = StudentFactory(studio=people.studio, name="Pia Castellan")
    page = as_teacher.post(reverse("student_remove", args=[student.pk]), follow=True)
    batch = Change.objects.filter(action="removed").first().batch
    assert reverse("undo", args=[batch]) in page.content.decode()
    as_teacher.post(reverse("undo", args=[batch]))
    assert Student.objects.get(pk=student.pk).name == "Pia Castellan"


def test_history_tells_who_did_what(as_teacher, people):
    student = StudentFactory(studio=people.studio, name="Pia Castellan")
    as_teacher.post(reverse("student_remove", args=[student.pk]))
    page = as_teacher.get(reverse("history")).content.decode()
    assert "Pia Castellan: removed" in page
    assert "Ines Amadi" in page


def test_a_big_batch_is_counted_in_full(people):
    with history.acting(None):
        history.bulk_create(
            [
                Piece(studio=people.studio, composer="Invented", work=f"Study {n}")
                for n in range(queries.LINES_A_BATCH + 5)
            ]
        )
    newest = queries.recent_batches(people.ines)[0]
    assert (len(newest.lines), newest.more) == (queries.LINES_A_BATCH, 5)


def test_the_opening_of_the_studio_is_not_offered_to_be_taken_back(as_teacher, people):
    opening = Change.objects.get(model="accounts.studio", object_pk=people.studio.pk)
    page = as_teacher.get(reverse("history")).content.decode()
    assert f"{people.studio}: added" in page
    assert reverse("undo", args=[opening.batch]) not in page
    as_teacher.post(reverse("undo", args=[opening.batch]))
    people.studio.refresh_from_db()


def test_undoing_can_itself_be_undone(as_teacher, people):
    student = StudentFactory(studio=people.studio)
    as_teacher.post(reverse("student_remove", args=[student.pk]))
    for _ in range(2):
        as_teacher.post(reverse("undo", args=[Change.objects.first().batch]))
    assert not Student.objects.filter(pk=student.pk).exists()


def test_another_studios_batch_cannot_be_taken_back(as_teacher):
    elsewhere = StudentFactory()
    change = Change.objects.filter(object_pk=elsewhere.pk, model="students.student").get()
    assert as_teacher.post(reverse("undo", args=[change.batch])).status_code == 404
    assert Student.objects.filter(pk=elsewhere.pk).exists()


def test_undo_never_leads_to_another_site(as_teacher, people):
    StudentFactory(studio=people.studio)
    change = Change.objects.filter(model="students.student").first()
    response = as_teacher.post(
        reverse("undo", args=[change.batch]), {"next": "https://elsewhere.example/"}
    )
    assert response.url == reverse("home")
