"""The least music, what each audition adds and the frontier, against independent oracles."""

from dataclasses import replace
from functools import cache

import pytest

from planner.repertoire.adding import added
from planner.repertoire.case import prepare
from planner.repertoire.cover import cover
from planner.repertoire.frontier import frontier
from tests.planner.repertoire_cases import small, typical
from tests.planner.repertoire_oracles import Brute, PerPiece

SECONDS = 30.0
SMALL = range(300)
# 8 auditions of 5 slots and 40 pieces, every fourth with tight limits and more private lists.
# `make bench` compares larger ones.
TYPICAL, SIZE = range(100), (8, 5, 40)


@cache
def brute(seed):
    return Brute(small(seed))


def of_possible(seed):
    """The problem with only those auditions kept that can be covered."""
    problem, oracle = small(seed), brute(seed)
    kept = tuple(replace(a, kept=oracle.possible(a.key)) for a in problem.auditions)
    return replace(problem, auditions=kept)


def test_the_small_problems_hold_enough_of_everything():
    best = [brute(seed).best() for seed in SMALL]
    assert 120 < sum(one is not None for one in best) < 240
    kept = [sum(a.kept for a in of_possible(seed).auditions) for seed in SMALL]
    assert sum(number > 1 for number in kept) > 60


@pytest.mark.parametrize("tens", range(0, len(SMALL), 30))
def test_the_least_music_is_what_trying_every_set_of_pieces_gives(tens):
    for seed in SMALL[tens : tens + 30]:
        best, plan = brute(seed).best(), cover(prepare(small(seed)), seconds=SECONDS)
        assert plan.proven, seed
        assert plan.complete == (best is not None), seed
        if best:
            assert (plan.minutes, len(plan.pieces)) == best, seed


@pytest.mark.parametrize("tens", range(0, len(SMALL), 60))
def test_auditions_that_can_be_covered_are_whatever_else_is_asked(tens):
    for seed in SMALL[tens : tens + 60]:
        problem = of_possible(seed)
        kept = [a.key for a in problem.auditions if a.kept]
        plan = cover(prepare(problem), seconds=SECONDS)
        assert plan.complete and plan.proven, seed
        assert (plan.minutes, len(plan.pieces)) == brute(seed).best(kept), seed
        # Of plans as good it is the one with the most preferred pieces.
        liked = len(set(plan.pieces) & set(problem.preferred))
        assert plan.settled and liked == brute(seed).likings(kept), seed


@pytest.mark.parametrize("tens", range(0, len(TYPICAL), 20))
def test_the_least_music_is_what_two_general_solvers_find(tens):
    for seed in TYPICAL[tens : tens + 20]:
        problem = typical(seed, *SIZE, hard=seed % 4 == 3)
        plan = cover(prepare(problem), seconds=SECONDS)
        each = PerPiece(problem)
        assert plan.proven and plan.complete, seed
        assert (plan.minutes, len(plan.pieces)) == each.by_scipy() == each.by_cp_sat(), seed


def test_the_oracles_agree_with_each_other():
    # The integer programme of the oracles knows every kind of constraint, too.
    for seed in SMALL[:60]:
        assert PerPiece(small(seed)).by_cp_sat() == brute(seed).best(), seed


def test_what_each_audition_adds_is_the_best_with_it_less_the_best_without_it():
    for seed in SMALL[:60]:
        problem, oracle = of_possible(seed), brute(seed)
        case, kept = prepare(problem), [a.key for a in problem.auditions if a.kept]
        found = added(case, cover(case, seconds=SECONDS), SECONDS)
        whole = oracle.best(kept)[0]
        for one, key in zip(found, kept, strict=True):
            without = oracle.best([other for other in kept if other != key])[0]
            assert (one.audition, one.least, one.most) == (key, *[whole - without] * 2), seed


def test_the_frontier_is_what_trying_every_set_of_auditions_gives():
    for seed in SMALL[:100]:
        found = frontier(prepare(small(seed)), SECONDS)
        assert all(point.proven for point in found), seed
        assert [(point.minutes, point.worth) for point in found] == brute(seed).frontier(), seed
