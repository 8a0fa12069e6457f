"""What the practice plan is asked, on what grounds, and what moves it from day to day."""

from datetime import date, timedelta

import pytest
import time_machine

from planner import practice
from studio.accounts.models import Role
from studio.entries.bridge import Season
from studio.entries.models import PracticeLog
from studio.entries.practice.bridge import KEY, LEAST, LENGTH
from studio.entries.practice.moving import Practice
from studio.entries.practice.rows import with_practice
from studio.entries.practice.today import Today
from studio.entries.queries import whole_season
from tests.factories import (
    AssignmentFactory,
    AuditionFactory,
    DayAwayFactory,
    EntryFactory,
    KeyCheckFactory,
    LessonCheckFactory,
    OfferedDateFactory,
    PieceFactory,
    PracticeDayFactory,
    PracticeLogFactory,
    RequirementFactory,
    StudentFactory,
    StudioFactory,
    seat,
)

pytestmark = [pytest.mark.django_db, pytest.mark.usefixtures("in_january")]
TODAY, YESTERDAY = date(2027, 1, 12), date(2027, 1, 11)  # a Tuesday
AUDITION = date(2027, 2, 6)
WEEK = dict.fromkeys(("mon", "tue", "wed", "thu", "fri", "sat", "sun"), 60)


@pytest.fixture
def in_january():
    with time_machine.travel("2027-01-12T18:00:00Z", tick=False):
        yield


@pytest.fixture
def student():
    """A student with an hour on each day."""
    studio = StudioFactory()
    seat(studio, Role.OWNER)
    return StudentFactory(studio=studio, **{f"practice_{day}": m for day, m in WEEK.items()})


def entry_of(student, on=AUDITION, offered=(), **given):
    audition = AuditionFactory(institution__studio=student.studio)
    for day in offered:
        OfferedDateFactory(audition=audition, on=day)
    chosen = OfferedDateFactory(audition=audition, on=on) if on else None
    return EntryFactory(student=student, audition=audition, chosen_date=chosen, **given)


def piece_for(*entries, **given):
    """Return a piece of ten hours that these entries ask for."""
    studio = entries[0].student.studio
    piece = PieceFactory(studio=studio, **{"hours": 10, "minutes": 5, **given})
    for entry in entries:
        AssignmentFactory(entry=entry, piece=piece)
    return piece


def practice_of(student):
    who = student.studio.memberships.get(role=Role.OWNER)
    return Practice(Season(with_practice(whole_season(who)).get(pk=student.pk)))


def needs(student):
    """Return (minutes, due) by name of all that is asked."""
    return {n.name: (n.minutes, n.due) for n in practice_of(student).asking.needs}


def heard(student, piece, on=date(2027, 1, 5), tempo=56, target=112):
    return LessonCheckFactory(student=student, piece=piece, on=on, tempo=tempo, target=target)


# ---- minutes


def test_a_piece_that_was_never_heard_takes_all_its_hours(student):
    piece = piece_for(entry_of(student))
    assert needs(student) == {piece.title: (600, date(2027, 2, 2))}


def test_minutes_shrink_with_readiness_and_with_what_is_logged_since_it_was_heard(student):
    piece = piece_for(entry_of(student))
    check = heard(student, piece)  # half the tempo: 50 of the 95 that count as ready
    assert needs(student)[piece.title][0] == round(600 * (1 - 50 / 95))
    for days, minutes in ((-1, 7), (0, 30), (1, 40)):
        PracticeLogFactory(
            student=student, piece=piece, on=check.on + timedelta(days), minutes=minutes
        )
    PracticeLogFactory(student=student, minutes=99, on=check.on)  # scales and all else
    assert needs(student)[piece.title][0] == round(600 * (1 - 50 / 95)) - 70


def test_what_is_logged_today_counts_tomorrow(student):
    piece = piece_for(entry_of(student))
    PracticeLogFactory(student=student, piece=piece, on=TODAY, minutes=40)
    assert needs(student)[piece.title][0] == 600
    with time_machine.travel("2027-01-13T18:00:00Z", tick=False):
        assert needs(student)[piece.title][0] == 560


def test_while_it_is_not_ready_a_piece_keeps_a_little(student):
    piece = piece_for(entry_of(student), hours=1)
    heard(student, piece)
    PracticeLogFactory(student=student, piece=piece, on=YESTERDAY, minutes=300)
    assert needs(student)[piece.title][0] == LEAST
    heard(student, piece, on=TODAY, tempo=112)
    assert needs(student)[piece.title][0] == 0


# ---- dates


