"""The whole programme heard in one go: what it scores, and that it counts as a check."""

from datetime import date

import pytest
import time_machine

from planner.readiness.words import points
from studio.entries.bridge import Season, readiness_problem
from studio.entries.hearings.bridge import scoring
from studio.entries.queries import whole_season
from tests.factories import (
    AssignmentFactory,
    EntryFactory,
    HearingFactory,
    LessonCheckFactory,
    PieceFactory,
    RequirementFactory,
)

pytestmark = pytest.mark.django_db

RUBRIC = "tone: 20; solo: 20, times 1.5; scales: 30; slips: minus 5 each; pass: 50"


@pytest.fixture(autouse=True)
def in_november():
    with time_machine.travel("2026-11-25 18:00 +0000", tick=False):
        yield


@pytest.fixture
def entry(people):
    """Sam for one audition that asks for a solo, studies (a group) and scales."""
    entry = EntryFactory(student=people.sam_student)
    _score_by(entry, RUBRIC)
    return entry


@pytest.fixture
def pieces(entry, people):
    """One piece each, by the name of its requirement."""
    made, asked = {}, entry.requirement_set
    studies = RequirementFactory(requirement_set=asked, name="Studies", kind="all of")
    for name, kind, parent in (
        ("First movement", "solo", None),
        ("Slow", "etude", studies),
        ("All keys", "scales", None),
    ):
        need = RequirementFactory(requirement_set=asked, name=name, kind=kind, parent=parent)
        piece = PieceFactory(studio=people.studio, work=name)
        made[name] = AssignmentFactory(entry=entry, requirement=need, piece=piece).piece
    return made


def _score_by(entry, rubric):
    entry.requirement_set.rubric = rubric
    entry.requirement_set.save()


def season(people):
    return Season(whole_season(people.ines).get(pk=people.sam_student.pk))


def shares(people):
    """The marks of hearings by the name of the piece."""
    found = season(people)
    return {
        piece.work: [check.marks[0] for check in found.hearing_checks[piece.pk]]
        for piece in found.pieces
        if piece.pk in found.hearing_checks
    }


def test_a_criterion_named_like_a_kind_counts_for_its_pieces_alone(entry, pieces, people):
    HearingFactory(entry=entry, points="tone: 10; solo: 18; scales: 12; slips: 2")
    assert shares(people) == {
        "First movement": [pytest.approx((10 + 27) / 50)],
        "Slow": [0.5],
        "All keys": [pytest.approx(22 / 50)],
    }


def test_a_criterion_named_like_a_group_counts_for_what_it_holds(entry, pieces, people):
    _score_by(entry, "studies: 10; first movement: 10")
    HearingFactory(entry=entry, points="studies: 8; First-movement: 5")
    assert shares(people) == {"First movement": [0.5], "Slow": [0.8]}


def test_only_what_was_played_and_scored_counts(entry, pieces, people):
    HearingFactory(entry=entry, points="scales: 12", pieces=[pieces["Slow"]])
    assert shares(people) == {}
    HearingFactory(entry=entry, heard_by="Bo", points="tone: 5", pieces=[pieces["Slow"]])
    assert shares(people) == {"Slow": [0.25]}


def test_without_a_rubric_the_studios_marks_count_as_in_a_lesson(entry, pieces, people):
    _score_by(entry, "")
    LessonCheckFactory(
        student=people.sam_student, piece=pieces["Slow"], tempo=None, mark_1=10, mark_2=1
    )
    HearingFactory(entry=entry, points="Tone: 10; Rhythm: 1")
    problem = readiness_problem(season(people))
    lesson, heard = next(each for each in problem.pieces if each.name == "Slow").checks
    assert (lesson.marks, heard.marks) == ((1.0, 0.0), (0.5,))


def test_readiness_changes_and_score_and_part_say_the_same(entry, pieces, people, client):
    for piece in pieces.values():
        LessonCheckFactory(student=people.sam_student, piece=piece, tempo=None, mark_1=4)
    before = season(people).audition_answers[entry.pk].now
    HearingFactory(entry=entry, on=date(2026, 11, 24), points="tone: 12; solo: 11; scales: 18")
    after = season(people).audition_answers[entry.pk].now
    assert after > before + 20
    told = points(after)
    client.force_login(people.ines.user)
    assert told in client.get("/score/").content.decode()
    client.force_login(people.sam.user)
    assert f'<span class="number">{told}' in client.get("/part/").content.decode()


def test_a_text_that_cannot_be_read_is_no_rubric_and_no_points(entry, pieces, people):
    _score_by(entry, "tone: much")
    HearingFactory(entry=entry, points="Tone: very good")
    assert shares(people) == {}
    assert scoring(entry, people.studio).own
