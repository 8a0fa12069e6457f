"""Which checks are read for a season: those of its pieces, however many others there are."""

from datetime import date, timedelta

import pytest
import time_machine
from django.db import connection
from django.test.utils import CaptureQueriesContext
from django.urls import reverse

from studio.entries.bridge import Season
from studio.entries.models import LessonCheck
from studio.entries.plan_queries import planned
from studio.entries.queries import parts, scored, whole_season
from tests.factories import LessonCheckFactory, PieceFactory, full_entry

pytestmark = pytest.mark.django_db
OWN = LessonCheck.Source.STUDENT


@pytest.fixture(autouse=True)
def november():
    with time_machine.travel("2026-11-25 18:00Z", tick=False):
        yield


@pytest.fixture
def piece(people):
    """A piece of Sam's only audition, heard twice; once by himself."""
    found = full_entry(people.sam_student, pieces=1, checks=2).assignments.get().piece
    LessonCheckFactory(student=people.sam_student, piece=found, source=OWN)
    return found


def read(people, seasons):
    return Season(seasons(people.ines).get(pk=people.sam_student.pk))


def test_a_check_of_the_seasons_piece_is_read_however_old(people, piece):
    LessonCheckFactory(student=people.sam_student, piece=piece, on=date(2024, 3, 1))
    for seasons in (whole_season, scored, parts):
        checks = read(people, seasons).teacher_checks
        assert [len(some) for some in checks.values()] == [3], seasons.__name__


def test_checks_of_other_pieces_are_read_only_where_they_count(people, piece):
    other = LessonCheckFactory(student=people.sam_student, piece__studio=people.studio).piece
    for seasons in (whole_season, scored, parts):
        assert set(read(people, seasons).teacher_checks) == {piece.pk}, seasons.__name__
    assert set(read(people, planned).teacher_checks) == {piece.pk, other.pk}


def test_a_piece_of_another_student_or_of_another_season_is_not_the_seasons(people, piece):
    theirs = full_entry(people.mia_student, pieces=1).assignments.get().piece
    past = full_entry(people.sam_student, pieces=1)
    past.audition.season = "2025–26"
    past.audition.save()
    LessonCheckFactory(student=people.sam_student, piece=theirs)
    assert set(read(people, whole_season).teacher_checks) == {piece.pk}


def test_the_students_own_word_is_read_where_it_is_shown(people, piece):
    assert read(people, whole_season).own_checks
    assert read(people, parts).own_checks
    assert not read(people, scored).own_checks
    assert read(people, scored).readiness == read(people, whole_season).readiness


def test_checks_know_their_pieces_without_a_query(people, piece, django_assert_num_queries):
    season = read(people, whole_season)
    season.entries  # noqa: B018
    with django_assert_num_queries(0):
        found = [*season.teacher_checks[piece.pk], *season.own_checks[piece.pk]]
        assert {check.piece for check in found} == {piece}


def test_pages_cost_the_same_with_years_of_checks(as_teacher, people, piece):
    student = people.sam_student
    pages = [reverse("score"), reverse("lesson", args=[student.pk])]
    few = [_cost(as_teacher, page) for page in pages]
    for week in range(60):
        some = piece if week % 2 else PieceFactory(studio=people.studio)
        on = date(2026, 10, 1) - timedelta(weeks=week)
        LessonCheckFactory(student=student, piece=some, on=on)
        LessonCheckFactory(student=student, piece=some, on=on, source=OWN)
    assert [_cost(as_teacher, page) for page in pages] == few


def _cost(client, page):
    with CaptureQueriesContext(connection) as queries:
        assert client.get(page).status_code == 200
    return len(queries)
