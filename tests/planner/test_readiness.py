"""How ready pieces and auditions are, what is said about it, and what is left unsaid."""

from dataclasses import replace
from datetime import date, timedelta
from itertools import pairwise
from math import ceil, exp

import pytest
from hypothesis import given
from hypothesis import strategies as st

from planner import codec
from planner.readiness import (
    Audition,
    Check,
    Piece,
    Prior,
    Problem,
    Settings,
    Slot,
    answer,
    example,
)
from planner.readiness.pace import measure_pace
from planner.regression import fit

TODAY = date(2027, 1, 12)
FAIRMONT = date(2027, 2, 6)
EASE = timedelta(days=Settings().ease_days)


def ago(days):
    return TODAY - timedelta(days=days)


def weekly(*marks, until=0, **more):
    """Checks a week apart that hold one mark each, the last `until` days ago."""
    return tuple(
        Check(ago(until + 7 * week), marks=(mark,), **more)
        for week, mark in zip(reversed(range(len(marks))), marks, strict=True)
    )


def hear(*checks, **piece):
    """Return the answer for one piece."""
    problem = Problem(TODAY, (Piece("p", "Study 14", checks, **piece),))
    return answer(problem).pieces[0]


def audition(*pieces, on=FAIRMONT, slots=None, today=TODAY):
    """Return the answer for one audition that asks for these pieces, one slot each."""
    slots = slots or tuple(Slot(piece.name, 1, (piece.key,)) for piece in pieces)
    going = Audition("a", "Fairmont", on, slots)
    return answer(Problem(today, pieces, (going,))).auditions[0]


STEADY = Piece("steady", "Steady", weekly(0.54, 0.60, 0.64, 0.70, 0.75))
SLOW = Piece("slow", "Slow", weekly(0.55, 0.57, 0.60, 0.61, 0.64))
STUCK = Piece("stuck", "Stuck", weekly(0.7, 0.6, 0.7, 0.6))
DONE = Piece("done", "Done", weekly(0.7, 0.8, 0.9))
ONCE = Piece("once", "Once", weekly(0.5))
NEVER = Piece("never", "Never")


# What a check is worth


def test_points_are_the_weighted_shares_of_what_was_looked_at():
    tempo, marks, memory = 96 / 112, 0.6 / 0.9, 0.5
    full = Check(TODAY, 96, 112, (0.5, 0.7), 0.5)
    assert hear(full, from_memory=True).now == pytest.approx(
        100 * (0.5 * tempo + 0.3 * marks + 0.2 * memory)
    )
    assert hear(full).now == pytest.approx(100 * (0.5 * tempo + 0.3 * marks) / 0.8)
    assert hear(Check(TODAY, 96, 112)).now == pytest.approx(100 * tempo)


def test_faster_than_asked_counts_no_more_than_asked():
    assert hear(Check(TODAY, 130, 112)).now == 100


def test_a_measure_left_out_keeps_its_last_value():
    lesson = Check(ago(7), 80, 112, (0.45,))
    both = hear(lesson, Check(TODAY, 96, 112)).now
    assert both == pytest.approx(100 * (0.5 * 96 / 112 + 0.3 * 0.5) / 0.8)


def test_todays_target_measures_earlier_checks_too():
    raised = hear(Check(ago(7), 90, 90), Check(TODAY, 90, 90), target=120)
    assert [points for _, points in raised.history] == [75, 75]


def test_checks_of_one_day_become_one():
    one = hear(Check(TODAY, 80, 112, (0.5,)), Check(TODAY, 96, None, (0.7,)))
    assert one.history == hear(Check(TODAY, 96, 112, (0.6,))).history
    assert one.known == "one check"


def test_each_hearing_of_a_day_counts_once_however_many_marks_it_gave():
    lesson, panel = Check(TODAY, marks=(0.8,)), Check(TODAY, marks=(0.4, 0.4, 0.4, 0.4))
    assert hear(lesson, panel).history == hear(Check(TODAY, marks=(0.6,))).history


