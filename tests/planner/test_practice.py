"""The practice plan: each rule in a case that goes wrong without it."""

from dataclasses import replace
from datetime import date, timedelta

import pytest

from planner import codec
from planner.practice import (
    Audition,
    Away,
    Extra,
    Piece,
    Problem,
    Row,
    Settings,
    answer,
    example,
)
from tests.planner.practice_cases import TODAY, on, practice

PLAIN = practice().settings


def minutes(found, key):
    """Return {day number: minutes} of one piece, or of the run-throughs of one audition."""
    days = {}
    for day in found.days:
        for one in day.stretches:
            if one.key == key:
                number = (day.on - TODAY).days
                days[number] = days.get(number, 0) + one.minutes
    return days


def changes(found):
    return [(one.kind, one.piece, one.amount) for one in found.changes]


# ---- dates and days


def test_the_example_is_ready_in_time():
    found = answer(example())
    assert found.feasible
    assert found.sentence.startswith("Every piece is ready by its date: 14 h 40 min")


def test_the_answer_goes_through_json():
    found = answer(example())
    assert codec.read(type(found), codec.write(found)) == found


def test_the_due_day_is_a_day_of_practice():
    assert answer(practice(Piece("a", "A", 120, on(1)))).feasible
    assert answer(practice(Piece("a", "A", 121, on(1)))).missing == 1


def test_nothing_begins_before_its_day():
    found = answer(practice(Piece("a", "A", 100, on(9), on(4))))
    assert min(minutes(found, "a")) >= 4


def test_days_away_hold_nothing():
    away = (Away(on(1), on(3)),)
    problem = practice(Piece("a", "A", 200, on(4)), away=away)
    assert answer(problem).missing == 80
    assert set(minutes(answer(problem), "a")) == {0, 4}


def test_extra_and_missing_minutes_of_single_days():
    problem = practice(Piece("a", "A", 100, on(1)), extra=(Extra(on(0), -45), Extra(on(1), 25)))
    found = answer(problem)
    assert minutes(found, "a") == {0: 15, 1: 85}
    assert [day.available for day in found.days] == [15, 85]
    assert answer(replace(problem, extra=(Extra(on(0), -90),))).missing == 40


def test_weekdays_begin_on_monday():
    found = answer(practice(Piece("a", "A", 60, on(13)), weekdays=(0, 0, 0, 0, 0, 0, 30)))
    assert set(minutes(found, "a")) == {6, 13}


# ---- what is short, and what would do


def tight():
    """Two pieces due on Tuesday ask for 150 of 120 minutes; a third has time until Sunday."""
    return practice(
        Piece("a", "Aria", 60, on(1)),
        Piece("b", "Ballad", 90, on(1)),
        Piece("c", "Coda", 60, on(6)),
    )


def test_the_overloaded_days_and_what_asks_for_them():
    (short,) = answer(tight()).short
    assert (short.first, short.last, short.need, short.available) == (on(0), on(1), 150, 120)
    assert (short.pieces, short.minutes) == (("a", "b"), 30)
    assert short.sentence == (
        "From Monday 4 January to Tuesday 5 January there are 120 minutes, and Aria and Ballad ask "
        "for 150: 30 too few."
    )


def test_two_overloads_are_told_apart():
    pieces = (Piece("x", "X", 70, on(0)), Piece("y", "Y", 200, on(9), on(8)))
    found = answer(practice(*pieces))
    assert [(one.pieces, one.minutes) for one in found.short] == [(("x",), 10), (("y",), 80)]
    assert found.missing == 90
    assert found.short[0].sentence.startswith(
        "On Monday 4 January there are 60 minutes, and X asks"
    )
    assert changes(found) == [("more minutes", None, 40)]  # no other single change helps both


def test_the_smallest_single_changes():
    assert changes(answer(tight())) == [
        ("more minutes", None, 15),
        ("one piece fewer", "a", 60),
        ("one piece fewer", "b", 90),
        ("later date", "a", 1),
        ("later date", "b", 1),
    ]


