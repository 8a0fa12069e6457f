"""The studio's week on paper: one page on both papers, the same as on the screen."""

import io
from datetime import date, time

import pytest
import time_machine
from django.core.cache import caches
from django.db.models import Min
from django.urls import reverse
from pypdf import PdfReader

from studio.entries.models import Entry
from studio.institutions.models import OfferedDate
from studio.students.models import Student
from tests.big_studio import build
from tests.factories import (
    AccompanistFactory,
    AuditionDayFactory,
    EntryFactory,
    StudioDayFactory,
)

pytestmark = pytest.mark.django_db

SATURDAY = date(2027, 2, 6)
SIZES = {"letter": (612, 792), "a4": (595.2756, 841.8898)}


@pytest.fixture(autouse=True)
def november():
    with time_machine.travel("2026-11-23 18:00Z", tick=False):
        yield
    caches["sheets"].clear()


def read(client, on, paper="letter"):
    response = client.get(reverse("week_sheet", args=[on]), {"paper": paper})
    assert response["Content-Type"] == "application/pdf"
    assert response["Cache-Control"] == "private, no-store"
    return PdfReader(io.BytesIO(response.content))


def words(page):
    return " ".join(page.extract_text().split())


@pytest.mark.parametrize("paper", SIZES)
def test_the_week_says_on_paper_what_the_page_says(as_teacher, people, paper):
    people.mia_student.lesson_day, people.mia_student.lesson_at = 5, time(10)
    people.mia_student.save()
    entry = EntryFactory(
        student=people.sam_student,
        chosen_date__on=SATURDAY,
        accompanist=AccompanistFactory(studio=people.studio, name="Noa Vick"),
        teacher_comes=True,
    )
    AuditionDayFactory(entry=entry, call=time(10, 40))
    StudioDayFactory(studio=people.studio, name="Winter concert", first=SATURDAY)
    (page,) = read(as_teacher, SATURDAY, paper).pages
    size = float(page.mediabox.width), float(page.mediabox.height)
    assert size == pytest.approx(SIZES[paper], abs=0.1)
    text = words(page)
    for told in (
        "Week of Monday 1 February 2027",
        "Saturday 6 February",
        "10:40 Sam Reyes (Horn · 9:40 here · Noa Vick plays along · the teacher comes)",
        "To settle: Winter concert needs Sam Reyes",
        "1 lesson lost: the teacher is with Sam Reyes",
        "On the way: Sam Reyes to ",
        "Mia Okafor 10:00",
        "Nothing on Monday, Tuesday",
        "Verify dates and times with the institution itself.",
    ):
        assert told in text


def test_a_week_in_which_there_is_nothing_says_so(as_teacher, people):
    (page,) = read(as_teacher, SATURDAY).pages
    assert "Nothing stands on this week." in words(page)


@pytest.mark.parametrize(("playing", "pages"), [(15, 1), (60, 2)])
def test_sixty_students_keep_to_one_page_until_all_play_at_once(client, playing, pages):
    owner = build(60, date(2026, 11, 23))
    OfferedDate.objects.update(on=SATURDAY)
    OfferedDate.objects.filter(audition__institution__short_name="Carrow").update(
        on=date(2027, 2, 5)
    )
    first = Student.objects.annotate(entry=Min("entries")).order_by("pk")[:playing]
    keys = [student.entry for student in first]
    Entry.objects.exclude(pk__in=keys).update(chosen_date=None, date_state="open")
    for n, student in enumerate(Student.objects.all()):
        student.lesson_day, student.lesson_at = n % 5, time(14 + n % 6)
        student.save()
    StudioDayFactory(
        studio=owner.studio, kind="teacher away", first=date(2027, 2, 1), last=date(2027, 2, 3)
    )
    client.force_login(owner.user)
    assert len(read(client, SATURDAY).pages) == pages
