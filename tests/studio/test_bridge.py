"""Rows become the engine's problems: what is meant must arrive, and nothing else."""

from datetime import UTC, date, datetime

import pytest

from planner.deadlines import Lead, Unit
from studio.entries.bridge import Season, deadlines_problem, readiness_problem
from studio.entries.models import LessonCheck, Task
from studio.entries.queries import whole_season
from tests.factories import (
    AssignmentFactory,
    AuditionFactory,
    DeadlineFactory,
    EntryFactory,
    InstitutionFactory,
    LessonCheckFactory,
    PieceFactory,
    RequirementFactory,
    TaskFactory,
)

pytestmark = pytest.mark.django_db
NOW = datetime(2027, 1, 12, 18, tzinfo=UTC)


@pytest.fixture
def entry(people):
    return EntryFactory(student=people.sam_student)


def season(people, now=NOW):
    return Season(whole_season(people.ines).get(pk=people.sam_student.pk), now)


def only_piece(people):
    (piece,) = readiness_problem(season(people)).pieces
    return piece


def test_marks_from_1_to_10_become_shares(people, entry):
    piece = AssignmentFactory(entry=entry).piece
    LessonCheckFactory(student=people.sam_student, piece=piece, mark_1=1, mark_2=10, mark_4=4)
    (check,) = only_piece(people).checks
    assert check.marks == pytest.approx((0.0, 1.0, 1 / 3))


@pytest.mark.parametrize(
    ("word", "value"), [("", None), ("not yet", 0.0), ("partly", 0.5), ("secure", 1.0)]
)
def test_words_of_memory_become_values(people, entry, word, value):
    piece = AssignmentFactory(entry=entry).piece
    LessonCheckFactory(student=people.sam_student, piece=piece, memory=word)
    assert only_piece(people).checks[0].memory == value


def test_tempo_and_target_arrive_as_they_were(people, entry):
    piece = AssignmentFactory(entry=entry, piece__target_tempo=120).piece
    LessonCheckFactory(student=people.sam_student, piece=piece, tempo=96, target=112)
    LessonCheckFactory(
        student=people.sam_student, piece=piece, on=date(2026, 11, 27), tempo=None, target=None,
        mark_1=5,
    )  # fmt: skip
    problem = only_piece(people)
    assert [(check.tempo, check.target) for check in problem.checks] == [(96, 112), (None, None)]
    assert problem.target == 120


def test_what_a_student_logs_is_no_check(people, entry):
    piece = AssignmentFactory(entry=entry).piece
    own = LessonCheck.Source.STUDENT
    LessonCheckFactory(student=people.sam_student, piece=piece, source=own)
    assert only_piece(people).checks == ()
    assert [check.source for check in season(people).own_checks[piece.pk]] == [own]


@pytest.mark.parametrize(
    ("said", "by_heart"),
    [(["no", "yes"], True), (["not stated", "no"], False), (["not stated"], False)],
)
def test_from_memory_where_any_requirement_says_so(people, said, by_heart):
    piece = PieceFactory(studio=people.studio)
    for memory in said:
        entry = EntryFactory(student=people.sam_student)
        AssignmentFactory(
            entry=entry,
            piece=piece,
            requirement=RequirementFactory(requirement_set=entry.requirement_set, memory=memory),
        )
    assert only_piece(people).from_memory is by_heart


def test_only_music_makes_a_slot_and_empty_ones_are_kept(people, entry):
    asked = entry.requirement_set
    solo = RequirementFactory(requirement_set=asked, name="Solo", kind="solo", position=1, weight=3)
    RequirementFactory(requirement_set=asked, name="Study", position=2)
    RequirementFactory(requirement_set=asked, name="Reading", kind="sight-reading", position=3)
    piece = AssignmentFactory(entry=entry, requirement=solo).piece
    (audition,) = readiness_problem(season(people)).auditions
    assert [(slot.name, slot.weight, slot.pieces) for slot in audition.slots] == [
        ("Solo", 3.0, (str(piece.pk),)),
        ("Study", 1.0, ()),
    ]


def test_a_withdrawn_entry_asks_for_nothing(people, entry):
    AssignmentFactory(entry=entry)
    entry.result = "withdrawn"
    entry.save()
    TaskFactory(entry=entry)
    problem = readiness_problem(season(people))
    assert (problem.pieces, problem.auditions) == ((), ())
    assert season(people).open_cues == []


def test_another_season_is_left_alone(people):
    audition = AuditionFactory(institution__studio=people.studio, season="2025–26")
    EntryFactory(student=people.sam_student, audition=audition)
    assert season(people).entries == []


def deadline_of(people, institution, **given):
    entry = EntryFactory(
        student=people.sam_student, audition=AuditionFactory(institution=institution)
    )
    deadline = DeadlineFactory(audition=entry.audition, **given)
    TaskFactory(entry=entry, deadline=deadline, on=None)
    (found,) = deadlines_problem(season(people)).deadlines
    return found


def test_a_school_inside_a_university_keeps_its_zone(people):
    university = InstitutionFactory(studio=people.studio, time_zone="America/Denver")
    school = InstitutionFactory(studio=people.studio, part_of=university, time_zone="")
    found = deadline_of(people, school, zone="")
    assert (found.zone, found.place_zone) == (None, "America/Denver")


def test_a_zone_of_its_own_comes_first(people):
    university = InstitutionFactory(studio=people.studio, time_zone="America/Denver")
    school = InstitutionFactory(
        studio=people.studio, part_of=university, time_zone="America/New_York"
    )
    assert deadline_of(people, school).place_zone == "America/New_York"


def test_a_place_without_a_zone_has_none(people):
    alone = InstitutionFactory(studio=people.studio, time_zone="")
    assert deadline_of(people, alone).place_zone is None


def test_a_task_arrives_with_lead_work_and_state(people, entry):
    deadline = DeadlineFactory(audition=entry.audition)
    TaskFactory(
        entry=entry, deadline=deadline, on=None, doer="other", lead=10, lead_unit="working days",
        takes=3, state=Task.State.DROPPED,
    )  # fmt: skip
    (task,) = deadlines_problem(season(people)).tasks
    assert (task.lead, task.takes) == (Lead(10, Unit.WORKING_DAYS), Lead(3))
    assert (task.doer, task.dropped, task.on) == ("other", True, None)


def test_what_opens_a_deadline_is_named_only_where_it_is_to_be_done(people, entry):
    first = DeadlineFactory(audition=entry.audition)
    then = DeadlineFactory(audition=entry.audition, opens_after=first)
    TaskFactory(entry=entry, deadline=then, on=None)
    (found,) = deadlines_problem(season(people)).deadlines
    assert found.opens_after is None
    TaskFactory(entry=entry, deadline=first, on=None)
    opens = {d.key: d.opens_after for d in deadlines_problem(season(people)).deadlines}
    assert opens == {str(first.pk): None, str(then.pk): str(first.pk)}


def test_today_is_the_students_own_day(people):
    people.sam_student.time_zone = "Asia/Tokyo"
    people.sam_student.save()
    assert season(people).today == date(2027, 1, 13)


def test_a_whole_season_costs_the_same_for_one_entry_and_for_eight(
    people, django_assert_num_queries
):
    counts = []
    for more in (1, 7):
        for _ in range(more):
            AssignmentFactory(entry=EntryFactory(student=people.sam_student))
        with django_assert_num_queries(7) as asked:
            found = season(people)
            assert found.readiness
            assert found.deadlines
        counts.append(len(asked))
    assert counts[0] == counts[1]