def test_more_minutes_come_only_on_days_with_practice():
    problem = replace(tight(), weekdays=(60, 0, 60, 60, 60, 60, 60))
    assert ("more minutes", None, 90) in changes(answer(problem))
    nothing = answer(replace(problem, weekdays=(0,) * 7))
    assert nothing.missing == 210
    assert changes(nothing) == []


def test_nobody_is_asked_for_more_than_a_day():
    found = answer(practice(Piece("a", "A", 3000, on(0)), weekdays=(1400,) * 7))
    assert changes(found) == [("one piece fewer", "a", 3000), ("later date", "a", 2)]


def test_a_date_that_has_passed_is_short_of_everything():
    found = answer(practice(Piece("a", "A", 30, on(-2)), Piece("b", "B", 30, on(3))))
    assert found.missing == 30
    assert (
        found.short[0].sentence
        == "A: the date, Saturday 2 January, has passed with 30 minutes to do."
    )
    assert changes(found) == [("one piece fewer", "a", 30), ("later date", "a", 2)]
    assert sum(minutes(found, "b").values()) == 30


def test_the_rest_is_planned_when_something_is_short():
    found = answer(tight())
    assert sum(one.minutes for one in found.pieces) == 180
    assert [one.missing for one in found.pieces] == [12, 18, 0]  # a fifth of each
    assert found.pieces[1].sentence == "18 minutes short on Tuesday 5 January."
    assert any("which of them gives way is for the teacher to say" in note for note in found.notes)


def test_a_date_too_near_takes_no_more_from_the_others_than_it_must():
    """Of ten days that hold too little, the first alone holds even less: half of what it should."""
    near, far = Piece("near", "N", 120, on(0)), Piece("far", "F", 600, on(9))
    found = answer(practice(near, far))
    assert found.missing == 120
    assert [one.minutes for one in found.pieces] == [60, 540]  # not half of 600


# ---- a plan to work with


def test_work_is_spread_over_the_days():
    found = minutes(answer(practice(Piece("a", "A", 200, on(9)))), "a")
    assert len(found) == 10
    assert max(found.values()) <= 25


def test_what_cannot_wait_comes_before_even_shares():
    big, small = Piece("a", "A", 70, on(1)), Piece("b", "B", 45, on(1))
    found = answer(practice(big, small))
    assert found.feasible
    assert sum(minutes(found, "a").values()) == 70
    whys = [one.why for day in found.days for one in day.stretches]
    assert "otherwise too much would be left for later days" in whys


def resting(**settings):
    """Two pieces played yesterday, with much time; the small one would wait for its credit."""
    yesterday = on(-1)
    return practice(
        Piece("big", "Big", 500, on(29), None, 0, yesterday),
        Piece("small", "Small", 90, on(29), None, 0, yesterday),
        settings=replace(PLAIN, **settings),
    )


def test_no_begun_piece_rests_longer_than_it_may():
    found = answer(resting(rest_days=2))
    assert found.rests == ()
    days = [-1, *minutes(found, "small")]
    assert max(b - a for a, b in zip(days, days[1:], strict=False)) == 3
    free = [-1, *minutes(answer(resting()), "small")]
    assert max(b - a for a, b in zip(free, free[1:], strict=False)) > 3


def test_before_days_off_a_piece_is_played_so_that_it_does_not_rest_too_long():
    problem = replace(resting(rest_days=2), away=(Away(on(2), on(3)),))
    assert 1 in minutes(answer(problem), "small")
    assert answer(problem).rests == ()


def test_a_rest_that_cannot_be_avoided_is_said():
    found = answer(replace(resting(rest_days=2), away=(Away(on(2), on(8)),)))
    assert {(one.after, one.until, one.days) for one in found.rests} == {(on(1), on(9), 7)}
    assert any(note.startswith("Big rests for 7 days between") for note in found.notes)


def test_a_piece_never_played_does_not_rest():
    problem = resting(rest_days=0)
    new = Piece("new", "New", 30, on(29))
    first = min(minutes(answer(replace(problem, pieces=(*problem.pieces, new))), "new"))
    assert first > 3
    old = replace(new, last_played=on(-1))
    assert min(minutes(answer(replace(problem, pieces=(*problem.pieces, old))), "new")) == 0


