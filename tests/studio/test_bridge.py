"""A student's season becomes the engine's problems, and the engine's answers come back to rows."""

from datetime import UTC, date, datetime, timedelta

import pytest

from planner.deadlines import Lead, Unit
from studio.entries.bridge import Season, deadlines_problem, readiness_problem
from studio.entries.models import Entry, LessonCheck, Task
from studio.entries.queries import whole_season
from tests.big_studio import build
from tests.factories import (
    AssignmentFactory,
    DeadlineFactory,
    EntryFactory,
    InstitutionFactory,
    InstrumentFactory,
    LessonCheckFactory,
    OfferedDateFactory,
    PieceFactory,
    RecommenderFactory,
    RequirementFactory,
    StudioDayFactory,
    TaskFactory,
)

pytestmark = pytest.mark.django_db

NOW = datetime(2027, 1, 12, 18, tzinfo=UTC)
TODAY = date(2027, 1, 12)
FEBRUARY = date(2027, 2, 6)


@pytest.fixture
def sam(people):
    return people.sam_student


@pytest.fixture
def load(people, sam):
    """Sam's season as the owner reads it."""
    return lambda now=NOW: Season(whole_season(people.ines).get(pk=sam.pk), now)


def enter(student, on=FEBRUARY, **fields):
    return EntryFactory(student=student, chosen_date__on=on, **fields)


def prepare(entry, piece=None, **need):
    """Assign a piece to a new requirement of the entry; return the piece."""
    requirement = RequirementFactory(requirement_set=entry.requirement_set, **need)
    more = {"piece": piece} if piece else {}
    return AssignmentFactory(entry=entry, requirement=requirement, **more).piece


def heard(student, piece, on=TODAY, **values):
    return LessonCheckFactory(student=student, piece=piece, on=on, **values)


# Readiness


def test_a_check_reaches_the_engine_in_its_own_measures(load, sam):
    piece = prepare(enter(sam), memory="yes")
    heard(sam, piece, tempo=96, target=112, mark_1=1, mark_2=10, memory="partly")
    (asked,) = readiness_problem(load()).pieces
    (check,) = asked.checks
    assert (check.on, check.tempo, check.target) == (TODAY, 96.0, 112.0)
    assert check.marks == (0.0, 1.0)
    assert check.memory == 0.5
    assert asked.from_memory


@pytest.mark.parametrize(
    ("word", "value"), [("", None), ("not yet", 0.0), ("partly", 0.5), ("secure", 1.0)]
)
def test_each_word_of_memory_has_its_value(load, sam, word, value):
    piece = prepare(enter(sam))
    heard(sam, piece, memory=word)
    (asked,) = readiness_problem(load()).pieces
    assert asked.checks[0].memory == value


def test_what_was_not_looked_at_stays_unknown(load, sam):
    piece = prepare(enter(sam))
    heard(sam, piece, tempo=None, target=None, mark_3=7)
    (asked,) = readiness_problem(load()).pieces
    (check,) = asked.checks
    assert (check.tempo, check.target, check.memory) == (None, None, None)
    assert len(check.marks) == 1
    assert not asked.from_memory


def test_the_teachers_checks_make_the_figure_and_the_students_own_stand_apart(load, sam):
    piece = prepare(enter(sam))
    heard(sam, piece, tempo=84)
    before = load().piece_answers[piece.pk].now
    own = heard(sam, piece, tempo=112, source=LessonCheck.Source.STUDENT)
    season = load()
    assert season.piece_answers[piece.pk].now == before == 75.0
    assert season.own_checks[piece.pk] == [own]
    assert own not in season.teacher_checks[piece.pk]


def test_a_piece_of_two_auditions_is_one_piece_and_needs_memory_if_either_asks(load, sam):
    piece = prepare(enter(sam), memory="no")
    prepare(enter(sam), piece, memory="yes")
    season = load()
    (asked,) = readiness_problem(season).pieces
    assert asked.from_memory
    assert season.pieces == [piece]


def test_an_audition_weighs_its_requirements_and_leaves_out_what_is_no_music(load, sam):
    entry = enter(sam)
    piece = prepare(entry, name="Solo", weight=3)
    RequirementFactory(requirement_set=entry.requirement_set, name="Etude", weight=2)
    RequirementFactory(
        requirement_set=entry.requirement_set, name="Theory paper", kind="test", weight=5
    )
    (audition,) = readiness_problem(load()).auditions
    assert {(slot.name, slot.weight, slot.pieces) for slot in audition.slots} == {
        ("Solo", 3.0, (str(piece.pk),)),
        ("Etude", 2.0, ()),
    }
    assert audition.on == FEBRUARY