@pytest.mark.parametrize(
    ("on", "ease", "due"),
    [
        (AUDITION, 3, date(2027, 2, 2)),
        (AUDITION, 0, date(2027, 2, 5)),
        (date(2027, 1, 16), 3, TODAY),
        (date(2027, 1, 15), 3, date(2027, 1, 14)),  # the days of ease have begun
        (TODAY, 3, TODAY),
    ],
)
def test_it_is_due_the_days_of_ease_before_its_audition(student, on, ease, due):
    student.studio.ease_days = ease
    student.studio.save()
    piece = piece_for(entry_of(student, on))
    assert needs(student)[piece.title][1] == due


def test_the_first_audition_counts_and_those_that_are_over_do_not(student):
    over = entry_of(student, date(2027, 1, 9))
    gone = entry_of(student, date(2027, 1, 20), result="withdrawn")
    piece = piece_for(over, gone, entry_of(student, date(2027, 2, 20)), entry_of(student))
    only_over = piece_for(over)
    asked = needs(student)
    assert asked[piece.title][1] == date(2027, 2, 2)
    assert only_over.title not in asked


def test_without_a_date_the_first_that_is_offered_counts_and_is_said(student):
    entry = entry_of(student, None, offered=[date(2027, 1, 2), date(2027, 3, 6), AUDITION])
    piece = piece_for(entry)
    asking = practice_of(student).asking
    assert [need.due for need in asking.needs] == [date(2027, 2, 2)]
    place = entry.audition.institution.short
    assert list(asking.assumed) == [
        f"{place} has no date yet: planned for the first that it offers, 6 February."
    ]
    assert asking.problem.auditions == ()  # no run-throughs towards a day that may be another
    assert piece.title == asking.planned[0].name


def test_with_no_date_at_all_nothing_is_planned_but_it_is_named(student):
    piece = piece_for(entry_of(student, None))
    asking = practice_of(student).asking
    assert asking.problem.pieces == ()
    assert [need.name for need in asking.no_date] == [piece.title]


@pytest.mark.parametrize("on", [date(2199, 1, 1), date(2030, 1, 12)])
def test_a_date_years_ahead_is_no_day_to_plan_for(student, on):
    piece_for(entry_of(student, on), hours=9999)
    assert practice_of(student).answer.feasible


# ---- days


def test_days_away_are_free_of_practice_and_exams_are_not(student):
    piece_for(entry_of(student))
    DayAwayFactory(student=student, first=date(2027, 1, 1), last=date(2027, 1, 5))
    DayAwayFactory(student=student, first=date(2027, 1, 10), last=date(2027, 1, 16))
    DayAwayFactory(student=student, first=date(2027, 1, 18), last=date(2027, 1, 20), kind="exam")
    PracticeDayFactory(student=student, on=date(2027, 1, 14), minutes=20)
    found = practice_of(student)
    away = [(each.first.day, each.last.day) for each in found.asking.problem.away]
    assert away == [(12, 13), (15, 16)]  # on the 14th the student has minutes all the same
    assert found.asking.problem.extra == (practice.Extra(date(2027, 1, 14), -40),)
    available = {day.on.day: day.available for day in found.answer.days[:4]}
    assert available == {14: 20, 17: 60, 18: 60, 19: 60}


# ---- the programme


def test_a_run_through_takes_what_its_pieces_take(student):
    entry = entry_of(student)
    piece_for(entry, minutes="4.5")
    piece_for(entry, minutes="2.2")
    asking = practice_of(student).asking
    assert asking.problem.auditions[0].minutes == 7
    assert list(asking.assumed) == []
    unknown = piece_for(entry, minutes=None)
    asking = practice_of(student).asking
    assert asking.problem.auditions[0].minutes == 7 + LENGTH
    assert any(unknown.title in sentence for sentence in asking.assumed)


@pytest.mark.parametrize(("level", "hard"), [(None, 1), (1, 0), (3, 1), (6, 2), (9, 3), (10, 3)])
def test_a_level_becomes_a_difficulty(student, level, hard):
    piece_for(entry_of(student), level=level)
    assert [each.hard for each in practice_of(student).asking.problem.pieces] == [hard]


def test_a_run_through_counts_as_playing_its_pieces(student):
    entry = entry_of(student)
    piece = piece_for(entry)
    heard(student, piece, on=date(2027, 1, 4))
    PracticeLogFactory(student=student, entry=entry, on=date(2027, 1, 8))
    PracticeLogFactory(student=student, piece=piece, on=TODAY)
    played = [each.last_played for each in practice_of(student).asking.problem.pieces]
    assert played == [date(2027, 1, 8)]


# ---- scales


def scales_for(entry, text="major: to 1; tempo: 80 to the quarter"):
    entry.instrument.lowest, entry.instrument.highest = "F#2", "C6"
    entry.instrument.save()
    return RequirementFactory(
        requirement_set=entry.requirement_set, kind="scales", name="Scales", scales=text
    )