def test_a_panel_on_the_day_of_a_lesson_leaves_what_it_did_not_mark():
    lesson, panel = Check(TODAY, 96, 112, (0.7,), 0.5), Check(TODAY, marks=(0.5,))
    both = hear(panel, lesson, from_memory=True)
    assert both.history == hear(Check(TODAY, 96, 112, (0.6,), 0.5), from_memory=True).history


def test_a_check_that_measures_nothing_is_no_check():
    assert hear(Check(TODAY, memory=1.0)).known == "no checks"


def test_tempos_without_any_target_are_left_out_and_said_so():
    problem = Problem(TODAY, (Piece("p", "Study 14", (Check(TODAY, 96),)),))
    assert answer(problem).pieces[0].now is None
    assert "Study 14: clean tempos left out, there is no target tempo." in answer(problem).notes


def test_checks_after_today_are_left_out_and_said_so():
    later = Check(TODAY + timedelta(days=3), marks=(0.9,))
    piece = Piece("p", "Study 14", (*weekly(0.5), later))
    found = answer(Problem(TODAY, (piece,)))
    assert found.pieces[0].history == hear(*weekly(0.5)).history
    assert "Study 14: a check dated after today (15 January) left out." in found.notes


# What limits a piece


@pytest.mark.parametrize(
    "check, limit, words",
    [
        (Check(TODAY, 96, 112, (0.9,), 1.0), "tempo", "clean at 96 of 112"),
        (Check(TODAY, 112, 112, (0.6,), 1.0), "marks", "marks at 60 of 100"),
        (Check(TODAY, 112, 112, (0.9,), 0.5), "memory", "partly from memory"),
        (Check(TODAY, 112, 112, (0.9,), 0.0), "memory", "not from memory yet"),
        (Check(TODAY, 112, 112, (0.9,)), "memory", "memory not checked yet"),
        (Check(ago(40), 112, 112, (0.9,), 1.0), "stale", "last checked 40 days ago"),
        (Check(TODAY, 112, 112, (0.9,), 1.0), None, "ready"),
    ],
)
def test_the_smallest_share_limits_the_piece(check, limit, words):
    found = hear(check, from_memory=True)
    assert (found.limit, found.limit_sentence) == (limit, words)


def test_one_weak_measure_keeps_a_high_figure_from_being_ready():
    found = hear(Check(TODAY, 112, 112, (0.78,), 1.0), from_memory=True)
    assert found.now > 95
    assert (found.known, found.limit) == ("one check", "marks")


def test_a_weak_measure_alone_sets_the_day():
    weak = [Check(ago(7 * n), 112, 112, (0.79 - 0.01 * n,), 1.0) for n in range(4)]
    found = hear(*weak, from_memory=True)
    # 0.79 of 0.9 is 87.8; 90 is asked of each measure.
    days, marks = [ago(7 * n) for n in (3, 2, 1, 0)], [(79 - n) / 0.9 for n in (3, 2, 1, 0)]
    alone = measure_pace(days, marks, 90, TODAY, Settings())
    assert found.now > 95
    assert (found.known, found.ready_on) == ("forecast", alone.day(0.5))
    # A line of 1.11 points a week takes two weeks; what is usual is faster.
    assert TODAY < found.ready_on <= TODAY + timedelta(days=14)


def test_memory_that_was_never_asked_for_is_not_taken_as_there():
    found = hear(Check(ago(7), 100, 112), Check(TODAY, 112, 112), from_memory=True)
    assert (found.known, found.ready_on) == ("part checked", None)
    assert found.sentence == "100 of 100 by what was checked; memory not checked yet."


# When it will be ready


def test_no_check_says_so():
    found = hear()
    assert (found.now, found.known, found.sentence) == (None, "no checks", "Not checked yet.")


def test_one_check_gives_a_figure_and_no_pace():
    found = hear(*weekly(0.63))
    assert (found.now, found.per_week, found.ready_on) == (pytest.approx(70), None, None)
    assert found.sentence == "70 of 100 ready, marks at 63 of 100; only one check, no pace yet."


