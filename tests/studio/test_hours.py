"""The hours a piece still takes: the estimate, less what is done, or what others take."""

from datetime import date, datetime
from decimal import Decimal
from zoneinfo import ZoneInfo

import pytest

from studio.entries import hours
from studio.entries.bridge import Season
from studio.entries.models import LessonCheck
from studio.entries.plan_queries import planned
from studio.requirements.models import Piece
from tests.factories import AssignmentFactory, LessonCheckFactory, PieceFactory

NOW = datetime(2026, 11, 25, 12, tzinfo=ZoneInfo("America/Chicago"))


def left(people):
    """Return the Hours of Sam with all pieces of his studio."""
    student = planned(people.ines).get(pk=people.sam_student.pk)
    return hours.Hours(Season(student, NOW), list(Piece.objects.filter(studio=people.studio)))


def check(people, piece, **values):
    values = {"on": date(2026, 11, 20), "tempo": 56, "target": 112} | values
    return LessonCheckFactory(student=people.sam_student, piece=piece, **values)


def test_a_piece_nobody_has_heard_takes_its_whole_estimate(people):
    piece = PieceFactory(studio=people.studio, hours=Decimal("7.5"))
    assert left(people).minutes(piece) == 450


def test_an_estimate_shrinks_with_readiness_up_to_ready(people):
    # Tempo alone, 56 of 112: 50 points of the 95 that count as ready.
    half = PieceFactory(studio=people.studio, hours=19)
    check(people, half)
    ready = PieceFactory(studio=people.studio, hours=19)
    check(people, ready, tempo=112)
    assert left(people).minutes(half) == 19 * 60 - 10 * 60
    assert left(people).minutes(ready) == 0


def test_less_is_left_where_the_studio_calls_less_ready(people):
    people.studio.ready_at = 80
    people.studio.save()
    piece = PieceFactory(studio=people.studio, hours=8)
    check(people, piece)
    assert left(people).minutes(piece) == 3 * 60


def test_a_check_counts_whether_or_not_the_piece_is_assigned(people):
    entry = AssignmentFactory(entry__student=people.sam_student).entry
    assigned = entry.assignments.get().piece
    assigned.hours = 10
    assigned.save()
    loose = PieceFactory(studio=people.studio, hours=10)
    check(people, assigned)
    check(people, loose)
    found = left(people)
    assert found.minutes(assigned) == found.minutes(loose) < 600


def test_what_the_student_logs_alone_makes_nothing_shorter(people):
    piece = PieceFactory(studio=people.studio, hours=10)
    check(people, piece, source=LessonCheck.Source.STUDENT)
    assert left(people).minutes(piece) == 600


def test_without_an_estimate_a_piece_takes_what_others_of_its_kind_take(people):
    for each in (4, 6, 20):
        PieceFactory(studio=people.studio, kind="etude", hours=each)
    PieceFactory(studio=people.studio, kind="solo", hours=40)
    piece = PieceFactory(studio=people.studio, kind="etude")
    found = left(people)
    assert found.assumed(piece)
    assert found.minutes(piece) == 6 * 60


def test_without_any_of_its_kind_it_takes_what_all_others_take(people):
    for each in (4, 6):
        PieceFactory(studio=people.studio, kind="etude", hours=each)
    assert left(people).minutes(PieceFactory(studio=people.studio, kind="solo")) == 5 * 60


def test_without_any_estimate_it_takes_ten_hours(people):
    # common practice, no source
    assert left(people).minutes(PieceFactory(studio=people.studio)) == 10 * 60


def test_an_estimate_of_nothing_is_an_estimate(people):
    piece = PieceFactory(studio=people.studio, hours=0)
    assert (left(people).minutes(piece), left(people).assumed(piece)) == (0, False)


@pytest.mark.parametrize(
    ("minutes", "said"),
    [
        (0, "0 h"),
        (1, "5 min"),
        (42, "40 min"),
        (57, "55 min"),
        (58, "1 h"),
        (440, "7.5 h"),
        (599, "10 h"),
        (629, "10 h"),
        (630, "11 h"),
        (2880, "48 h"),
    ],
)
def test_minutes_are_said_in_hours(minutes, said):
    assert hours.words(minutes) == said


def test_a_piece_says_what_it_leaves(people):
    assert left(people).left(PieceFactory(studio=people.studio, hours=9)) == "9 h"