def test_a_choice_counts_as_one_empty_slot_until_it_is_made(load, sam):
    entry = enter(sam)
    asked = entry.requirement_set
    choice = RequirementFactory(
        requirement_set=asked, name="Solo or studies", kind="some of", weight=4
    )
    RequirementFactory(requirement_set=asked, name="Solo", parent=choice, weight=2)
    studies = RequirementFactory(
        requirement_set=asked, name="Studies", parent=choice, at_least=2, weight=3
    )

    def slots():
        (audition,) = readiness_problem(load()).auditions
        return {slot.name: (slot.weight, len(slot.pieces)) for slot in audition.slots}

    assert slots() == {"Solo or studies": (4.0, 0)}
    AssignmentFactory(entry=entry, requirement=studies)
    assert slots() == {"Solo or studies": (4.0, 0), "Studies": (3.0, 1)}
    AssignmentFactory(entry=entry, requirement=studies)
    assert slots() == {"Studies": (3.0, 2)}


def test_one_of_two_pieces_is_half_of_what_is_asked(load, sam):
    entry = enter(sam)
    asked = RequirementFactory(requirement_set=entry.requirement_set, name="Two solos", at_least=2)
    for lacking in (1, 0):
        AssignmentFactory(entry=entry, requirement=asked)
        (audition,) = readiness_problem(load()).auditions
        assert [slot.lacking for slot in audition.slots] == [lacking]


def test_a_group_of_all_and_an_optional_extra_are_no_slots_themselves(load, sam):
    entry = enter(sam)
    asked = entry.requirement_set
    group = RequirementFactory(requirement_set=asked, name="Excerpts", kind="all of")
    RequirementFactory(requirement_set=asked, name="Slow excerpt", parent=group)
    RequirementFactory(requirement_set=asked, name="Third song", at_least=0, at_most=1)
    (audition,) = readiness_problem(load()).auditions
    assert [slot.name for slot in audition.slots] == ["Slow excerpt"]


def test_the_latest_lesson_sets_the_target_and_else_the_piece(load, sam):
    piece = prepare(enter(sam))
    heard(sam, piece, date(2027, 1, 4), tempo=80, target=100)
    assert load().piece_answers[piece.pk].now == 80.0
    heard(sam, piece, tempo=84, target=None)
    heard(sam, piece, date(2027, 1, 20), tempo=84, target=90)
    heard(sam, piece, tempo=84, target=60, source=LessonCheck.Source.STUDENT)
    season = load()
    assert season.target(piece) == 112
    assert season.piece_answers[piece.pk].now == 75.0


def test_the_studio_says_from_when_on_a_piece_is_ready(load, sam):
    piece = prepare(enter(sam))
    heard(sam, piece, tempo=104)
    assert load().piece_answers[piece.pk].known != "ready"
    sam.studio.ready_at = 92
    sam.studio.save()
    assert load().piece_answers[piece.pk].known == "ready"


def test_what_is_withdrawn_or_decided_is_no_longer_prepared(load, sam):
    going = prepare(enter(sam))
    for result in (Entry.Result.WITHDRAWN, Entry.Result.OFFERED):
        prepare(enter(sam, result=result))
    through = prepare(enter(sam, result=Entry.Result.THROUGH))
    assert set(load().pieces) == {going, through}


# The next audition


def test_the_next_audition_is_the_first_from_today_on(load, sam):
    enter(sam, date(2027, 1, 11))
    enter(sam, date(2027, 1, 13), result=Entry.Result.WITHDRAWN)
    enter(sam, date(2027, 2, 20))
    next_one = enter(sam, TODAY)
    EntryFactory(student=sam, chosen_date=None, date_state="open")
    season = load()
    assert season.next_entry == next_one
    assert season.next_answer.key == str(next_one.pk)


def test_entries_without_a_date_come_last(load, sam):
    undated = EntryFactory(student=sam, chosen_date=None, date_state="open")
    late, early = enter(sam, date(2027, 3, 1)), enter(sam, date(2027, 1, 20))
    season = load()
    assert season.entries == [early, late, undated]


