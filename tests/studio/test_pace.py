"""The studio's pace: learned from its finished pieces, kept, said, and passed to every forecast."""

from dataclasses import asdict, replace
from datetime import date, timedelta
from io import StringIO

import pytest
import time_machine
from django.core.management import call_command
from django.db import connection
from django.test.utils import CaptureQueriesContext
from django.urls import reverse

from planner import codec
from planner.readiness import Piece, Prior, Settings, finished
from planner.readiness.prior import learn as learn_prior
from studio import answers
from studio.entries import pace
from studio.entries.bridge import Season, readiness_problem
from studio.entries.models import LearnedPace, LessonCheck
from studio.entries.queries import whole_season
from studio.feeds.sources import studio_source, version
from tests.factories import (
    AssignmentFactory,
    LessonCheckFactory,
    PieceFactory,
    RequirementFactory,
    StudentFactory,
    StudioFactory,
    full_entry,
)

pytestmark = pytest.mark.django_db

TODAY = date(2026, 11, 25)


@pytest.fixture(autouse=True)
def november():
    with time_machine.travel("2026-11-25 18:00Z", tick=False):
        yield


def practised(student, tempos, **check):
    """Have a new piece of target 100 checked at these tempos, one a week up to today."""
    piece = PieceFactory(studio=student.studio, target_tempo=100)
    for ago, tempo in enumerate(reversed(tempos)):
        on = TODAY - timedelta(weeks=ago)
        values = {"tempo": tempo, "target": None} | check
        LessonCheckFactory(student=student, piece=piece, on=on, **values)
    return piece


def finish(student, count, gain=3):
    """Have so many pieces checked, each gaining `gain` points a week up to 99, then kept up."""
    for _ in range(count):
        practised(student, [*range(99 - 8 * gain, 100, gain), 99, 99])


def load(people):
    return Season(whole_season(people.ines).get(pk=people.sam_student.pk))


def test_a_way_ends_where_the_piece_was_ready(people):
    practised(people.sam_student, [80, 85, 90, 96, 100, 100])
    assert pace.finished_pieces(people.studio) == [((0, 80.0), (1, 85.0), (2, 90.0), (3, 96.0))]


@pytest.mark.parametrize(
    ("tempos", "why"),
    [
        ([70, 75, 80, 85, 90], "never ready"),
        ([88, 92, 96], "heard too seldom"),
        ([96, 97, 98, 99, 100], "ready when first heard"),
    ],
)
def test_what_tells_nothing_of_the_pace_is_left_out(people, tempos, why):
    practised(people.sam_student, tempos)
    assert pace.finished_pieces(people.studio) == [], why


def test_the_students_own_word_other_studios_and_days_to_come_do_not_count(people):
    practised(people.sam_student, [80, 85, 90, 96], source=LessonCheck.Source.STUDENT)
    practised(StudentFactory(studio=people.otto.studio), [80, 85, 90, 96])
    piece = practised(people.sam_student, [80, 85, 90])
    LessonCheckFactory(
        student=people.sam_student, piece=piece, on=TODAY + timedelta(days=7), tempo=100
    )
    assert pace.finished_pieces(people.studio) == []


def test_points_are_those_of_the_forecast(people):
    """Marks and memory count as they do there, whichever audition asked for memory."""
    student = people.sam_student
    entry = full_entry(student, pieces=0)
    piece = practised(student, [70, 80, 90, 100, 100], mark_1=9, memory="partly")
    LessonCheck.objects.filter(piece=piece, on=TODAY).update(memory="secure")
    need = RequirementFactory(requirement_set=entry.requirement_set, memory="yes")
    AssignmentFactory(entry=entry, requirement=need, piece=piece)
    (way,) = pace.finished_pieces(people.studio)
    history = load(people).piece_answers[piece.pk].history
    assert [points for _, points in way] == [points for _, points in history]
    assert len(way) == 5  # ready on the last day only: memory was partly there before


def test_the_target_of_today_measures_every_check(people):
    piece = practised(people.sam_student, [80, 85, 90, 96], target=100)
    piece.target_tempo = 200  # of no matter: this student's own target stands in the checks
    piece.save()
    assert len(pace.finished_pieces(people.studio)) == 1


def test_eight_finished_pieces_make_a_pace(people):
    finish(people.sam_student, 7)
    few = pace.learn(people.studio)
    assert (few.pieces, few.is_learned, few.usual) == (7, False, Prior())
    finish(people.mia_student, 1)
    kept = pace.learn(people.studio)
    assert LearnedPace.objects.get() == kept
    assert (kept.on, kept.pieces) == (TODAY, 8)
    assert kept.usual == learn_prior(pace.finished_pieces(people.studio))
    assert 3 < kept.usual.rate < Prior().rate


def test_what_is_kept_is_figures_alone(people):
    finish(people.sam_student, 8)
    kept = pace.learn(people.studio)
    assert codec.read(Prior, kept.prior) == kept.usual
    assert set(kept.prior) == set(asdict(Prior()))
    assert "Sam" not in str(kept.prior)


