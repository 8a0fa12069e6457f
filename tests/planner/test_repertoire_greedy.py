"""The usual way, and each audition planned apart."""

from dataclasses import replace

import pytest

from planner.repertoire.case import prepare
from planner.repertoire.check import check
from planner.repertoire.cover import cover
from planner.repertoire.greedy import apart_minutes, greedy_minutes, usual
from planner.repertoire.model import Audition, Binding, Hearing, Piece, Problem, Slot, Together
from planner.repertoire.rules import About, Rule
from planner.repertoire.seating import Seating, Undecided
from tests.planner.repertoire_cases import small, typical
from tests.planner.repertoire_oracles import Brute


def slot(key, *pieces, least=1):
    return Slot(key, key, least=least, rules=(Rule(About.PIECE, words=pieces),))


def audition(key, *slots, together=()):
    return Audition(key, key, (Hearing("live", "Live", slots, together=together),))


def of(prep, *auditions, **more):
    pieces = tuple(
        Piece(key, key, minutes, seconds=seconds) for key, (minutes, seconds) in prep.items()
    )
    return prepare(Problem(pieces, auditions, **more))


def test_it_covers_whatever_can_be_covered_and_never_with_less_than_the_least():
    for seed in range(100):
        problem = small(seed)
        best, plan = Brute(problem).best(), usual(prepare(problem))
        assert (plan is None) == (best is None), seed
        if plan:
            kept = [a.key for a in problem.auditions]
            assert check(problem, kept, plan.placed, plan.pieces) == plan.minutes >= best[0], seed
            assert apart_minutes(prepare(problem)) >= best[0], seed
        else:
            assert greedy_minutes(prepare(problem)) is None, seed


@pytest.mark.parametrize("hard", [False, True])
def test_it_comes_close_to_the_least_and_is_the_same_on_every_run(hard):
    least = plenty = 0
    for seed in range(10):
        problem = typical(seed, hard=hard)
        one = usual(prepare(problem))
        other = usual(prepare(replace(problem, pieces=problem.pieces[::-1])))
        assert sorted(one.pieces) == sorted(other.pieces)
        best = cover(prepare(problem), seconds=30).minutes
        assert one.minutes >= best
        least, plenty = least + best, plenty + one.minutes
    assert least < plenty < 1.1 * least


def test_a_piece_is_taken_where_others_have_to_move_for_it():
    # "a" fits both places and is taken first; "b" fits only the one where "a" may sit.
    case = of(
        {"a": (10, 60), "b": (20, 60), "c": (50, 60)},
        audition("x", slot("s", "a", "b"), slot("t", "a", "c")),
    )
    assert greedy_minutes(case) == 30


def test_what_turns_out_to_be_superfluous_is_taken_away():
    # "a" looks best at first (7 minutes a place, "b" and "c" 8), but needs both of them too.
    case = of(
        {"a": (14, 60), "b": (16, 60), "c": (16, 60)},
        audition("w", slot("s", "a", "b")),
        audition("x", slot("s", "a", "c")),
        audition("y", slot("s", "b")),
        audition("z", slot("s", "c")),
    )
    plan = usual(case)
    assert (plan.pieces, plan.minutes) == (("b", "c"), 32)


def test_where_no_piece_helps_by_itself_the_audition_is_completed_at_once():
    # Ten minutes in all: no piece but two together can do it.
    at_least = Together("ten minutes", Binding.LENGTH, None, least=600)
    case = of(
        {"a": (1, 60), "b": (1, 60), "c": (40, 300), "d": (40, 300)},
        audition("x", slot("s", "a", "c"), slot("t", "b", "d"), together=(at_least,)),
    )
    assert usual(case).pieces == ("c", "d")


def test_apart_is_the_union_of_every_auditions_own_plan():
    # Each by itself takes its own short piece; together the one they share is shorter.
    case = of(
        {"a": (10, 60), "b": (10, 60), "c": (15, 60), "pin": (3, 60)},
        audition("x", slot("s", "a", "c")),
        audition("y", slot("s", "b", "c")),
        pinned=("pin",),
    )
    assert apart_minutes(case) == 10 + 10 + 3
    assert cover(case, seconds=10).minutes == 15 + 3


def test_a_hearing_can_be_filled_exactly_when_trying_everything_says_so():
    undecided = 0
    for seed in range(400):
        problem = small(seed)
        case, oracle = prepare(problem), Brute(problem)
        for one in problem.auditions:
            try:
                full = [
                    Seating(unit).fill(range(len(case.pieces))) is not None
                    for unit in case.units
                    if unit.audition == one.key
                ]
            except Undecided:
                undecided += 1
            else:
                assert all(full) == oracle.possible(one.key), (seed, one.key)
    assert undecided < 10
