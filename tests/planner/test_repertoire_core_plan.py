"""The plan as a whole: the same on every run, bounded, as far as it goes, and what is added."""

import json
import os
import subprocess
import sys
from dataclasses import replace
from itertools import combinations
from random import Random

import pytest

from planner import codec
from planner.repertoire import (
    About,
    Added,
    Again,
    Answer,
    Audition,
    Binding,
    Group,
    Hearing,
    Piece,
    Problem,
    Rule,
    Slot,
    Together,
    answer,
    example,
    programme,
    solve,
)
from planner.repertoire import aims as aims_of
from planner.repertoire.adding import added
from planner.repertoire.aims import Found
from planner.repertoire.case import prepare
from planner.repertoire.cover import OutOfTime, cover, fewest, relaxation, shortfalls
from planner.repertoire.mip import Solved
from planner.repertoire.rows import Short


def library(dice, number):
    return tuple(
        Piece(
            f"p{n:02}",
            f"Piece {n}",
            # Few different times, so that many plans are equally good.
            dice.choice((20, 30, 60, 60, 120)),
            dice.choice(("solo", "etude")),
            composer=dice.choice(("Ahn", "Bell", "Cole", "Dorn")),
            character=(dice.choice(("slow", "brisk", "dance")),),
            seconds=dice.choice((120, 180, 240)),
        )
        for n in range(number)
    )