def test_without_a_date_ahead_there_is_no_next_audition(load, sam):
    EntryFactory(student=sam, chosen_date=None, date_state="open")
    season = load()
    assert season.next_entry is None
    assert season.next_answer is None


def test_another_seasons_entries_are_left_out(load, sam):
    enter(sam, audition__season="2025–26")
    assert load().entries == []


def test_today_is_the_students_own(load, sam):
    evening = datetime(2027, 1, 13, 3, tzinfo=UTC)
    assert load(evening).today == date(2027, 1, 12)
    sam.time_zone = "Asia/Tokyo"
    sam.save()
    assert load(evening).today == date(2027, 1, 13)


# Deadlines and cues


def test_a_school_keeps_the_time_of_the_university_it_is_part_of(load, people, sam):
    university = InstitutionFactory(studio=people.studio, time_zone="America/Denver")
    entry = enter(sam)
    school = entry.audition.institution
    school.part_of, school.time_zone = university, ""
    school.save()
    TaskFactory(entry=entry, deadline=DeadlineFactory(audition=entry.audition), on=None)
    (deadline,) = deadlines_problem(load()).deadlines
    assert deadline.place_zone == "America/Denver"


@pytest.mark.parametrize("own", ["America/New_York", ""])
def test_a_place_of_its_own_has_its_own_zone_or_none(load, sam, own):
    entry = enter(sam, audition__institution__time_zone=own)
    TaskFactory(entry=entry, deadline=DeadlineFactory(audition=entry.audition), on=None)
    (deadline,) = deadlines_problem(load()).deadlines
    assert deadline.place_zone == (own or None)


def test_a_task_arrives_with_its_lead_its_work_and_its_state(load, sam):
    entry = enter(sam)
    TaskFactory(
        entry=entry,
        deadline=DeadlineFactory(audition=entry.audition),
        on=None,
        doer="other",
        lead=10,
        lead_unit="working days",
        takes=3,
        state=Task.State.DROPPED,
    )
    (asked,) = deadlines_problem(load()).tasks
    assert (asked.lead, asked.takes) == (Lead(10, Unit.WORKING_DAYS), Lead(3))
    assert (asked.doer, asked.dropped, asked.on) == ("other", True, None)


def test_an_unstated_zone_reaches_the_engine_as_unstated(load, sam):
    entry = enter(sam)
    due = DeadlineFactory(audition=entry.audition, zone="", on=date(2027, 1, 20))
    task = TaskFactory(entry=entry, deadline=due, on=None)
    season = load()
    (deadline,) = deadlines_problem(season).deadlines
    assert deadline.zone is None
    assert season.cue(task.pk).due.plan_by == date(2027, 1, 19)


def test_a_deadline_waits_only_for_one_that_has_a_task(load, sam):
    entry = enter(sam)
    first = DeadlineFactory(audition=entry.audition)
    then = DeadlineFactory(audition=entry.audition, opens_after=first)
    task = TaskFactory(entry=entry, deadline=then, on=None)
    assert load().cue(task.pk).due.waits_for is None
    TaskFactory(entry=entry, deadline=first, on=None, name="Send the first form")
    assert load().cue(task.pk).due.waits_for == "Send the first form"


def test_working_days_leave_out_the_studios_holidays(load, sam):
    # Monday 18 January 2027 is a public holiday in the United States.
    entry = enter(sam)
    due = DeadlineFactory(audition=entry.audition, on=date(2027, 1, 19))
    task = TaskFactory(entry=entry, deadline=due, on=None, lead=1, lead_unit="working days")
    assert load().cue(task.pk).due.plan_by == date(2027, 1, 18)
    sam.studio.country = "US"
    sam.studio.save()
    assert load().cue(task.pk).due.plan_by == date(2027, 1, 15)


def test_open_cues_leave_out_what_is_done_not_needed_or_withdrawn(load, sam):
    entry = enter(sam)
    later = TaskFactory(entry=entry, on=date(2027, 1, 30))
    sooner = TaskFactory(entry=entry, on=date(2027, 1, 14))
    TaskFactory(entry=entry, state=Task.State.DONE, done_on=date(2027, 1, 3))
    TaskFactory(entry=entry, state=Task.State.DROPPED)
    TaskFactory(entry=enter(sam, result=Entry.Result.WITHDRAWN))
    season = load()
    assert [cue.task for cue in season.open_cues] == [sooner, later]
    assert len(season.cues) == 5
    assert season.cue(0) is None