def test_keys_below_their_tempo_are_one_piece_together(student):
    scales_for(entry_of(student))  # C, G and F
    assert needs(student) == {"Scales: 3 keys not at tempo yet": (3 * KEY, date(2027, 2, 2))}
    KeyCheckFactory(student=student, tonic="G", tempo=80, on=date(2027, 1, 4))
    KeyCheckFactory(student=student, tonic="F", tempo=90, on=date(2027, 1, 4))
    KeyCheckFactory(student=student, tonic="F", tempo=79, on=date(2027, 1, 5))  # the latest counts
    assert needs(student) == {"Scales: 2 keys not at tempo yet": (2 * KEY, date(2027, 2, 2))}
    PracticeLogFactory(student=student, on=date(2027, 1, 6), minutes=10)
    assert needs(student)["Scales: 2 keys not at tempo yet"][0] == 2 * KEY - 10


def test_without_a_tempo_a_key_that_was_tried_is_known(student):
    scales_for(entry_of(student), "major: C, G")
    KeyCheckFactory(student=student, tonic="G", tempo=40)
    assert needs(student) == {"Scales: 1 key not at tempo yet": (KEY, date(2027, 2, 2))}


def test_scales_that_cannot_be_read_as_keys_are_named(student):
    RequirementFactory(
        requirement_set=entry_of(student).requirement_set, kind="scales", details="As you like"
    )
    asking = practice_of(student).asking
    assert asking.needs == []
    assert ["“As you like”" in sentence for sentence in asking.assumed] == [True]


def test_scales_with_a_piece_in_their_place_are_that_piece(student):
    entry = entry_of(student)
    piece = PieceFactory(studio=student.studio, hours=5, kind="scales")
    AssignmentFactory(entry=entry, requirement=scales_for(entry), piece=piece)
    assert list(needs(student)) == [piece.title]


# ---- what moved


def follow_plan(student):
    """Log today's list as it stands."""
    for line in Today(practice_of(student)).lines:
        kind, _, key = line.what.partition("-")
        PracticeLogFactory(
            student=student,
            on=TODAY,
            minutes=line.minutes,
            **{f"{'entry' if kind == 'run' else 'piece'}_id": key},
        )


@pytest.fixture
def going(student):
    """Two pieces heard a week ago, a log kept: the plan of today followed to the minute."""
    entry = entry_of(student)
    pieces = [piece_for(entry), piece_for(entry, hours=8)]
    for piece in pieces:
        heard(student, piece)
        PracticeLogFactory(student=student, piece=piece, on=YESTERDAY, minutes=30)
    return pieces


@pytest.fixture
def tomorrow():
    return lambda: time_machine.travel("2027-01-13T18:00:00Z", tick=False)


def test_a_day_that_goes_as_planned_moves_nothing(student, going, tomorrow):
    follow_plan(student)
    with tomorrow():
        found = practice_of(student)
        assert (found.causes, found.moved) == ([], [])


def test_a_missed_day_moves_the_plan_and_is_named(student, going, tomorrow):
    before = practice_of(student).answer.pieces
    with tomorrow():
        found = practice_of(student)
        assert found.causes == ["Yesterday none of 30 minutes are logged."]
        assert any(going[0].title in sentence for sentence in found.moved)
        # nothing was done, so as much is left as was before
        after = found.answer.pieces
        assert [line.minutes for line in after] == [line.minutes for line in before]


def test_nobody_has_missed_a_day_who_keeps_no_log(student, going, tomorrow):
    PracticeLog.objects.all().delete()
    with tomorrow():
        assert practice_of(student).causes == []


def test_a_check_of_today_moves_the_plan_and_is_named(student, going, tomorrow):
    follow_plan(student)
    with tomorrow():
        heard(student, going[0], on=date(2027, 1, 13), tempo=106)
        found = practice_of(student)
        assert found.causes == [f"Heard today: {going[0].title}."]
        assert [s.split(":")[0] for s in found.moved][0] == going[0].title
        assert "fewer in all" in found.moved[0]


def test_other_minutes_today_move_the_plan_and_are_named(student, going, tomorrow):
    follow_plan(student)
    with tomorrow():
        PracticeDayFactory(student=student, on=date(2027, 1, 13), minutes=20)
        found = practice_of(student)
        assert found.causes == ["Today has 20 minutes instead of 60."]
        assert found.moved


def test_the_list_does_not_shift_under_the_hand(student, going):
    before = [(line.what, line.minutes) for line in Today(practice_of(student)).lines]
    follow_plan(student)
    after = Today(practice_of(student))
    assert [(line.what, line.minutes) for line in after.lines] == before
    assert all(line.is_done for line in after.lines)
    assert after.progress == "30 of 30 min done"
