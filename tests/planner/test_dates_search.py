"""The search over the dates against searches that try everything."""

import random
from dataclasses import replace

import pytest

from planner.dates import answer
from planner.dates.case import Case
from planner.dates.graph import Graph
from planner.dates.search import least, several
from tests.planner.dates_cases import graph, small, typical
from tests.planner.dates_oracles import Brute, by_orders, by_subsets


def test_the_optimum_is_that_of_trying_everything():
    """300 small seasons: points, dislike, and whether there is a plan at all."""
    possible = joined = 0
    for seed in range(300):
        problem = small(seed)
        found = answer(problem)
        plan = found.plan
        assert found.proven
        got = plan and (plan.burden.points, plan.dislike)
        assert got == Brute(problem).best(), seed
        possible += plan is not None
        joined += any(len(trip.auditions) > 1 for trip in plan.trips) if plan else 0
    # The seasons are of both kinds, and trips are shared in some.
    assert 100 < possible < 250
    assert joined > 30


def test_the_three_cheapest_paths_are_those_of_trying_all_orders():
    for seed in range(300):
        r = random.Random(seed)
        groups = r.randint(1, 4)
        one = graph(seed, groups, 3, r.choice((0.3, 0.6, 1)), r.choice((-20, 0, 1)))
        required = [group for group in range(groups) if r.random() < 0.9]
        expected = by_orders(one, required)[:3]
        found = several(one, required, 3)
        assert [f.cost for f in found if f.path is not None] == [cost for cost, _ in expected]
        assert all(one.cost(f.path) == f.cost for f in found if f.path)
        assert all(f.proven for f in found)


def test_the_optimum_is_that_of_dynamic_programming_over_sets():
    """100 graphs of 8 to 12 groups."""
    none = 0
    for seed in range(100):
        groups = 8 + seed % 5
        one = graph(seed, groups, 4, (0.4, 0.6, 0.9)[seed % 3])
        found = least(one, range(groups))
        assert found.proven
        assert found.cost == by_subsets(one, range(groups)), seed
        none += found.path is None
    assert 10 < none < 90


@pytest.mark.parametrize("seed", range(6))
def test_a_whole_season_is_that_of_dynamic_programming(seed):
    case = Case(typical(seed, 9))
    found = least(case.graph, range(9))
    assert found.cost == by_subsets(case.graph, range(9))


def test_nodes_can_be_left_out_and_groups_be_spared():
    one = Graph(
        groups=((0,), (1, 2), (3,)),
        first=(1, 1, 1, 1),
        last=(1, 1, 1, 1),
        arcs=(((1, 1), (2, 5)), ((3, 1),), ((3, 1),), ()),
    )
    assert least(one, (0, 1, 2)).path == (0, 1, 3)
    assert least(one, (0, 1, 2), without=(1,)).path == (0, 2, 3)
    # From 0 to 3 there is a way only over one of the others.
    assert least(one, (0, 2)).path is None
    assert least(one, (0, 2), spare=(1,)).path == (0, 1, 3)
    assert least(one, ()).path == ()


@pytest.mark.parametrize("change", [
    {"groups": ((0,),)},
    {"groups": ((0, 1), (1,))},
    {"first": (1,)},
    {"arcs": ((), ((0, 1),))},
])  # fmt: skip
def test_a_graph_that_is_none_is_refused(change):
    one = Graph(((0,), (1,)), (1, 1), (1, 1), ((), ()))
    with pytest.raises(ValueError, match="node|entry"):
        replace(one, **change)


def test_out_of_time_there_is_an_incumbent_and_a_bound():
    one = graph(14, 20, 8, 0.9)
    found = least(one, range(20), deadline=0.0)
    assert not found.proven
    assert one.cost(found.path) == found.cost
    assert found.bound < found.cost


def test_another_order_of_the_problem_has_the_same_plan():
    seen = 0
    for seed in range(120):
        problem, r = small(seed), random.Random(seed)
        auditions = [
            replace(one, offers=tuple(r.sample(one.offers, len(one.offers))))
            for one in r.sample(problem.auditions, len(problem.auditions))
        ]
        plan = answer(problem).plan
        assert answer(replace(problem, auditions=tuple(auditions))).plan == plan
        seen += plan is not None
    assert seen > 40


def test_the_clock_alone_says_what_is_proven():
    """A whole answer in no time: what it says of bound and proof is true of the optimum."""
    for seed in range(4):
        problem = typical(seed, 12)
        found, best = answer(replace(problem, seconds=1e-9)), answer(problem)
        if best.plan is None or found.plan is None:
            continue
        assert found.bound <= best.plan.burden.points <= found.plan.burden.points
        assert not found.proven or found.plan.burden.points == best.plan.burden.points