def test_checks_a_day_apart_give_no_pace():
    found = hear(Check(ago(1), marks=(0.5,)), Check(TODAY, marks=(0.6,)))
    assert (found.known, found.per_week) == ("one check", None)
    assert found.sentence.endswith("checks too close together, no pace yet.")


def test_two_checks_already_give_a_wide_range():
    found = hear(*weekly(0.54, 0.63))
    # 60, then 70 of 100: the pace lies between the usual 4.5 and the ten points heard.
    assert found.known == "forecast"
    assert Settings().prior.rate < found.per_week < 10
    assert found.earliest < found.ready_on
    assert "80 % range" in found.sentence
    assert found.sentence.endswith("two checks only).")
    wide, narrow = (
        (each.ready_on - each.earliest).days
        for each in (found, hear(*weekly(*(0.09 + 0.0643 * n for n in range(9)))))
    )
    assert wide > narrow


def test_three_checks_give_a_range_around_the_date():
    found = hear(*weekly(0.5, 0.6, 0.7))
    assert found.earliest < found.ready_on < (found.latest or date.max)


def test_checks_that_lie_on_a_line_still_leave_doubt():
    found = hear(*weekly(0.45, 0.54, 0.63, 0.72))
    assert (found.latest - found.earliest).days >= 5


def test_a_range_without_end_is_said_so():
    found = hear(*weekly(0.5, 0.6, 0.53))
    assert found.earliest is not None
    assert found.latest is None
    assert "no end yet" in found.sentence


def test_a_falling_line_gives_no_date():
    found = hear(*weekly(0.7, 0.65, 0.6))
    assert (found.known, found.ready_on) == ("not gaining", None)
    assert found.per_week < 0
    assert found.sentence.endswith("; not gaining lately.")


def test_a_day_beyond_the_horizon_is_no_date():
    found = hear(*weekly(*(0.5 + n / 1000 for n in range(12))))
    assert (found.known, found.ready_on) == ("not gaining", None)
    assert found.sentence.endswith("on this pace not ready within 365 days.")


def test_a_ready_piece_is_ready_today():
    found = hear(*DONE.checks)
    assert (found.known, found.ready_on, found.limit) == ("ready", TODAY, None)
    assert found.sentence == "Ready: 100 of 100."


def test_a_piece_that_is_not_ready_today_is_ready_tomorrow_at_the_earliest():
    found = hear(*weekly(0.5, 0.7, 0.9, 0.84))
    assert found.now < 95
    assert found.ready_on == TODAY + timedelta(days=1)


def test_old_checks_weigh_less():
    stuck_in_autumn = tuple(Check(ago(n), marks=(0.5,)) for n in (200, 190, 180))
    recent = weekly(0.54, 0.60, 0.66, 0.72)
    both, alone = hear(*stuck_in_autumn, *recent), hear(*recent)
    assert both.per_week == pytest.approx(alone.per_week, rel=0.2)
    line = fit(*zip(*((on.toordinal(), points) for on, points in both.history), strict=True))
    assert 7 * line.slope < alone.per_week / 3


def test_checks_are_used_however_old():
    found = hear(*(Check(ago(n), marks=(0.8 - n / 500,)) for n in (200, 100, 0)))
    # A little more than what the checks show: between two so far apart there may have been a pause.
    shown = 7 * 100 / 500 / 0.9
    assert shown < found.per_week < 1.2 * shown
    assert found.earliest is not None


def test_progress_that_flattens_is_not_forecast_as_a_line():
    flattening = [0.9 * (88 - 48 * exp(-n / 4)) / 100 for n in range(11)]
    steady = [flattening[0] + (flattening[-1] - flattening[0]) * n / 10 for n in range(11)]
    curved, straight = hear(*weekly(*flattening)), hear(*weekly(*steady))
    assert curved.now == pytest.approx(straight.now)
    assert straight.known == "forecast"
    assert curved.per_week < straight.per_week / 2
    assert curved.ready_on is None or curved.ready_on > straight.ready_on + timedelta(days=14)


