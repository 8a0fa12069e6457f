"""What a recording is held against, rule by rule, and what is said to be missing."""

from dataclasses import replace
from datetime import date, timedelta

import pytest
from dateutil.relativedelta import relativedelta
from hypothesis import given
from hypothesis import strategies as st

from planner import codec
from planner.recordings import (
    LOOKED_AT,
    Piece,
    Problem,
    Rules,
    Take,
    answer,
    example,
    usable_until,
)

TODAY = date(2026, 12, 8)
DUE = date(2027, 1, 5)
STUDY, SLOW, FAST = Piece("study", "Study"), Piece("slow", "Slow"), Piece("fast", "Fast")
OPEN = Rules("the Lindmoor recording", (STUDY, SLOW), due=DUE)


def take(key="t1", *pieces, **facts):
    facts = {"made_on": date(2026, 11, 20), "chosen": True} | facts
    return Take(key, key.replace("t", "Take "), pieces or ("study",), **facts)


def ask(rules, *takes, today=TODAY):
    return answer(Problem(today, rules, takes))


def one(rules=None, **facts):
    """Return how one take of the study stands, under OPEN with these rules."""
    return ask(replace(OPEN, **(rules or {})), take(**facts)).takes[0]


def line(found, rule):
    """Return the line of a rule."""
    return next(line for line in found.rules if line.rule == rule)


# Months

dates = st.dates(date(1990, 1, 1), date(2150, 12, 31))


@given(dates, st.integers(1, 400))
def test_months_are_counted_as_dateutil_counts_them(day, months):
    assert usable_until(day, months) == day + relativedelta(months=months)


@pytest.mark.parametrize(
    ("made_on", "months", "until"),
    [
        (date(2026, 8, 31), 6, date(2027, 2, 28)),
        (date(2027, 8, 31), 6, date(2028, 2, 29)),  # 2028 is a leap year
        (date(2026, 8, 14), 6, date(2027, 2, 14)),
        (date(2026, 12, 1), 12, date(2027, 12, 1)),
        (date(2026, 10, 31), 1, date(2026, 11, 30)),
    ],
)
def test_a_month_without_that_day_ends_on_its_last(made_on, months, until):
    """Facts of the calendar."""
    assert usable_until(made_on, months) == until


def test_more_months_than_there_are_years_are_refused():
    with pytest.raises(ValueError, match="give fewer months"):
        usable_until(TODAY, 100_000)


# One take against each rule


@pytest.mark.parametrize(
    ("rules", "bad", "good", "rule", "why"),
    [
        ({"unedited": True}, {"edited": True}, {"edited": False}, "unedited", "is edited"),
        ({"piano": "with"}, {"with_piano": False}, {"with_piano": True}, "piano", "without piano"),
        ({"piano": "without"}, {"with_piano": True}, {"with_piano": False}, "piano", "with piano"),
        ({"video": True}, {"video": False}, {"video": True}, "video", "has no picture"),
        ({"video": False}, {"video": True}, {"video": False}, "video", "sound alone is asked for"),
        ({"max_minutes": 5}, {"minutes": 5.1}, {"minutes": 5}, "length", "longer than 5 minutes"),
        (
            {"max_age_months": 6},
            {"made_on": date(2026, 7, 4)},
            {"made_on": date(2026, 7, 5)},
            "age",
            "is too old: it could be used until Monday 4 January, and it is due Tuesday 5 January",
        ),
    ],
)
def test_a_take_that_breaks_a_rule_does_not_serve(rules, bad, good, rule, why):
    found = one(rules, **bad)
    assert not found.serves
    assert [refusal.rule for refusal in found.refusals] == [rule]
    assert why in found.refusals[0].why
    assert one(rules, **good).serves
    assert one({}, **bad).serves
    answered = ask(replace(OPEN, **rules), take(**bad))
    assert answered.pieces[0].take is None
    assert why in answered.pieces[0].sentence
    assert line(answered, rule).status == "missing"
    assert line(ask(replace(OPEN, **rules), take(**good)), rule).status == "met"


@pytest.mark.parametrize(
    ("rules", "rule"),
    [
        ({"unedited": True}, "unedited"),
        ({"piano": "with"}, "piano"),
        ({"piano": "without"}, "piano"),
        ({"camera": "the whole player"}, "camera"),
        ({"speaking": False}, "speaking"),
        ({"speaking": True}, "speaking"),
        ({"names": False}, "names"),
        ({"names": True}, "names"),
        ({"max_minutes": 5}, "length"),
        ({"video": True}, "video"),
        ({"form": "PDF of the music with it"}, "other rules"),
    ],
)
def test_what_nobody_has_said_has_to_be_looked_at(rules, rule):
    found = one(rules)
    assert (found.serves, found.look) == (True, (rule,))
    answered = ask(replace(OPEN, pieces=(STUDY,), **rules), take())
    status = "not checked" if rule == "other rules" else "to look at"
    assert line(answered, rule).status == status
    assert (answered.ready, answered.next) == (False, f"Look at Take 1: {rule}.")
    seen = ask(replace(OPEN, pieces=(STUDY,), **rules), take(seen=(rule,)))
    assert line(seen, rule).status == "met"
    assert seen.ready
    assert one({}).look == ()


