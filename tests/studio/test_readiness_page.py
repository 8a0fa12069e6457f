"""The page and the sheet of readiness: whose they are, what they say, and when nothing is known."""

import io
import re
from datetime import date, timedelta

import pytest
import time_machine
from django.core.cache import caches
from django.urls import reverse
from pypdf import PdfReader

from planner.codec import write
from planner.readiness import Prior
from studio.entries.bridge import Season
from studio.entries.chances import chance_words
from studio.entries.models import LearnedPace, LessonCheck
from studio.entries.queries import whole_season
from studio.entries.readiness_page import Readiness
from tests.factories import (
    AssignmentFactory,
    AuditionFactory,
    EntryFactory,
    HearingFactory,
    LessonCheckFactory,
    OfferedDateFactory,
    PieceFactory,
)

pytestmark = [pytest.mark.django_db, pytest.mark.usefixtures("in_january")]
TODAY = date(2027, 1, 12)
FEBRUARY = date(2027, 2, 6)
RISING = (70, 78, 85, 93)
READY = (100, 106, 112, 112)


@pytest.fixture
def in_january():
    with time_machine.travel("2027-01-12T18:00:00Z", tick=False):
        yield
    caches["sheets"].clear()


def entry_of(student, place="Fairmont", on=FEBRUARY):
    audition = AuditionFactory(
        institution__studio=student.studio, institution__name=f"{place} School",
        institution__short_name=place,
    )  # fmt: skip
    chosen = OfferedDateFactory(audition=audition, on=on) if on else None
    return EntryFactory(student=student, audition=audition, chosen_date=chosen)


def give(entry, work, tempos=(), last=TODAY - timedelta(days=1)):
    """Choose a piece for a requirement of its own, heard once a week with these clean tempos."""
    piece = PieceFactory(studio=entry.student.studio, composer="", work=work, target_tempo=112)
    AssignmentFactory(entry=entry, piece=piece)
    for weeks, tempo in enumerate(reversed(tempos)):
        on = last - timedelta(weeks=weeks)
        LessonCheckFactory(student=entry.student, piece=piece, on=on, tempo=tempo, target=None)
    return piece


@pytest.fixture
def entry(people):
    return entry_of(people.sam_student)


def url_of(student, name="readiness"):
    return reverse(name, args=[student.pk])


def page_of(people):
    return Readiness(Season(whole_season(people.ines).get(pk=people.sam_student.pk)))


def read(client, student):
    """Return the page as its words stand on it, spaces evened."""
    response = client.get(url_of(student))
    assert response.status_code == 200
    words = re.sub(r"<[^>]+>", " ", response.content.decode())
    return re.sub(r"\s+", " ", words)


def sheet(client, student, paper="a4"):
    response = client.get(url_of(student, "readiness_sheet"), {"paper": paper})
    assert response["Content-Type"] == "application/pdf"
    return PdfReader(io.BytesIO(response.content))


# Whose it is


def test_a_student_reads_their_own_and_nobody_elses(as_student, people, entry):
    give(entry, "Romance", RISING)
    page = read(as_student, people.sam_student)
    assert "Sam’s readiness" in page
    assert "My part" in page
    for name in ("readiness", "readiness_sheet"):
        assert as_student.get(url_of(people.mia_student, name)).status_code == 404


@pytest.mark.parametrize("name", ["readiness", "readiness_sheet"])
def test_strangers_find_nothing(client, people, name):
    url = url_of(people.sam_student, name)
    assert client.get(url).status_code in {302, 404}
    client.force_login(people.otto.user)
    assert client.get(url).status_code == 404


def test_staff_are_led_on_to_the_entry_and_the_lesson(client, people, entry):
    give(entry, "Romance", RISING)
    client.force_login(people.ana.user)
    html = client.get(url_of(people.sam_student)).content.decode()
    assert reverse("entry", args=[entry.pk]) in html
    assert reverse("lesson", args=[people.sam_student.pk]) in html


# What it says