def test_asking_for_memory_for_the_first_time_is_no_setback():
    tempos = [Check(ago(7 * n), 100 - 4 * n, 112) for n in range(1, 4)]
    found = hear(*tempos, Check(TODAY, 100, 112, memory=0.0), from_memory=True)
    assert found.history[-1][1] < found.history[-2][1]
    assert found.per_week > 0


# When nobody has heard it for a while


def test_nothing_is_lost_in_the_first_three_weeks():
    assert hear(*weekly(0.5, 0.6, until=21)).now == hear(*weekly(0.5, 0.6)).now


def test_a_stale_piece_loses_points_by_the_day():
    assert hear(*weekly(0.54, 0.63, until=31)).now == pytest.approx(70 - 10 * 0.3)


def test_the_gain_goes_on_from_one_lesson_to_the_next():
    marks = (0.45, 0.5, 0.56, 0.6)
    heard = hear(*weekly(*marks, until=10)).ready_on
    assert heard - ago(10) == hear(*weekly(*marks)).ready_on - TODAY


def test_after_that_the_line_waits_and_what_was_lost_is_to_be_gained_again():
    # Heard 21 days earlier and waiting 21 days more, it would be ready on the same day; the three
    # points forgotten in ten stale days take some days more.
    early, late = (hear(*weekly(0.54, 0.63, until=n)) for n in (10, 31))
    assert timedelta(days=1) <= late.ready_on - early.ready_on <= timedelta(days=7)


@pytest.mark.parametrize("silent", [0, 20, 35])
def test_the_chance_is_even_on_the_ready_day(silent):
    piece = Piece("p", "Study 14", weekly(0.45, 0.5, 0.56, 0.6, until=silent))
    day = of(piece).ready_on + EASE
    assert audition(piece, on=day).chance >= 0.5
    assert audition(piece, on=day - timedelta(days=1)).chance < 0.5


def test_a_silent_piece_comes_later_and_less_surely():
    marks = (0.35, 0.4, 0.45, 0.5, 0.55, 0.6, 0.65, 0.7)
    fresh, *silent = (hear(*weekly(*marks, until=n)) for n in (10, 20, 30, 40))
    waited = [found.ready_on - fresh.ready_on for found in silent]
    # Heard ten days earlier, the line would be there ten days earlier: waiting makes up for it.
    assert waited == sorted(waited)
    assert waited[0] >= timedelta(0)
    widths = [found.latest - found.earliest for found in (fresh, *silent)]
    assert widths == sorted(set(widths))


def test_a_piece_that_went_stale_is_to_be_heard_again():
    found = hear(*weekly(0.7, 0.8, 0.87, until=30))
    assert (found.known, found.limit, found.ready_on) == ("stale", "stale", None)
    assert found.sentence == (
        "93 of 100 ready, last checked 30 days ago; it was ready then, so hear it again."
    )


def test_after_six_silent_weeks_there_is_no_forecast():
    assert hear(*weekly(0.5, 0.6, 0.7, until=42)).known == "forecast"
    found = hear(*weekly(0.5, 0.6, 0.7, until=43))
    assert (found.known, found.ready_on) == ("stale", None)
    assert found.sentence.endswith("last checked 43 days ago; too long ago for a forecast.")


# Auditions


def test_slots_weigh_and_share_their_weight_among_their_pieces():
    slots = (Slot("Solo", 3, ("steady", "stuck")), Slot("Study", 1, ("done",)))
    found = audition(STEADY, STUCK, DONE, slots=slots)
    steady, stuck, done = (hear(*piece.checks).now for piece in (STEADY, STUCK, DONE))
    assert found.now == pytest.approx((1.5 * steady + 1.5 * stuck + done) / 4)
    assert found.covered == 1