def test_a_new_piece_is_not_begun_only_because_days_off_come():
    problem = replace(resting(rest_days=2), away=(Away(on(2), on(5)),))
    new = Piece("new", "New", 30, on(29))
    assert min(minutes(answer(replace(problem, pieces=(*problem.pieces, new))), "new")) > 5


def test_where_not_all_can_be_played_the_longest_rest_ends_first():
    a, b = (Piece(key, key, 20, on(29), None, 0, on(last)) for key, last in (("a", -3), ("b", -4)))
    settings = replace(PLAIN, rest_days=1)
    found = answer(practice(a, b, weekdays=(10,) * 7, settings=settings))
    assert [one.key for one in found.days[0].stretches] == ["b"]


def test_a_rest_that_ends_today_is_over():
    piece = Piece("a", "A", 30, on(9), None, 0, on(-9))
    found = answer(practice(piece, settings=replace(PLAIN, rest_days=2)))
    assert 0 in minutes(found, "a")
    assert found.rests == ()


def test_days_before_a_date_keep_room_for_what_must_not_rest():
    """Left to the end, the big piece would fill the last days whole."""
    big, small = Piece("a", "A", 900, on(9)), Piece("b", "B", 60, on(29), None, 0, on(-1))
    settings = replace(PLAIN, rest_days=2)
    assert answer(practice(big, small, weekdays=(120,) * 7, settings=settings)).rests == ()


def test_what_is_owed_most_gets_the_room():
    """Three days too short for a stretch, and a fourth that holds one: both pieces have waited."""
    a, b = Piece("a", "A", 60, on(6)), Piece("b", "B", 75, on(6))
    found = answer(practice(a, b, weekdays=(9, 9, 9, 10, 60, 60, 60)))
    assert [(one.key, one.minutes) for one in found.days[0].stretches] == [("b", 10)]


def test_no_share_is_more_than_the_longest_stretch():
    found = answer(practice(Piece("a", "A", 600, on(9)), weekdays=(200,) * 7))
    assert minutes(found, "a")[0] == 40


def test_stretches_keep_to_their_limits():
    pieces = [Piece(f"p{n}", f"P{n}", 95, on(20)) for n in range(6)]
    found = answer(practice(*pieces, settings=replace(PLAIN, rest_days=3)))
    every = [one.minutes for day in found.days for one in day.stretches]
    assert min(every) >= 10
    assert max(every) <= 40
    longer = answer(practice(*pieces, settings=replace(PLAIN, shortest=20)))
    assert min(one.minutes for day in longer.days for one in day.stretches) >= 20


def test_stretches_that_cannot_but_be_short_are_counted():
    found = answer(practice(Piece("a", "A", 10, on(1)), weekdays=(5,) * 7))
    assert "2 times there is room for less than 10 minutes at one go." in found.notes


def test_more_than_the_longest_stretch_is_parted_with_the_others_between():
    found = answer(practice(Piece("a", "A", 50, on(0), hard=3), Piece("b", "B", 10, on(0))))
    assert [(one.key, one.minutes) for one in found.days[0].stretches] == [
        ("a", 25),
        ("b", 10),
        ("a", 25),
    ]


def test_hard_pieces_come_first():
    easy, hard = Piece("a", "A", 30, on(0), hard=1), Piece("b", "B", 30, on(0), hard=2)
    assert [one.key for one in answer(practice(easy, hard)).days[0].stretches] == ["b", "a"]
    level = answer(practice(easy, replace(hard, hard=1)))
    assert [one.key for one in level.days[0].stretches] == ["a", "b"]


def test_pieces_are_done_some_days_before_their_date():
    piece = Piece("a", "A", 200, on(19))
    for spare in (0, 5):
        found = answer(practice(piece, settings=replace(PLAIN, spare_days=spare)))
        assert found.pieces[0].slack == spare
        assert found.pieces[0].finished_on == on(19 - spare)


# ---- before auditions


def audition(**settings):
    """Three weeks before an audition with a programme of 20 minutes."""
    wishes = replace(PLAIN, run_shares=(30, 20, 10), light_days=2, light_share=50)
    return practice(
        Piece("a", "A", 300, on(20)),
        auditions=(Audition("x", "Fairmont", on(21), ("a",), 20),),
        settings=replace(wishes, **settings),
    )