def test_a_chance_is_said_in_words_with_the_day_and_its_range(as_student, people, entry):
    give(entry, "Romance", RISING)
    audition = page_of(people).auditions[0]
    answer = audition.answer
    page = read(as_student, people.sam_student)
    assert f"All ready three days before: {chance_words(answer.chance)}." in page
    assert f"{answer.ready_on.day} {answer.ready_on:%B}, between" in page
    assert audition.range in page
    assert "about seven are ready three days before the audition" in page
    assert f"{100 * answer.chance:.0f} %" not in page


def test_the_days_of_ease_are_the_studios(as_student, people, entry):
    give(entry, "Romance", RISING)
    people.studio.ease_days = 5
    people.studio.save()
    page = read(as_student, people.sam_student)
    assert "All ready five days before:" in page
    assert "ready five days before the audition" in page


def test_each_requirement_stands_with_its_own_chance_and_limit(people, entry):
    give(entry, "Romance", RISING)
    give(entry, "Etude", READY)
    (audition,) = page_of(people).auditions
    assert len(audition.slots) == 2
    slow, ready = audition.slots
    assert slow.limit == "Romance: clean at 93 of 112"
    assert slow.chance == chance_words(audition.answer.slots[0].chance)
    assert (ready.chance, ready.expected, ready.limit) == ("ready", "", "")


def test_what_is_least_likely_stands_first_and_what_is_ready_last(people, entry):
    give(entry, "Etude", READY)
    give(entry, "Song")
    give(entry, "Near", (90, 96, 100, 105))
    give(entry, "Far", (60, 62, 64, 66))
    names = [piece.music.piece.work for piece in page_of(people).pieces]
    assert names == ["Far", "Near", "Song", "Etude"]


def test_a_pieces_figures_are_those_of_the_part_and_of_the_engine(people, entry):
    give(entry, "Romance", RISING)
    page = page_of(people)
    (piece,) = page.pieces
    answer = page.season.readiness.pieces[0]
    assert piece.answer is answer
    assert piece.music.sentence == answer.sentence
    assert dict(piece.facts)["Pace"] == f"about {round(answer.per_week)} points a week"
    assert dict(piece.facts)["Target"].endswith("112")
    assert piece.chance == f"{chance_words(answer.chance)}, for Fairmont"
    assert piece.heard[0] == "93 of 112, yesterday"
    assert len(piece.heard) == 3
    assert len(piece.picture.notes) == 4


def test_the_students_own_tempos_stand_apart(as_student, people, entry):
    piece = give(entry, "Romance", RISING)
    before = page_of(people).pieces[0].answer
    LessonCheckFactory(
        student=people.sam_student, piece=piece, on=TODAY - timedelta(days=3), tempo=111,
        source=LessonCheck.Source.STUDENT,
    )  # fmt: skip
    page = page_of(people)
    assert page.pieces[0].answer == before
    assert len(page.pieces[0].picture.tempos.own) == 1
    assert page.pieces[0].own == ("111 of 112, 3 days ago",)
    assert "open rings your own" in read(as_student, people.sam_student)


def test_a_mock_audition_stands_in_the_picture_as_one(as_student, people, entry):
    give(entry, "Romance", RISING)
    assert not page_of(people).has_programme
    HearingFactory(entry=entry, on=TODAY - timedelta(days=4), points="Tone: 8")
    page = page_of(people)
    assert len(page.pieces[0].picture.whole) == 1
    assert len(page.pieces[0].picture.notes) == len(RISING)
    assert "an open one a mock audition" in read(as_student, people.sam_student)


def test_a_guardian_reads_their_childs(client, people, company, entry):
    give(entry, "Romance", RISING)
    client.force_login(company.gil.user)
    page = read(client, people.sam_student)
    assert "Sam’s readiness" in page
    assert "My part" not in page
    assert client.get(url_of(people.mia_student)).status_code == 404


def test_a_picture_is_drawn_for_the_next_audition_that_asks_for_the_piece(people, entry):
    later = entry_of(people.sam_student, "Carrow", date(2027, 3, 1))
    give(entry, "Romance", RISING)
    give(later, "Song", RISING)
    places = {piece.music.piece.work: piece.chance for piece in page_of(people).pieces}
    assert places["Romance"].endswith("for Fairmont")
    assert places["Song"].endswith("for Carrow")