def test_what_is_known_to_be_wrong_cannot_be_looked_away():
    assert not one({"piano": "with"}, with_piano=False, seen=("piano",)).serves


@pytest.mark.parametrize(
    "rules",
    [{"piano": "either"}, {"unedited": False}, {"fixed_order": False}],
)
def test_a_rule_that_only_allows_is_met(rules):
    found = ask(replace(OPEN, **rules), take(with_piano=True, edited=True))
    assert {each.status for each in found.rules[1:]} == {"met"}


def test_without_a_due_date_age_goes_by_today():
    rules = {"max_age_months": 6, "due": None}
    assert one(rules, made_on=TODAY - timedelta(183)).serves
    found = one(rules, made_on=date(2026, 6, 7))
    assert found.refusals[0].why.endswith(
        "until Monday 7 December, and today is Tuesday 8 December"
    )


def test_a_take_says_until_when_it_may_be_used():
    rules = replace(OPEN, pieces=(STUDY, SLOW), max_age_months=6)
    found = ask(rules, take(made_on=date(2026, 8, 14)), take("t2", "slow"))
    assert found.takes[0].sentence == "Serves; this take may be used until Sunday 14 February."
    assert found.pieces[0].sentence == "Take 1 serves: it may be used until Sunday 14 February."
    assert found.use_by == date(2027, 2, 14)
    assert line(found, "age").sentence == (
        "No older than 6 months. What serves may be used until Sunday 14 February."
    )
    assert ask(OPEN, take()).use_by is None


# Files and their order


def test_a_file_for_each_piece_holds_no_two_and_nothing_else():
    rules = replace(OPEN, files="one each")
    assert ask(rules, take("t1", "study", "slow")).takes[0].refusals[0].rule == "files"
    assert ask(rules, take("t1", "encore")).takes[0].refusals[0].why == (
        "holds 1 more than is asked for"
    )
    found = ask(rules, take(), take("t2", "slow"))
    assert [(file.number, file.take) for file in found.files] == [(1, "t1"), (2, "t2")]
    assert line(found, "files").status == "met"


def test_one_file_holds_all_and_nothing_else():
    rules = replace(OPEN, files="one file")
    found = ask(rules, take())
    assert found.takes[0].refusals[0].why == "is without “Slow”, and one file is asked for"
    assert line(found, "files").status == "missing"
    assert found.next == "Record “Study” and “Slow” in one file by Tuesday 5 January."
    assert not ask(rules, take("t1", "study", "slow", "fast")).takes[0].serves
    found = ask(rules, take("t1", "slow", "study"))
    assert [piece.take for piece in found.pieces] == ["t1", "t1"]
    assert [(file.take, file.pieces) for file in found.files] == [("t1", ("slow", "study"))]


def test_a_fixed_order_is_kept_within_a_file():
    rules = replace(OPEN, files="one file", fixed_order=True)
    found = ask(rules, take("t1", "slow", "study"))
    assert found.takes[0].refusals[0].why == "is not in the order asked for, “Study” and “Slow”"
    assert line(found, "order").status == "missing"
    assert ask(rules, take("t1", "study", "slow")).takes[0].serves
    assert ask(replace(rules, fixed_order=None), take("t1", "slow", "study")).takes[0].serves


def test_where_nothing_is_said_of_files_any_will_do():
    found = ask(OPEN, take("t1", "slow", "encore", "study"), take("t2", "study", chosen=False))
    assert [piece.take for piece in found.pieces] == ["t1", "t1"]
    assert "Not stated: files, order" in found.notes[0]


def test_plain_names_are_offered_where_none_may_stand_in_a_file():
    pieces = (Piece("a", "Étude nº 2, “Vite”"), Piece("b", "Соната"), FAST)
    rules = replace(OPEN, pieces=pieces, files="one each", names=False)
    takes = [
        take("t1", "a", file_name="Mara Amadi etude.MOV"),
        take("t2", "b", file_name="no suffix"),
        take("t3", "fast", file_name="x.m a"),
    ]
    names = [file.name for file in ask(rules, *takes).files]
    assert names == ["01-etude-no-2-vite.mov", "02-piece", "03-fast"]
    long = replace(rules, pieces=(Piece("a", "A " + "very " * 20 + "long title"),))
    assert len(ask(long, takes[0]).files[0].name) <= len("01-") + 40 + len(".mov")
    for change in ({"names": None}, {"names": True}):
        assert {file.name for file in ask(replace(rules, **change), *takes).files} == {""}


def test_a_missing_piece_keeps_its_number():
    rules = replace(OPEN, files="one each")
    assert [file.number for file in ask(rules, take("t2", "slow")).files] == [2]


# All together