def test_run_throughs_grow_towards_the_audition():
    runs = minutes(answer(audition()), "x")
    weeks = [sum(1 for day in runs if start <= day < start + 7) for start in (0, 7, 14, 21)]
    assert weeks == [2, 4, 6, 0]  # 10, 20 and 30 percent of 420 minutes, 20 minutes each
    assert set(runs.values()) == {20}
    assert minutes(answer(audition(run_shares=())), "x") == {}


def test_a_run_through_ends_the_day():
    for day in answer(audition()).days:
        kinds = [one.kind for one in day.stretches]
        assert "run-through" not in kinds[:-1]


def test_there_is_one_run_through_in_the_last_week_at_least():
    runs = minutes(answer(audition(run_shares=(1, 1))), "x")
    assert len(runs) == 1
    assert 14 <= min(runs) <= 20


def test_run_throughs_give_way_to_dates():
    problem = audition()
    full = replace(problem, pieces=(Piece("a", "A", 60 * 21, on(20)),))
    found = answer(full)
    assert found.feasible
    assert minutes(found, "x") == {}
    assert "Fairmont: only 0 of 12 run-throughs fit, the dates come first." in found.notes


def test_run_throughs_leave_room_to_work():
    found = answer(replace(audition(), pieces=(Piece("a", "A", 840, on(20)),)))
    assert 0 < len(minutes(found, "x")) < 12  # not all that could be squeezed in
    left = 60 * 18 + 3 * 30 - 20 * len(minutes(found, "x"))
    assert left * 0.85 + 21 >= 840


def test_a_run_through_is_no_rest():
    key = "b"
    rest = Piece(key, "B", 60, on(20), None, 0, on(-1))
    problem = audition(rest_days=2)
    audition_of_both = replace(problem.auditions[0], pieces=("a", key))
    both = replace(problem, pieces=(*problem.pieces, rest), auditions=(audition_of_both,))
    apart = replace(both, auditions=problem.auditions)
    assert len(minutes(answer(both), key)) < len(minutes(answer(apart), key))


def test_a_day_with_a_run_through_needs_no_stretch_against_rest():
    problem = audition(rest_days=0)
    both = replace(
        problem,
        pieces=(*problem.pieces, Piece("b", "B", 60, on(20), None, 0, on(-1))),
        auditions=(replace(problem.auditions[0], pieces=("a", "b")),),
    )
    found = answer(both)
    assert minutes(found, "x")
    assert set(minutes(found, "b")) & set(minutes(found, "x")) == set()


def test_no_more_than_one_run_through_a_day_is_wished_for():
    problem = replace(audition(light_days=0), weekdays=(0, 0, 0, 0, 0, 90, 0), pieces=())
    short = replace(problem.auditions[0], pieces=(), minutes=5)
    found = answer(replace(problem, auditions=(short,)))
    assert sorted(minutes(found, "x")) == [5, 12, 19]
    assert not any("run-through" in note for note in found.notes)


def test_the_last_days_are_light():
    problem = audition(run_shares=())
    later = replace(problem, pieces=(Piece("a", "A", 1400, on(40)),))
    found = {(day.on - TODAY).days: day for day in answer(later).days}
    assert [found[number].light for number in (18, 19, 20, 21, 22)] == [
        False,
        True,
        True,
        True,
        False,
    ]
    assert all(found[number].minutes <= 30 for number in (19, 20, 21))
    heavy = answer(replace(later, settings=replace(later.settings, light_days=0, light_share=100)))
    assert all(day.minutes > 30 for day in heavy.days if 19 <= (day.on - TODAY).days <= 21)


def test_light_days_give_way_to_dates():
    found = answer(replace(audition(run_shares=()), pieces=(Piece("a", "A", 60 * 21, on(20)),)))
    assert found.feasible
    assert not any(day.light for day in found.days)
    assert "2 days before auditions could not be kept light." in found.notes


# ---- what has moved


def rows(found):
    return tuple(
        Row(day.on, one.key, one.minutes)
        for day in found.days
        for one in day.stretches
        if one.kind == "piece"
    )