def test_the_figure_rests_on_what_was_checked():
    slots = (Slot("Solo", 2, ("done",)), Slot("Study", 1, ("never",)), Slot("Scales", 1))
    found = audition(DONE, NEVER, slots=slots)
    assert (found.now, found.covered) == (100, 0.5)
    assert found.unknown == ("Scales: no piece chosen yet.", "Never: not checked yet.")
    assert found.sentence.startswith("100 of 100 ready, on 50 % of what is asked.")


def test_a_piece_that_is_still_to_be_chosen_leaves_the_chance_open():
    slots = (Slot("Two contrasting pieces", 3, ("done",), lacking=1), Slot("Scales", 1, ("done",)))
    found = audition(DONE, slots=slots)
    assert found.covered == 1 - 3 / 4 / 2
    assert (found.ready_on, found.chance, found.slots[0].chance) == (None, None, None)
    assert found.slots[1].ready_on == TODAY
    assert found.unknown == ("Two contrasting pieces: one more piece to choose.",)
    assert found.sentence == (
        "100 of 100 ready, on 62 % of what is asked. Not all of it is chosen yet. Two contrasting "
        "pieces: one more piece to choose."
    )
    assert found.short == "not all chosen"


def test_a_steady_piece_is_ready_about_when_a_line_through_it_is():
    found = hear(*STEADY.checks)
    line = fit(*zip(*((on.toordinal(), points) for on, points in found.history), strict=True))
    there = date.fromordinal(ceil((95 - line.intercept) / line.slope))
    # Some steady pieces flatten before they are ready, so it is the same day or a little later.
    assert there <= found.ready_on <= there + timedelta(days=3)


def test_days_in_hand_are_counted_to_the_slowest_piece():
    found = audition(STEADY, DONE)
    assert found.ready_on == hear(*STEADY.checks).ready_on == date(2027, 1, 28)
    assert (found.days_in_hand, found.short, found.late) == (9, "9 days in hand", False)
    assert found.sentence == (
        "91 of 100 ready. On this pace both pieces are ready by 28 January, nine days in hand. "
        "Slowest: Steady, marks at 75 of 100."
    )


def test_an_audition_before_the_ready_day_is_short():
    found = audition(STEADY, DONE, on=date(2027, 1, 20))
    assert (found.days_in_hand, found.short, found.late) == (-8, "8 days short", True)
    assert "eight days short" in found.sentence


def test_a_ready_day_on_the_audition_day_leaves_no_days():
    found = audition(STEADY, on=date(2027, 1, 28))
    assert (found.days_in_hand, found.short) == (0, "no days in hand")
    assert "ready by 28 January, the day itself." in found.sentence


def test_everything_ready_is_ready():
    found = audition(DONE)
    assert (found.short, found.slowest, found.chance) == ("ready", None, 1.0)
    assert found.sentence == "100 of 100 ready. The one piece is ready, 25 days in hand."


def test_one_unknown_pace_leaves_the_audition_without_a_day():
    found = audition(STEADY, ONCE)
    assert (found.ready_on, found.days_in_hand, found.chance) == (None, None, None)
    assert (found.short, found.late) == ("pace not known yet", False)
    assert found.unknown == ("Once: only one check, no pace yet.",)


def test_a_known_delay_is_said_although_another_pace_is_unknown():
    found = audition(STEADY, ONCE, on=date(2027, 1, 20))
    assert (found.short, found.late) == ("at least 8 days short", True)
    assert (found.ready_on, found.slowest) == (None, "steady")


def test_a_piece_that_is_not_gaining_is_named():
    found = audition(STEADY, STUCK)
    assert (found.short, found.late, found.slowest) == ("not on this pace", True, "stuck")
    assert "On this pace Stuck won't be ready." in found.sentence


def test_without_a_date_there_is_a_day_but_nothing_in_hand():
    found = audition(STEADY, on=None)
    assert (found.ready_on, found.days_in_hand) == (date(2027, 1, 28), None)
    assert (found.short, found.chance) == ("no date chosen", None)


def test_an_audition_that_is_over_is_past():
    found = audition(STEADY, on=ago(1))
    assert (found.short, found.days_in_hand, found.late, found.forecast) == (
        "past",
        None,
        False,
        (),
    )