def test_too_long_together_is_missing_though_each_is_short_enough():
    rules = replace(OPEN, max_minutes=8)
    takes = [take(minutes=5.5), take("t2", "slow", minutes=3)]
    found = ask(rules, *takes)
    assert (
        line(found, "length").sentence
        == "At most 8 minutes together. What serves is 8.5 minutes long."
    )
    assert line(found, "length").status == "missing"
    assert found.next == (
        "Record it shorter by Tuesday 5 January: together it is 8.5 minutes, "
        "and 8 minutes are the most."
    )
    assert not found.ready
    assert ask(replace(rules, max_minutes=9), *takes).ready


def test_one_file_of_all_counts_its_minutes_once():
    rules = replace(OPEN, files="one file", max_minutes=8)
    assert ask(rules, take("t1", "study", "slow", minutes=7)).ready


def test_what_was_chosen_comes_first_then_what_is_known_then_the_latest():
    rules = replace(OPEN, pieces=(STUDY,), unedited=True)
    late, sure = take("t2", made_on=TODAY, chosen=False), take("t1", edited=False, chosen=False)
    assert ask(rules, late, sure).pieces[0].take == "t1"
    assert ask(rules, replace(late, chosen=True), sure).pieces[0].take == "t2"
    later = replace(sure, key="t3", made_on=TODAY)
    assert ask(rules, sure, later).pieces[0].take == "t3"


def test_a_chosen_take_that_does_not_serve_is_named_beside_the_one_that_does():
    rules = replace(OPEN, pieces=(STUDY,), unedited=True)
    found = ask(rules, take(edited=True), take("t2", edited=False, chosen=False))
    assert (found.pieces[0].take, found.pieces[0].chosen) == ("t2", False)
    assert found.pieces[0].sentence == "Take 2 serves. The one chosen does not: Take 1 is edited."
    assert found.next == "Choose the take to send of “Study”."
    assert (found.ready, {each.status for each in found.rules}) == (False, {"met"})
    found = ask(rules, take(edited=True, chosen=False), take("t2", edited=False))
    assert found.pieces[0].sentence == "Take 2 serves."
    assert found.ready


@pytest.mark.parametrize(
    ("takes", "today", "next_"),
    [
        ((), TODAY, "Record “Study” and “Slow” by Tuesday 5 January."),
        ((take(),), TODAY, "Record “Slow” by Tuesday 5 January."),
        ((take(), take("t2", "slow", made_on=date(2025, 1, 1))), TODAY,
         "Record “Slow” again by Tuesday 5 January."),
        ((take(), take("t2", "slow")), TODAY,
         "All that is asked for is there: send it by Tuesday 5 January."),
        ((take(),), date(2027, 1, 6), "Record “Slow”; it was due Tuesday 5 January."),
    ],
)  # fmt: skip
def test_what_comes_next_is_said_in_one_sentence(takes, today, next_):
    assert ask(replace(OPEN, max_age_months=12), *takes, today=today).next == next_


def test_without_pieces_or_a_date_there_is_little_to_say():
    found = ask(replace(OPEN, pieces=(), due=None))
    assert found.next == "No piece is asked for in the Lindmoor recording: add what it asks for."
    assert (found.ready, found.rules[0].status) == (False, "missing")
    assert ask(replace(OPEN, due=None)).next == "Record “Study” and “Slow”."


def test_nothing_recorded_meets_no_rule():
    found = ask(replace(OPEN, unedited=True, camera="side", form="PDF"))
    statuses = [(each.rule, each.status) for each in found.rules]
    assert statuses == [
        ("pieces", "missing"), ("unedited", "missing"), ("camera", "missing"),
        ("other rules", "not checked"),
    ]  # fmt: skip
    assert found.notes[-1].endswith("verify with the institution itself.")


def test_the_example_has_one_of_each():
    found = answer(example())
    assert [piece.take for piece in found.pieces] == ["t1", "t3", None, None]
    assert {each.status for each in found.rules} == {"met", "missing", "to look at", "not checked"}
    assert codec.read(Problem, codec.write(example())) == example()


@pytest.mark.parametrize(
    ("rules", "takes", "message"),
    [
        ({"pieces": (STUDY, STUDY)}, (), '2 pieces have the key "study"'),
        ({}, (take(), take()), '2 takes have the key "t1"'),
        ({"max_age_months": 0}, (), "give the age in whole months"),
        ({"max_minutes": 0}, (), "give the most minutes"),
        ({}, (replace(take(), pieces=()),), '"Take 1" holds no piece'),
        ({}, (take("t1", "slow", "slow"),), "has a piece twice"),
        ({}, (take(minutes=-1),), "minutes long: correct that"),
        ({}, (take(seen=("colour",)),), 'looked at for "colour": say unedited, piano'),
    ],
)
def test_what_cannot_be_judged_is_refused(rules, takes, message):
    with pytest.raises(ValueError, match=message):
        ask(replace(OPEN, **rules), *takes)


def test_the_order_of_the_takes_changes_nothing():
    problem = example()
    assert answer(replace(problem, takes=problem.takes[::-1])) == answer(problem)
    assert len(LOOKED_AT) == len(set(LOOKED_AT))