def test_a_cue_names_its_place_and_whoever_else_does_it(load, sam):
    entry = enter(sam, audition__institution__short_name="Carrow")
    TaskFactory(entry=entry, on=date(2027, 1, 14))
    TaskFactory(entry=entry, on=date(2027, 1, 15), doer="teacher")
    own, teachers = load().cues
    assert (own.place, own.who) == ("Carrow", "")
    assert teachers.who == "Teacher"


# Reading


def test_students_sort_their_pieces_by_composer(load, sam):
    entry = enter(sam)
    last = prepare(entry, PieceFactory(studio=sam.studio, composer="Vaal"))
    first = prepare(entry, PieceFactory(studio=sam.studio, composer="Amsel"))
    assert load().pieces == [first, last]


def test_a_season_is_read_in_as_many_queries_for_thirty_students_as_for_one(
    django_assert_max_num_queries,
):
    counts = []
    for number in (1, 30):
        owner = build(number, TODAY)
        with django_assert_max_num_queries(8) as asked:
            seasons = [Season(student, NOW) for student in whole_season(owner)]
            answered = [(season.readiness, season.deadlines, season.pieces) for season in seasons]
        assert len(answered) == number
        counts.append(len(asked))
    assert counts[0] == counts[1]


# The network: days to count from, what waits, what is one errand


def task_of(season, task):
    """The engine's task of a row."""
    return next(each for each in deadlines_problem(season).tasks if each.key == str(task.pk))


def test_a_relative_deadline_counts_back_from_the_chosen_date(load, sam):
    entry = enter(sam, audition__institution__short_name="Carrow")
    due = DeadlineFactory(audition=entry.audition, on=None, before=7, zone="America/New_York")
    task = TaskFactory(entry=entry, deadline=due, on=None)
    season = load()
    (anchor,) = deadlines_problem(season).anchors
    assert (anchor.on, anchor.settled, anchor.name) == (FEBRUARY, True, "the Carrow audition")
    assert season.cue(task.pk).due.plan_by == date(2027, 1, 30)


@pytest.mark.parametrize(
    ("offered", "earliest"),
    [
        ({}, date(2027, 2, 20)),
        ({"full": True}, None),
        ({"book_by": date(2027, 1, 11)}, None),
        ({"book_by": TODAY}, date(2027, 2, 20)),
        ({"on": date(2027, 1, 11)}, None),
    ],
)
def test_without_a_chosen_date_the_earliest_that_can_be_had_counts(load, sam, offered, earliest):
    entry = EntryFactory(student=sam, chosen_date=None, date_state="open")
    OfferedDateFactory(audition=entry.audition, **{"on": date(2027, 2, 20)} | offered)
    other = OfferedDateFactory(audition=entry.audition, on=date(2027, 2, 1))
    other.instruments.add(InstrumentFactory(studio=sam.studio, name="Tuba"))
    task = TaskFactory(entry=entry, on=None, of_day=True, lead=3)
    season = load()
    (anchor,) = deadlines_problem(season).anchors
    assert (anchor.on, anchor.earliest, anchor.settled) == (None, earliest, False)
    cue = season.cue(task.pk)
    assert cue.dated == bool(earliest)
    assert cue in (season.open_cues if earliest else season.open_undated)


def test_a_date_for_the_entrys_own_instrument_counts(load, sam):
    entry = EntryFactory(student=sam, chosen_date=None, date_state="open")
    for on in (date(2027, 2, 1), date(2027, 2, 8)):
        only = OfferedDateFactory(audition=entry.audition, on=on)
        only.instruments.add(sam.instrument, InstrumentFactory(studio=sam.studio, name="Tuba"))
    TaskFactory(entry=entry, on=None, of_day=True)
    (anchor,) = deadlines_problem(load()).anchors
    assert anchor.earliest == date(2027, 2, 1)


def test_one_relative_deadline_is_another_date_for_each_entry(load, people, sam):
    horn, other = enter(sam), InstrumentFactory(studio=people.studio, name="Tuba")
    tuba = EntryFactory(
        student=sam,
        audition=horn.audition,
        instrument=other,
        chosen_date__on=date(2027, 2, 13),
    )
    due = DeadlineFactory(audition=horn.audition, on=None, before=7, zone="America/New_York")
    first, then = (TaskFactory(entry=each, deadline=due, on=None) for each in (horn, tuba))
    season = load()
    days = [season.cue(task.pk).due.plan_by for task in (first, then)]
    assert days == [date(2027, 1, 30), date(2027, 2, 6)]