def test_an_audition_that_asks_for_nothing_yet_says_so():
    found = answer(Problem(TODAY, (), (Audition("a", "Fairmont", FAIRMONT),))).auditions[0]
    assert (found.now, found.covered, found.short) == (None, 0, "pace not known yet")
    assert found.sentence == "Nothing checked yet. What it asks for is not set yet."


def test_the_chance_is_that_of_every_piece():
    alone = [audition(piece).chance for piece in (STEADY, SLOW)]
    assert 0 < alone[1] < alone[0] < 1
    assert audition(STEADY, SLOW).chance == pytest.approx(alone[0] * alone[1])
    assert audition(STEADY, DONE).chance == alone[0]


def test_the_chance_at_the_end_of_the_range_is_nine_in_ten():
    piece = hear(*STEADY.checks)
    assert audition(STEADY, on=piece.latest + EASE).chance >= 0.9
    assert audition(STEADY, on=piece.latest + EASE - timedelta(days=1)).chance < 0.9


def test_two_checks_give_a_chance():
    found = audition(Piece("p", "Study 14", weekly(0.54, 0.63)))
    assert 0 < found.chance < 1
    assert found.unknown == ()


def test_each_requirement_and_the_student_have_the_same_figures():
    slots = (Slot("Solo", 3, ("steady",)), Slot("Study", 1, ("slow",)))
    found = audition(STEADY, SLOW, slots=slots)
    steady = hear(*STEADY.checks)
    solo, study = found.slots
    assert (solo.name, solo.now, solo.covered) == ("Solo", steady.now, 1)
    days = (steady.ready_on, steady.earliest, steady.latest)
    assert (solo.ready_on, solo.earliest, solo.latest, solo.slowest) == (*days, "steady")
    assert solo.chance * study.chance == pytest.approx(found.chance)


def test_the_student_and_its_pieces_have_the_chance_of_the_next_audition():
    going = (
        Audition("later", "Later", date(2027, 3, 1), (Slot("Solo", 1, ("slow",)),)),
        Audition("next", "Next", FAIRMONT, (Slot("Solo", 1, ("steady",)),)),
    )
    found = answer(Problem(TODAY, (STEADY, SLOW, STUCK), going))
    following = found.auditions[1]
    assert (found.chance, found.ready_on) == (following.chance, following.ready_on)
    assert (found.earliest, found.latest, found.slowest) == (
        following.earliest, following.latest, "steady"
    )  # fmt: skip
    assert [piece.chance for piece in found.pieces] == [
        following.chance, found.auditions[0].chance, None
    ]  # fmt: skip


def test_ease_is_the_studios_to_set():
    slots = (Slot("Solo", 1, ("steady",)),)
    going = (Audition("a", "Fairmont", date(2027, 1, 30), slots),)
    tight, easy = (
        answer(Problem(TODAY, (STEADY,), going, Settings(ease_days=days))).chance for days in (0, 7)
    )
    assert easy < tight


def test_the_hairpin_so_far_is_what_was_known_each_day():
    late = Piece("late", "Late", weekly(0.3, 0.4))
    found = audition(STEADY, late)
    assert found.history[-1] == (TODAY, found.now)
    for on, points in found.history:
        assert points == pytest.approx(audition(STEADY, late, today=on).now)


def test_the_dashed_part_leads_from_today_to_the_ready_day():
    found = audition(STEADY, SLOW, DONE)
    days = [on for on, _ in found.forecast]
    assert found.forecast[0] == (TODAY, found.now)
    assert days == sorted(days)
    assert days[-1] == found.ready_on
    assert found.forecast[-1][1] == pytest.approx((95 + 95 + 100) / 3)


# The student


