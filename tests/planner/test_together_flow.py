"""The graph of few arcs against the whole one, and plans that do not stand the check."""

import random
from itertools import product
from types import SimpleNamespace

import pytest

from planner.dates.check import Unsound
from planner.dates.graph import Graph
from planner.together import Problem
from planner.together.check import check
from planner.together.flow import Steps
from tests.planner.test_together import FAR, NEAR, PIA, TODAY, ask, at, audition, student

BIG, FORTUNE = 100, 10**6


def party(rng):
    """A student whose ways cost anything: more or less than by way of home, or not possible."""
    size = rng.randint(1, 8)
    group = [rng.randrange(3) for _ in range(size)]
    groups = tuple(tuple(n for n in range(size) if group[n] == g) for g in sorted(set(group)))
    disliked = [rng.randrange(4) for _ in range(size)]

    def cost(*otherwise):
        return rng.choice([None, rng.randrange(1, 30), *otherwise])

    out, back = ([cost(7, 9) for _ in range(size)] for _ in range(2))
    arcs = [[] for _ in range(size)]
    for start, end in product(range(size), repeat=2):
        if start < end:
            home = None if None in (out[end], back[start]) else out[end] + back[start]
            points = cost(home, home, home)
            if points is not None:
                arcs[start].append((end, points * BIG + disliked[end]))
    first = tuple(None if c is None else c * BIG + d for c, d in zip(out, disliked, strict=True))
    last = tuple(None if c is None else c * BIG for c in back)
    graph = Graph(groups, first, last, tuple(map(tuple, arcs)))
    paths = [tuple(sorted(nodes)) for nodes in product(*groups)]
    own = min((p for p in paths if graph.cost(p) is not None), key=graph.cost, default=None)
    return SimpleNamespace(
        graph=graph,
        own=SimpleNamespace(path=own),
        dates=SimpleNamespace(disliked=disliked, big=BIG),
        group=lambda node: sorted(set(group)).index(group[node]),
        paths=paths,
    )


def taking(steps, path):
    """What the steps charge for a path beyond the own best; None if there is no way home.

    Each node is worth a fortune, so that none of the path is left out.
    """
    best = {steps.homes[0]: 0}
    within = {*steps.homes, *path}
    for _ in range(len(within)):
        for start, end, points, node in steps.arcs:
            if start in best and end in within:
                cost = best[start] + points * BIG
                cost += 0 if node is None else steps.dislike[node] - FORTUNE
                best[end] = min(best.get(end, cost), cost)
    home = best.get(steps.homes[-1])
    return None if home is None else home + len(path) * FORTUNE


def test_few_arcs_cost_what_all_of_them_do():
    rng = random.Random(5)
    tried = 0
    for _ in range(600):
        one = party(rng)
        if one.own.path is None:
            continue
        steps, own = Steps(one, ()), one.graph.cost(one.own.path)
        for path in one.paths:
            cost, found = one.graph.cost(path), taking(steps, path)
            if cost is None:
                # A way that leaves nodes out is no way: it is not paid for them.
                assert found is None or found > FORTUNE // 2
            else:
                assert found == cost - own
                tried += 1
    assert tried > 500


def test_plans_that_do_not_go_together_are_not_believed():
    def plans(one, other):
        found = [ask(one).students[0].plan, ask(other).students[0].plan]
        check(Problem(TODAY, (one, other), (PIA,)), dict(enumerate(found)))

    ann = student("ann", audition("a", NEAR, 0, clock=at(10)))
    plans(ann, student("bo", audition("b", NEAR, 0, clock=at(11))))
    with pytest.raises(Unsound, match="cannot be at"):
        plans(ann, student("bo", audition("b", FAR, 0)))
    with pytest.raises(Unsound, match="at once"):
        plans(ann, student("bo", audition("b", NEAR, 0, clock=at(10))))