def test_late_terms_reach_the_engine(load, sam):
    entry = enter(sam)
    due = DeadlineFactory(
        audition=entry.audition,
        on=date(2027, 1, 5),
        late_until=date(2027, 1, 20),
        late_terms="with a fee of 30",
    )
    task = TaskFactory(entry=entry, deadline=due, on=None)
    assert "still taken until 20 January, with a fee of 30" in load().cue(task.pk).due.sentence


def test_what_needs_a_confirmed_date_is_held_up_without(load, sam):
    entry = enter(sam, date_state="asked for")
    task = TaskFactory(entry=entry, on=None, of_day=True, lead=30, needs="date confirmed")
    cue = load().cue(task.pk)
    assert cue.due.waits_for == "the date is not confirmed"
    assert cue.trouble == "held up"
    entry.date_state = Entry.DateState.CONFIRMED
    entry.save()
    assert load().cue(task.pk).due.waits_for is None


def test_what_needs_the_pieces_begins_when_the_last_is_expected_to_be_ready(load, sam):
    entry = enter(sam, date(2027, 4, 1))
    slow = prepare(entry, name="Solo")
    prepared = prepare(entry, name="Study")
    for week, (tempo, other) in enumerate([(72, 112), (80, 112), (88, 112)]):
        on = date(2026, 12, 29) + timedelta(weeks=week)
        heard(sam, slow, on, tempo=tempo, target=112)
        heard(sam, prepared, on, tempo=other, target=112)
    task = TaskFactory(entry=entry, on=date(2027, 3, 20), needs="pieces ready")
    season = load()
    expected = season.piece_answers[slow.pk].ready_on
    assert expected > TODAY
    asked = task_of(season, task)
    assert asked.not_before == expected
    assert slow.title in asked.not_before_why
    assert season.cue(task.pk).due.earliest_start == expected


def test_when_that_is_not_known_nothing_is_guessed_and_it_is_said(load, sam):
    entry = enter(sam)
    task = TaskFactory(entry=entry, on=date(2027, 1, 30), needs="pieces ready")
    assert load().cue(task.pk).unsure == "No pieces are chosen yet."
    piece = prepare(entry)
    season = load()
    assert season.cue(task.pk).unsure == f"When {piece.title} will be ready is not known."
    assert task_of(season, task).not_before is None


def test_a_recording_waits_for_the_pieces_that_are_recorded(load, sam):
    entry = enter(sam)
    prepare(entry, name="Solo", round="live")
    recorded = prepare(entry, name="Study", round="screening")
    due = DeadlineFactory(audition=entry.audition, kind="recording", name="recording")
    task = TaskFactory(entry=entry, deadline=due, on=None, needs="pieces ready")
    assert recorded.title in load().cue(task.pk).unsure


def test_a_task_waits_for_another_of_the_same_season_alone(load, sam):
    entry, past = enter(sam), enter(sam, audition__season="2025–26")
    first = TaskFactory(entry=entry, on=date(2027, 1, 20), name="Write the draft")
    task = TaskFactory(entry=entry, on=date(2027, 1, 30), after=first)
    gone = TaskFactory(entry=entry, on=date(2027, 1, 30), after=TaskFactory(entry=past))
    season = load()
    assert season.cue(task.pk).due.waits_for == "Write the draft"
    assert task_of(season, gone).after == ()


def test_tasks_that_wait_in_a_circle_are_shown_each_by_itself(load, sam):
    entry = enter(sam)
    one = TaskFactory(entry=entry, on=date(2027, 1, 20), name="One")
    two = TaskFactory(entry=entry, on=date(2027, 1, 30), name="Two", after=one)
    Task.objects.filter(pk=one.pk).update(after=two)
    season = load()
    assert "wait for each other" in season.circle
    assert len(season.open_cues) == 2
    assert season.cue(two.pk).due.waits_for is None