def season(seed, auditions=4, pieces=24):
    """An invented season with lists, constraints, a choice and two rounds."""
    dice = Random(seed)
    owned = library(dice, pieces)
    keys = [piece.key for piece in owned]

    def hearing(key):
        listed = Rule(About.PIECE, tuple(dice.sample(keys, pieces // 2)))
        slots = (
            Slot("x", "X", least=2, rules=(listed,)),
            Slot("y", "Y", kind="etude", inside="g"),
            Slot("z", "Z", kind="solo", least=1, most=2, inside="g"),
        )
        bond = Together("apart", dice.choice((Binding.COMPOSERS, Binding.CONTRASTING)), "x")
        return Hearing(key, key, slots, (Group("g", "G", dice.choice((1, 2))),), (bond,))

    return Problem(
        owned,
        tuple(
            Audition(
                f"a{n}",
                f"A{n}",
                tuple(hearing(f"h{h}") for h in range(dice.choice((1, 1, 2)))),
                dice.choice(tuple(Again)),
                worth=dice.randrange(1, 5),
            )
            for n in range(auditions)
        ),
        preferred=tuple(dice.sample(keys, pieces // 3)),
    )


def shuffled(problem, seed):
    dice = Random(seed)

    def mixed(some):
        return tuple(dice.sample(some, len(some)))

    return replace(problem, pieces=mixed(problem.pieces), auditions=mixed(problem.auditions))


# ---- the same on every run


def test_two_processes_and_any_order_of_the_pieces_give_the_same_plan(tmp_path):
    problem = season(1, auditions=6, pieces=40)
    plans = []
    for seed in range(3):
        path = tmp_path / f"{seed}.json"
        mixed = shuffled(problem, seed) if seed else problem
        path.write_text(json.dumps(codec.write(replace(mixed, marginals=False))))
        done = subprocess.run(
            [sys.executable, "-m", "planner", "repertoire", str(path)],
            env=os.environ | {"PYTHONHASHSEED": str(seed)},
            capture_output=True,
            check=True,
        )
        plan = codec.read(Answer, json.loads(done.stdout)).plan
        assert plan.proven
        assert plan.settled
        plans.append((frozenset(plan.pieces), frozenset(plan.placed)))
    assert len(set(plans)) == 1


def test_pieces_and_slots_come_in_the_problems_order():
    problem = shuffled(season(2), 1)
    plan = answer(replace(problem, marginals=False)).plan
    order = [piece.key for piece in problem.pieces]
    assert list(plan.pieces) == sorted(plan.pieces, key=order.index)
    order = [audition.key for audition in problem.auditions]
    told = [place.audition for place in plan.placed]
    assert told == sorted(told, key=order.index)


def test_what_has_nothing_to_do_with_a_piece_does_not_throw_it_out():
    pieces = tuple(Piece(f"p{n}", f"P{n}", 60) for n in range(12))
    one = Audition("a", "A", (Hearing("h", "h", (Slot("x", "X"),)),))
    chosen = answer(Problem(pieces, (one,))).plan.pieces
    idle = next(piece.key for piece in pieces if piece.key not in chosen)
    assert answer(Problem(pieces, (one,), banned=(idle,))).plan.pieces == chosen
    more = (Piece("z", "Z", 10), *pieces)
    other = Audition("b", "B", (Hearing("h", "h", (Slot("x", "X", judged={"z": True}),)),))
    listed = replace(one.hearings[0].slots[0], judged={"z": False})
    one = replace(one, hearings=(replace(one.hearings[0], slots=(listed,)),))
    assert set(chosen) <= set(answer(Problem(more, (one, other))).plan.pieces)


def test_the_example_round_trips():
    found = answer(example())
    assert found.plan.complete
    assert codec.read(Answer, codec.write(found)) == found
    assert codec.read(Problem, codec.write(example())) == example()


def test_auditions_that_ask_the_same_are_filled_alike():
    problem = season(8)
    twins = tuple(replace(a, key=f"{a.key} again", name="again") for a in problem.auditions)
    alone, both = answer(problem), answer(replace(problem, auditions=problem.auditions + twins))
    assert both.plan.pieces == alone.plan.pieces
    half = len(alone.plan.placed)
    assert both.plan.placed[:half] == alone.plan.placed
    assert [place.pieces for place in both.plan.placed[half:]] == [
        place.pieces for place in alone.plan.placed
    ]
    assert {(one.least, one.most) for one in both.added} == {(0, 0)}


def test_the_example_says_what_planning_together_saves():
    found = answer(example())
    assert (found.plan.minutes, found.apart) == (1320, 1740)
    assert found.plan.minutes <= found.greedy
    assert [(one.audition, one.most) for one in found.added] == [
        ("fairmont", 720),
        ("harlow", 0),
        ("westbrook", 0),
    ]
    assert [point.minutes for point in found.frontier] == [180, 480, 600, 1320]
    assert "22 hours" in found.sentence
    assert (found.impossible, found.notes) == ((), ())


def test_ranges_are_noted(monkeypatch):
    rough = (Added("fairmont", 0, 720),)
    monkeypatch.setattr(solve, "added", lambda case, plan, seconds: rough)
    assert any("range" in note for note in answer(example()).notes)


# ---- how far from the bound


@pytest.mark.parametrize("seed", range(5))
def test_the_relaxation_is_a_bound_and_the_plan_never_goes_below(seed):
    case = prepare(season(seed))
    plan = cover(case, seconds=20)
    assert plan.proven
    assert 0 < relaxation(case) <= plan.bound == plan.minutes


@pytest.fixture
def late(monkeypatch):
    """Let the time run out before anything is found, for more than so many columns."""

    def late_above(columns):
        def best(model, aims, seconds):
            found = aims_of.best(model, aims, seconds)
            return found if len(model.lower) <= columns else Found(None, found.bound)

        monkeypatch.setattr(programme, "best", best)

    return late_above


def test_without_time_there_is_a_plan_still_and_it_says_that_it_is_not_proven(late):
    case = prepare(season(3, auditions=12, pieces=60))
    best = cover(case, seconds=30)
    late(300)
    hasty = cover(case, seconds=30)
    assert (hasty.proven, hasty.settled, hasty.complete) == (False, False, True)
    assert hasty.bound <= best.minutes < hasty.minutes
    assert {place.audition for place in hasty.placed} == case.kept


def test_not_even_time_for_one_audition_is_an_error_that_says_what_to_do(late):
    late(0)
    with pytest.raises(OutOfTime, match="allow more"):
        cover(prepare(season(3)), seconds=10)


@pytest.mark.parametrize(("seconds", "share"), [(60, 6.0), (5, 1.0)])
def test_the_preferences_are_given_a_small_part_of_the_time(monkeypatch, seconds, share):
    given = []

    def asked(model, cost, seconds, nodes=None):
        given.append(seconds)
        return Solved(None, 0)

    monkeypatch.setattr(programme, "solve", asked)
    found = cover(prepare(example()), seconds=seconds)
    assert given == [share]
    assert (found.proven, found.settled, found.minutes) == (True, False, 1320)


# ---- what cannot be covered is covered as far as it can be


def one(*slots, together=(), groups=(), pieces=(), reuse=False):
    hearing = Hearing("h", "h", slots, groups, together, reuse)
    return Problem(tuple(pieces), (Audition("a", "A", (hearing,)),))


TWO = (Piece("p", "P", 10, "solo", seconds=100), Piece("q", "Q", 30, "etude", seconds=500))
AT_MOST_300 = Together("limit", Binding.LENGTH, most=300)


@pytest.mark.parametrize(
    ("problem", "short", "placed", "minutes"),
    [
        (one(Slot("x", "X", least=3), pieces=TWO), Short(missing=1), [("p", "q")], 40),
        (one(Slot("x", "X", "excerpt"), pieces=TWO), Short(missing=1), [()], 0),
        (one(Slot("x", "X"), pieces=()), Short(missing=1), [()], 0),
        (
            one(Slot("x", "X", least=2), pieces=TWO, together=(AT_MOST_300,)),
            Short(over=300),
            [("p", "q")],
            40,
        ),
        (
            one(Slot("x", "X"), pieces=TWO, together=(replace(AT_MOST_300, most=90),)),
            Short(over=10),
            [("p",)],
            10,
        ),
        # Of two ways the one with fewer pieces missing, though it takes longer to prepare.
        (
            one(
                Slot("x", "X", "excerpt", least=2, inside="g"),
                Slot("y", "Y", "etude", least=2, inside="g"),
                groups=(Group("g", "G", 1),),
                pieces=TWO,
            ),
            Short(missing=1),
            [("q",)],
            30,
        ),
        (
            one(Slot("x", "X"), pieces=TWO, together=(Together("t", Binding.AT_LEAST, least=2),)),
            Short(unmet=1),
            [("p",)],
            10,
        ),
        (
            one(
                Slot("x", "X", inside="g"),
                groups=(Group("g", "G", 2),),
                pieces=TWO,
            ),
            Short(unmet=1),
            [("p",)],
            10,
        ),
    ],
)
def test_the_least_is_left_lacking(problem, short, placed, minutes):
    case = prepare(problem)
    plan = cover(case, seconds=10)
    assert not plan.complete
    assert [place.pieces for place in plan.placed] == placed
    assert sum(place.lacking for place in plan.placed) == short.missing
    assert (plan.unmet, plan.over, plan.minutes) == (short.unmet, short.over, minutes)
    assert list(shortfalls(case).values()) == [short]


def test_one_audition_that_cannot_be_covered_leaves_the_others_alone():
    good = season(4, auditions=2)
    bad = Audition("bad", "Bad", (Hearing("h", "h", (Slot("x", "X", "aria"),)),))
    plan = answer(replace(good, auditions=(*good.auditions, bad))).plan
    assert not plan.complete
    assert [place.lacking for place in plan.placed if place.audition == "bad"] == [1]
    assert plan.pieces == answer(good).plan.pieces


def test_bans_can_make_an_audition_impossible_and_pins_never_do():
    solo = one(Slot("x", "X", "solo"), pieces=TWO)
    assert not answer(replace(solo, banned=("p",))).plan.complete
    pinned = answer(replace(solo, pinned=("q",))).plan
    assert (pinned.pieces, pinned.minutes, pinned.complete) == (("p", "q"), 40, True)


@pytest.mark.parametrize(
    "problem",
    [
        Problem((), ()),
        Problem(TWO, ()),
        replace(one(Slot("x", "X"), pieces=TWO), auditions=()),
        Problem(TWO, (Audition("a", "A", ()),)),
        one(pieces=TWO),
        one(Slot("x", "X", least=0), pieces=TWO),
        one(groups=(Group("g", "G"),), pieces=TWO),
        Problem(TWO, (Audition("a", "A", (Hearing("h", "h", (Slot("x", "X"),)),), kept=False),)),
    ],
)
def test_where_nothing_is_asked_nothing_is_prepared(problem):
    plan = answer(problem).plan
    assert (plan.pieces, plan.minutes, plan.bound) == ((), 0, 0)
    assert plan.proven
    assert plan.complete
    assert answer(replace(problem, pinned=())).plan == plan


# ---- what each audition adds, and some auditions alone


@pytest.mark.parametrize("seed", range(4))
def test_an_audition_adds_what_the_plan_takes_more_with_it(seed):
    problem = season(seed)
    found = answer(problem)
    assert [one.audition for one in found.added] == [one.key for one in problem.auditions]
    for one in found.added:
        without = tuple(replace(a, kept=a.key != one.audition) for a in problem.auditions)
        rest = answer(replace(problem, auditions=without, marginals=False)).plan.minutes
        assert one.least == one.most == found.plan.minutes - rest


def test_ranges_of_what_is_added_hold_when_the_time_is_over():
    case = prepare(season(5))
    plan = cover(case, seconds=20)
    for rough, sure in zip(added(case, plan, 0), added(case, plan, 20), strict=True):
        assert rough.least <= sure.least == sure.most <= rough.most


def test_what_is_added_is_left_out_unless_asked_for():
    assert answer(replace(season(1), marginals=False)).added == ()


def test_only_auditions_worth_enough_are_covered():
    problem = season(6, auditions=5)
    case = prepare(problem)
    worths = {audition.key: audition.worth for audition in problem.auditions}
    every = [
        frozenset(some) for number in range(6) for some in combinations(sorted(worths), number)
    ]
    minutes = {some: cover(case, some, seconds=20, hours_only=True).minutes for some in every}
    for worth in range(sum(worths.values()) + 1):
        found = cover(case, seconds=20, worth=worth)
        enough = [some for some in every if sum(worths[key] for key in some) >= worth]
        least = min(minutes[some] for some in enough)
        most = max(sum(worths[key] for key in some) for some in enough if minutes[some] == least)
        assert found.minutes == least
        assert sum(worths[key] for key in found.auditions) == most


@pytest.mark.parametrize("at_hand", [0, 5, 10_000])
def test_the_fewest_minutes_are_found_from_any_plan_at_hand(at_hand):
    case = prepare(season(7))
    best = cover(case, seconds=20).minutes
    found = fewest(case, case.kept, best + at_hand, seconds=20)
    assert (found.least, found.most) == (best, best)