def test_what_can_no_longer_be_read_is_the_default(people):
    kept = LearnedPace(studio=people.studio, on=TODAY, pieces=9, prior={"speed": 4})
    assert kept.usual == Prior()


def test_all_checks_are_read_in_one_query(people, django_assert_num_queries):
    finish(people.sam_student, 9)
    finish(people.mia_student, 9)
    studio = people.ines.studio
    assert not hasattr(studio, "learned_pace")
    with django_assert_num_queries(1):
        assert len(pace.finished_pieces(studio)) == 18


# Where it goes


def test_the_forecast_starts_from_the_studios_pace(people):
    full_entry(people.sam_student, checks=2)
    before = readiness_problem(load(people)).settings
    assert before.prior == Prior()
    finish(people.mia_student, 12, gain=1)
    kept = pace.learn(people.studio)
    season = load(people)
    assert readiness_problem(season).settings.prior == kept.usual != Prior()
    slow, usual = season.readiness, answers.solve("readiness", _as_before(season, before))
    assert slow != usual  # another problem, so another answer: nothing has to be forgotten
    assert slow.ready_on > usual.ready_on


def _as_before(season, settings):
    return replace(readiness_problem(season), settings=settings)


def test_the_days_of_ease_go_into_the_chance(people):
    people.studio.ease_days = 10
    people.studio.save()
    full_entry(people.sam_student)
    assert readiness_problem(load(people)).settings.ease_days == 10


def test_the_pace_comes_with_the_season(people):
    full_entry(people.sam_student)
    with CaptureQueriesContext(connection) as without:
        load(people).readiness  # noqa: B018
    pace.learn(people.studio)
    with CaptureQueriesContext(connection) as with_pace:
        load(people).readiness  # noqa: B018
    assert len(with_pace) == len(without)


def test_a_calendar_is_written_anew_when_the_pace_changes(people):
    token = people.studio.feed_token
    before = version(studio_source(token), "host")
    finish(people.sam_student, 8)
    changes = version(studio_source(token), "host")
    pace.learn(people.studio)
    assert len({before, changes, version(studio_source(token), "host")}) == 3


# When it is learned


def save_lesson(client, student, piece, tempo):
    values = {
        "on": TODAY.isoformat(),
        "shown": TODAY.isoformat(),
        f"piece{piece.pk}-tempo": tempo,
        f"piece{piece.pk}-target": 112,
        f"piece{piece.pk}-memory": "",
    }
    return client.post(reverse("lesson", args=[student.pk]), values)


@pytest.fixture
def piece(people):
    return full_entry(people.sam_student, pieces=1).assignments.get().piece


@pytest.mark.parametrize(("days", "anew"), [(None, True), (6, False), (7, True)])
def test_a_lesson_learns_it_once_a_week(
    as_teacher, people, piece, django_capture_on_commit_callbacks, days, anew
):
    if days is not None:
        on = TODAY - timedelta(days=days)
        LearnedPace.objects.create(studio=people.studio, on=on, pieces=0, prior={})
    with django_capture_on_commit_callbacks(execute=True) as after:
        assert save_lesson(as_teacher, people.sam_student, piece, 100).status_code == 302
    assert bool(after) == anew
    assert LearnedPace.objects.filter(on=TODAY).exists() == anew


def test_a_lesson_in_which_nothing_was_changed_learns_nothing(
    as_teacher, people, piece, django_capture_on_commit_callbacks
):
    with django_capture_on_commit_callbacks() as after:
        save_lesson(as_teacher, people.sam_student, piece, "")
    assert not after


def test_a_lesson_is_saved_though_learning_fails(
    as_teacher, people, piece, django_capture_on_commit_callbacks, monkeypatch, caplog
):
    monkeypatch.setattr(pace.prior, "learn", lambda ways: 1 / 0)
    with django_capture_on_commit_callbacks(execute=True):
        assert save_lesson(as_teacher, people.sam_student, piece, 100).status_code == 302
    assert people.sam_student.checks.filter(tempo=100).exists()
    assert not LearnedPace.objects.exists()


def test_the_command_learns_it_for_every_studio(people):
    finish(people.sam_student, 8)
    StudioFactory(name="Third")
    out = StringIO()
    call_command("learn_pace", stdout=out)
    assert "Quayside Brass: Learned from 8 finished pieces on 25 November: about" in out.getvalue()
    assert "Third: Not learned yet: 0 of 8 finished pieces." in out.getvalue()


# What is said


def test_the_studios_page_says_it(as_teacher, people):
    def said():
        return as_teacher.get(reverse("studio")).content.decode()

    assert "Not learned yet: no lesson has been saved." in said()
    finish(people.sam_student, 3)
    pace.learn(people.studio)
    assert "Not learned yet: 3 of 8 finished pieces." in said()
    LearnedPace.objects.update(pieces=34, on=date(2027, 1, 12), prior=codec.write(Prior(rate=3.96)))
    assert "Learned from 34 finished pieces on 12 January: about 4 points a week." in said()


def test_no_way_before_anything_was_heard():
    assert finished.way(Piece("1", "Study"), Settings()) == ()