def test_the_studios_own_days_off_are_no_working_days(load, people, sam):
    entry = enter(sam)
    due = DeadlineFactory(audition=entry.audition, on=date(2027, 1, 21))
    task = TaskFactory(entry=entry, deadline=due, on=None, lead=1, lead_unit="working days")
    assert load().cue(task.pk).due.plan_by == date(2027, 1, 20)
    off = {"first": date(2027, 1, 19), "last": date(2027, 1, 20)}
    StudioDayFactory(studio=people.studio, kind="concert", **off)
    assert load().cue(task.pk).due.plan_by == date(2027, 1, 20)
    StudioDayFactory(studio=people.studio, kind="day off", **off)
    StudioDayFactory(studio=people.otto.studio, kind="day off", first=date(2027, 1, 18))
    season = load()
    assert season.cue(task.pk).due.plan_by == date(2027, 1, 18)
    assert season.workdays.is_working(date(2027, 1, 18))


def test_a_day_that_is_over_leaves_nothing_to_do(load, sam):
    past = enter(sam, date(2027, 1, 11))
    decided = enter(sam, result=Entry.Result.OFFERED)
    for entry in (past, decided):
        TaskFactory(entry=entry, on=None, of_day=True)
    still = TaskFactory(entry=decided, on=date(2027, 1, 30), name="Send the reply")
    season = load()
    assert [cue.task for cue in season.open_cues] == [still]
    assert season.deadlines.late == ()


def errand(sam, place, on, **fields):
    """A shared task of an entry at a place of that name."""
    entry = enter(sam, audition__institution__short_name=place)
    due = DeadlineFactory(audition=entry.audition, on=on, kind=fields.pop("kind", "transcript"))
    name = fields.pop("name", "Ask for the transcript")
    return TaskFactory(entry=entry, deadline=due, on=None, name=name, shared=True, **fields)


def test_one_errand_for_several_places_is_one_cue_by_the_earliest_date(load, sam):
    later = errand(sam, "Carrow", date(2027, 2, 20))
    sooner = errand(sam, "Fairmont", date(2027, 1, 20))
    season = load()
    (cue,) = season.open_cues
    assert cue.title == "Ask for the transcript · Fairmont, Carrow"
    assert cue.due.plan_by == date(2027, 1, 20)
    assert season.cue(later.pk) == season.cue(sooner.pk) == cue
    assert cue.key == later.pk
    (seen,) = season.cues_at(later.entry)
    assert (seen.task, seen.entry, seen.due) == (later, later.entry, cue.due)


def test_errands_of_other_doers_names_and_withdrawn_entries_stay_apart(load, sam):
    errand(sam, "Fairmont", date(2027, 1, 20))
    errand(sam, "Carrow", date(2027, 1, 21), doer="teacher")
    errand(sam, "Lindmoor", date(2027, 1, 22), name="Ask for the last transcript")
    gone = errand(sam, "Norwood", date(2027, 1, 14))
    Entry.objects.filter(pk=gone.entry_id).update(result=Entry.Result.WITHDRAWN)
    season = load()
    assert [cue.also for cue in season.open_cues] == [(), (), ()]
    assert season.open_cues[0].due.plan_by == date(2027, 1, 20)


def test_what_was_done_together_stays_together_and_what_comes_later_is_new(load, sam):
    first, then = (errand(sam, place, date(2027, 1, 20)) for place in ("Fairmont", "Carrow"))
    Task.objects.update(state=Task.State.DONE, done_on=TODAY)
    late = errand(sam, "Lindmoor", date(2027, 2, 20))
    season = load()
    assert season.cue(first.pk).place == "Fairmont, Carrow"
    assert season.cue(first.pk) == season.cue(then.pk)
    assert season.cue(late.pk).also == ()


def test_letters_are_one_errand_for_each_recommender(load, sam):
    letters = {"kind": "letter", "name": "Ask for the letter"}
    lowell, marsh = (RecommenderFactory(student=sam, name=name) for name in ("Lowell", "Marsh"))
    for place, by in (("Fairmont", lowell), ("Carrow", lowell), ("Norwood", marsh)):
        errand(sam, place, date(2027, 2, 20), recommender=by, **letters)
    for place in ("Lindmoor", "Hollins Bay"):
        errand(sam, place, date(2027, 2, 20), **letters)
    assert {cue.title for cue in load().open_cues} == {
        "Ask for the letter (Lowell) · Fairmont, Carrow",
        "Norwood: Ask for the letter (Marsh)",
        "Lindmoor: Ask for the letter",
        "Hollins Bay: Ask for the letter",
    }