def test_nothing_has_moved_when_the_same_plan_comes_again():
    found = answer(example())
    assert found.moved == ()
    assert answer(replace(example(), previous=rows(found))).moved == ("Nothing has moved.",)


def test_what_has_moved_is_said():
    problem = practice(Piece("a", "A", 60, on(1)), Piece("n", "N", 20, on(5)))
    before = (Row(on(-1), "a", 30), Row(on(0), "a", 10), Row(on(1), "a", 20), Row(on(1), "z", 15))
    assert minutes(answer(problem), "a") == {0: 30, 1: 30}
    assert answer(replace(problem, previous=before)).moved == (
        "A: 30 minutes more in all; 2 days changed, first today: 30 min, not 10.",
        "N: new in the plan, 20 minutes.",
        "z: no longer in the plan (15 minutes before).",
    )


def test_a_later_date_says_which_audition_it_comes_after():
    def later(going):
        problem = replace(tight(), auditions=(Audition("x", "Fairmont", going, ("a",), 0),))
        said = [one.sentence for one in answer(problem).changes if one.kind == "later date"]
        assert said[1] == "With Ballad ready 1 day later, on Wednesday 6 January, all fits."
        return said[0]

    plain = "With Aria ready 1 day later, on Wednesday 6 January, all fits"
    assert later(on(2)) == f"{plain}."
    assert later(on(1)) == f"{plain}; that is after Fairmont."


# ---- words and bad input


def test_care_is_taken():
    notes = " ".join(answer(example()).notes)
    assert "Stop playing if it hurts" in notes
    assert "rest days are part of practice" in notes
    assert "estimate" in notes


def test_nothing_to_plan():
    found = answer(practice(Piece("a", "A", 0, on(5))))
    assert (found.feasible, found.days) == (True, ())
    assert found.sentence == "No piece asks for more minutes, so there is nothing to plan."
    assert found.pieces[0].sentence == "No more minutes needed."
    assert answer(practice()).feasible


FAR = TODAY + timedelta(1001)


@pytest.mark.parametrize(
    ("changed", "message"),
    [
        ({"today": date(1900, 1, 1)}, "today: give a year"),
        ({"weekdays": (60,) * 6}, "weekdays: give seven numbers"),
        ({"weekdays": (1441,) * 7}, "weekdays: give 0 to 1,440"),
        ({"pieces": (Piece("a", "A", 1, TODAY),) * 2}, 'pieces: "a" stands there twice'),
        ({"pieces": (Piece("a", "A", -1, TODAY),)}, "piece A .a., minutes: give 0 to"),
        ({"pieces": (Piece("a", "A", 1, TODAY, hard=4),)}, "hard: give 0 to 3"),
        ({"pieces": (Piece("a", "A", 1, FAR),)}, "more than 1,000 days from today"),
        ({"pieces": (Piece("a", "A", 1, TODAY, on(1)),)}, "may begin only after it is due"),
        ({"pieces": (Piece("a", "A", 1, TODAY, None, 0, on(1)),)}, "last_played is after today"),
        ({"auditions": (Audition("x", "X", TODAY, ("q",), 5),)}, 'no piece has the key "q"'),
        ({"auditions": (Audition("x", "X", TODAY, (), -5),)}, "minutes: give 0 to"),
        ({"away": (Away(on(1), on(0)),)}, "away, away: first is after last"),
        ({"extra": (Extra(on(1), 5), Extra(on(1), 6))}, "stands there twice"),
        ({"previous": (Row(on(1), "a", -5),)}, "previous, 2027-01-05, a: give 0"),
        ({"settings": Settings(shortest=30)}, "longest has to be twice shortest"),
        ({"settings": Settings(rest_days=-1)}, "settings, rest_days: give 0"),
        ({"settings": Settings(run_shares=(101,))}, "settings, run_shares: give 0 to 100"),
        ({"settings": Settings(light_share=101)}, "settings, light_share: give 0 to 100"),
    ],
)
def test_a_problem_that_makes_no_sense(changed, message):
    with pytest.raises(ValueError, match=message):
        answer(replace(Problem(TODAY, (60,) * 7, ()), **changed))