def test_the_students_figure_is_that_of_the_next_audition():
    going = (
        Audition("later", "Later", date(2027, 3, 1), (Slot("Solo", 1, ("stuck",)),)),
        Audition("gone", "Gone", ago(3), (Slot("Solo", 1, ("slow",)),)),
        Audition("next", "Next", FAIRMONT, (Slot("Solo", 1, ("steady",)),)),
        Audition("open", "Open", None, (Slot("Solo", 1, ("done",)),)),
    )
    found = answer(Problem(TODAY, (STEADY, STUCK, SLOW, DONE), going))
    assert (found.next, found.now) == ("next", hear(*STEADY.checks).now)


def test_without_an_audition_it_is_the_mean_of_the_pieces():
    found = answer(Problem(TODAY, (STEADY, DONE, NEVER)))
    assert found.now == pytest.approx((hear(*STEADY.checks).now + 100) / 2)
    assert answer(Problem(TODAY, (NEVER,))).now is None


def test_a_forecast_is_called_an_estimate():
    assert "A forecast is an estimate, not a promise." in answer(Problem(TODAY, ())).notes


def test_the_example_is_answered_and_travels_as_json():
    problem = codec.read(Problem, codec.write(example()))
    assert problem == example()
    fairmont = answer(problem).auditions[0]
    assert fairmont.short == "1 day in hand"
    assert fairmont.sentence.startswith(
        "78 of 100 ready. On this pace all four pieces are ready by 5 February, one day in hand."
    )


# What is refused

STUDY = Piece("p", "Study 14")


def with_check(**values):
    return Problem(TODAY, (replace(STUDY, checks=(Check(TODAY, **values),)),))


def with_slot(slot):
    return Problem(TODAY, (STUDY,), (Audition("a", "Fairmont", FAIRMONT, (slot,)),))


@pytest.mark.parametrize(
    "problem, message",
    [
        (Problem(TODAY, (STUDY, STUDY)), 'pieces: the key "p" occurs more than once'),
        (Problem(TODAY, (), (Audition("a", "A", None),) * 2), 'auditions: the key "a"'),
        (with_slot(Slot("Solo", 1, ("q",))), 'Fairmont, Solo: no piece has the key "q"'),
        (with_slot(Slot("Solo", 1, ("p", "p"))), 'Fairmont, Solo: the key "p" occurs more'),
        (with_slot(Slot("Solo", 0, ("p",))), "the weight must be above 0, not 0"),
        (Problem(TODAY, (replace(STUDY, target=0),)), "target tempo must be above 0, not 0"),
        (with_check(tempo=90, target=-1), "target tempo must be above 0, not -1"),
        (with_check(tempo=0), "Study 14, check of 2027-01-12: the clean tempo must be above 0"),
        (with_check(tempo=float("nan")), "clean tempo must be above 0, not nan"),
        (with_check(marks=(0.5, 7)), "a mark must be 0 to 1, not 7"),
        (with_check(memory=2), "memory must be 0 to 1, not 2"),
        (Problem(TODAY, (), settings=Settings(coverage=1)), "coverage must be between 0 and 1"),
        (Problem(TODAY, (), settings=Settings(marks_weight=0)), "each weight must be above 0"),
        (Problem(TODAY, (), settings=Settings(ease_days=-1)), "days of ease must be 0 or more"),
        (Problem(TODAY, (), settings=Settings(prior=Prior(shapes=()))), "weight of the prior"),
    ],
)
def test_a_problem_that_makes_no_sense_is_refused(problem, message):
    with pytest.raises(ValueError, match=message):
        answer(problem)


# What holds for every student

SHARE = st.floats(0, 1)
CHECK = st.builds(
    Check,
    on=st.integers(0, 150).map(ago),
    tempo=st.none() | st.floats(20, 250),
    target=st.none() | st.floats(40, 200),
    marks=st.lists(SHARE, max_size=3).map(tuple),
    memory=st.none() | st.sampled_from([0.0, 0.5, 1.0]),
)
PIECE = st.builds(
    Piece,
    key=st.just("p"),
    name=st.just("Study 14"),
    checks=st.lists(CHECK, min_size=1, max_size=10).map(tuple),
    from_memory=st.booleans(),
    target=st.none() | st.floats(40, 200),
)


