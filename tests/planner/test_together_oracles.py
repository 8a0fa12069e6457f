"""The best dates for all together against every combination and a plain integer programme."""

from functools import cache

import pytest

from planner.together import answer
from tests.planner.together_cases import season, small
from tests.planner.together_oracles import Brute, Pairwise

SMALL, LARGER = range(220), range(40)


@cache
def brute(seed):
    return Brute(small(seed)).best()


def test_the_small_problems_hold_enough_of_everything():
    best = [brute(seed) for seed in SMALL]
    assert 60 < sum(one is not None for one in best) < 190
    apart = [Brute(small(seed)) for seed in SMALL[:120]]
    alone = [[studio.best([s]) for s in range(len(studio.plans))] for studio in apart]
    dearer = sum(
        whole is not None and whole > tuple(map(sum, zip(*each, strict=True)))
        for whole, each in zip(best, alone, strict=False)
    )
    assert dearer > 10


@pytest.mark.parametrize("tens", range(0, len(SMALL), 20))
def test_the_best_is_what_trying_every_combination_gives(tens):
    for seed in SMALL[tens : tens + 20]:
        found = answer(small(seed))
        assert found.proven, seed
        if brute(seed) is None:
            assert found.conflicts and not all(one.plan for one in found.students), seed
        else:
            assert not found.conflicts, seed
            assert (found.points, found.dislike) == brute(seed), seed
            assert found.bound == found.points, seed


@pytest.mark.parametrize("tens", range(0, len(LARGER), 10))
def test_the_best_is_what_a_general_solver_finds(tens):
    for seed in LARGER[tens : tens + 10]:
        problem = season(seed, students=8, companions=1 + seed % 2, sites=8)
        found, best = answer(problem), Pairwise(problem).best()
        assert found.proven, seed
        if best is None:
            assert found.conflicts, seed
        else:
            assert (found.points, found.dislike) == best, seed


def test_the_oracles_agree_with_each_other():
    for seed in SMALL[:60]:
        assert Pairwise(small(seed)).best() == brute(seed), seed