def test_it_says_what_the_usual_pace_was_learned_from(people, entry):
    assert "stated default" in page_of(people).learned
    kept = LearnedPace.objects.create(
        studio=people.studio, on=TODAY, pieces=7, prior=write(Prior())
    )
    assert page_of(people).learned.endswith("Not learned yet: 7 of 8 finished pieces.")
    kept.pieces = 23
    kept.save()
    assert (
        "Learned from 23 finished pieces on 12 January: about 4.5 points a week."
        in page_of(people).learned
    )


# When little is known


def test_without_pieces_it_says_where_to_choose_them(as_student, people, entry):
    assert "Ask the teacher what to prepare" in read(as_student, people.sam_student)


def test_for_staff_too(as_teacher, people):
    assert "Choose them in each entry" in read(as_teacher, people.sam_student)


def test_without_checks_it_says_what_brings_a_forecast(as_teacher, people, entry):
    give(entry, "Romance")
    html = as_teacher.get(url_of(people.sam_student)).content.decode()
    assert "two lessons already give a forecast" in html
    assert 'class="forecast"' not in html
    assert "not known yet" in html


def test_one_check_is_drawn_without_a_forecast(people, entry):
    give(entry, "Romance", (93,))
    (piece,) = page_of(people).pieces
    assert len(piece.picture.notes) == 1
    assert piece.picture.ahead == ""
    assert piece.chance == ""


def test_without_a_date_no_chance_is_told(as_student, people):
    give(entry_of(people.sam_student, on=None), "Romance", RISING)
    page = page_of(people)
    assert page.auditions[0].said == page.pieces[0].chance == ""
    assert page.pieces[0].picture.fermata is None
    assert "no date chosen yet" in read(as_student, people.sam_student)


def test_when_all_is_ready_it_says_to_keep_it_up(as_student, people, entry):
    give(entry, "Romance", READY)
    page = page_of(people)
    assert page.all_ready
    assert page.open_pieces == []
    words = read(as_student, people.sam_student)
    assert "Every piece is ready. Keep them up" in words
    assert "All ready three days before" not in words


def test_what_is_decided_is_left_out(people, entry):
    gone = entry_of(people.sam_student, "Gone", date(2026, 12, 1))
    give(gone, "Old", RISING)
    give(entry, "Romance", RISING)
    assert [each.place.place for each in page_of(people).auditions] == ["Fairmont"]


# The same elsewhere


def test_part_entry_and_page_say_one_chance(client, people, entry):
    give(entry, "Romance", RISING)
    said = page_of(people).auditions[0].said
    link = url_of(people.sam_student)
    client.force_login(people.sam.user)
    part = client.get(reverse("part")).content.decode()
    client.force_login(people.ines.user)
    for html in (part, client.get(reverse("entry", args=[entry.pk])).content.decode()):
        assert said in html
        assert link in html


def test_a_lesson_ends_with_the_chance(as_teacher, people, entry):
    piece = give(entry, "Romance", RISING)
    url = reverse("lesson", args=[people.sam_student.pk])
    form = {"on": TODAY.isoformat(), "shown": TODAY.isoformat(), f"piece{piece.pk}-tempo": "97"}
    as_teacher.post(url, form)
    html = as_teacher.get(url).content.decode()
    assert page_of(people).auditions[0].said in html
    assert url_of(people.sam_student) in html


# On paper


@pytest.mark.parametrize("paper", ["letter", "a4"])
def test_eight_pieces_take_two_pages_at_most(as_student, people, entry, paper):
    for n in range(8):
        give(entry, f"Study no. {n} with the long name of its second movement", RISING)
    pages = sheet(as_student, people.sam_student, paper).pages
    assert len(pages) <= 2
    text = " ".join(page.extract_text() for page in pages)
    assert all(f"Study no. {n}" in text for n in range(8))
    assert "All ready three days before" in text


def test_the_sheet_of_a_student_whose_pieces_are_all_ready(as_student, people, entry):
    give(entry, "Romance", READY)
    (page,) = sheet(as_student, people.sam_student).pages
    assert "Every piece that was heard is ready." in page.extract_text()


def test_the_fewest_queries(as_student, people, entry, django_assert_max_num_queries):
    give(entry, "Romance", RISING)
    with django_assert_max_num_queries(12):
        as_student.get(url_of(people.sam_student))