def of(piece, today=TODAY):
    return answer(Problem(today, (piece,))).pieces[0]


@given(PIECE)
def test_points_stay_between_0_and_100_and_ranges_hold_their_day(piece):
    found = of(piece)
    for points in [found.now or 0, *(points for _, points in found.history)]:
        assert 0 <= points <= 100
    dates = [on for on in (found.earliest, found.ready_on, found.latest) if on]
    assert dates == sorted(dates)
    assert (found.ready_on is None) == (found.known not in ("forecast", "ready"))


@given(PIECE, st.data())
def test_a_better_check_never_lowers_the_figure(piece, data):
    index = data.draw(st.integers(0, len(piece.checks) - 1))
    check, gain = piece.checks[index], data.draw(SHARE)
    better = replace(
        check,
        tempo=check.tempo and check.tempo * (1 + gain),
        marks=tuple(mark + gain * (1 - mark) for mark in check.marks),
        memory=None if check.memory is None else max(check.memory, gain),
    )
    checks = (*piece.checks[:index], better, *piece.checks[index + 1 :])
    before, after = of(piece).now, of(replace(piece, checks=checks)).now
    assert (before is None) == (after is None)
    assert before is None or after >= before - 1e-9


@given(PIECE, st.sampled_from([0.25, 0.5, 2.0, 4.0]))
def test_counting_in_another_beat_changes_nothing(piece, factor):
    def scaled(value):
        return value and value * factor

    checks = tuple(
        replace(check, tempo=scaled(check.tempo), target=scaled(check.target))
        for check in piece.checks
    )
    before, after = of(piece), of(replace(piece, checks=checks, target=scaled(piece.target)))
    assert replace(after, limit_sentence="", sentence="") == replace(
        before, limit_sentence="", sentence=""
    )


@given(PIECE, st.integers(1, 200))
def test_waiting_never_raises_the_figure_nor_brings_the_day_nearer(piece, days):
    today, later = of(piece), of(piece, TODAY + timedelta(days=days))
    assert today.now is None or later.now <= today.now
    if today.known == later.known == "forecast":
        assert later.ready_on >= today.ready_on


@given(PIECE, st.randoms(use_true_random=False))
def test_the_order_in_which_checks_come_does_not_matter(piece, rng):
    mixed = list(piece.checks)
    rng.shuffle(mixed)
    before, after = of(piece), of(replace(piece, checks=tuple(mixed)))
    assert after.known == before.known
    assert after.now == pytest.approx(before.now)


@given(st.lists(CHECK, min_size=1, max_size=12), st.integers(1, 4), st.randoms())
def test_the_order_of_the_checks_of_one_day_does_not_matter(checks, apart, rng):
    """To the last digit the same answer, whoever was entered first."""
    checks = [replace(check, on=ago(7 * (n % apart)), target=112) for n, check in enumerate(checks)]
    mixed = rng.sample(checks, len(checks))
    piece = Piece("p", "Study 14", tuple(checks), True)
    assert of(replace(piece, checks=tuple(mixed))) == of(piece)


@given(st.lists(PIECE, min_size=1, max_size=4), st.integers(0, 200))
def test_days_in_hand_agree_with_the_pieces(pieces, ahead):
    pieces = tuple(replace(piece, key=f"p{index}") for index, piece in enumerate(pieces))
    found = audition(*pieces, on=TODAY + timedelta(days=ahead))
    dates = [of(piece).ready_on for piece in pieces]
    if None in dates:
        assert (found.ready_on, found.days_in_hand) == (None, None)
    else:
        assert found.ready_on == max(dates)
        assert found.days_in_hand == min((found.on - on).days for on in dates)
        assert found.late == (found.days_in_hand < 0)
    if found.late:
        assert "short" in found.short or found.short == "not on this pace"
    assert found.chance is None or 0 <= found.chance <= 1
    assert all(first[0] < second[0] for first, second in pairwise(found.forecast))
