"""The least music against published covering problems, written as auditions.

What is to be covered becomes an audition of one slot, what covers it a piece that the slot
accepts, what that costs the minutes it still takes.
"""

from collections import Counter
from dataclasses import replace
from itertools import combinations, product

import pytest

from planner.repertoire.case import prepare
from planner.repertoire.cover import cover
from planner.repertoire.greedy import greedy_minutes
from planner.repertoire.model import (
    Audition,
    Binding,
    Hearing,
    Piece,
    Problem,
    Slot,
    Together,
)
from planner.repertoire.rules import About, Rule


def covering(costs, wanted):
    """The problem in which every one of `wanted`, sets of pieces, asks for one of its pieces."""
    return Problem(
        pieces=tuple(Piece(str(key), str(key), cost) for key, cost in costs.items()),
        auditions=tuple(
            Audition(f"a{n}", f"Audition {n}", (Hearing("live", "Live", (_one_of(keys),)),))
            for n, keys in enumerate(wanted)
        ),
    )


def _one_of(keys):
    return Slot("one", "One", rules=(Rule(About.PIECE, words=tuple(map(str, sorted(keys)))),))


def least(problem):
    plan = cover(prepare(problem), seconds=30)
    assert plan.proven and plan.complete
    return plan


# ---- flights to crews
# Hillier and Lieberman, Introduction to Operations Research, "Assigning crews to flights": costs
# and flights as restated at brainmass.com ("three sequences minimize costs", 262605); optimum 18
# from memory, confirmed by trying all 2^12 sets.

CREWS = dict(enumerate((2, 3, 4, 6, 7, 5, 7, 8, 9, 9, 8, 9), start=1))
FLIGHTS = (
    (1, 4, 7, 10),
    (2, 5, 8, 11),
    (3, 6, 9, 12),
    (4, 7, 9, 10, 12),
    (1, 6, 10, 11),
    (4, 5, 9),
    (7, 8, 10, 11, 12),
    (2, 4, 5, 8, 9),
    (5, 8, 11),
    (3, 7, 8, 12),
    (6, 9, 10, 11, 12),
)
OPTIMA = ({3, 4, 11}, {1, 5, 12})


def test_crews_are_covered_for_18_in_one_of_exactly_two_ways():
    plan = least(covering(CREWS, FLIGHTS))
    assert plan.minutes == 18
    assert set(map(int, plan.pieces)) in OPTIMA


@pytest.mark.parametrize("optimum", OPTIMA)
def test_each_of_the_two_ways_is_found_once_the_other_is_ruled_out(optimum):
    (other,) = (one for one in OPTIMA if one != optimum)
    found = {
        frozenset(least(replace(covering(CREWS, FLIGHTS), banned=(str(crew),))).pieces)
        for crew in other
    }
    assert found == {frozenset(map(str, optimum))}
    # With one crew of each ruled out there is no third way.
    for one, two in product(*OPTIMA):
        banned = replace(covering(CREWS, FLIGHTS), banned=(str(one), str(two)))
        assert least(banned).minutes > 18


# ---- where the usual way goes wrong


def test_the_usual_way_takes_every_singleton_where_one_piece_covers_all():
    # The worst case of Chvátal, A greedy heuristic for the set-covering problem (1979), n = 6:
    # element j alone costs 60 / j, all six together 61. From memory. Taken in full, the
    # singletons are 60 (1 + 1/2 + … + 1/6) = 147.
    costs = {f"only{j}": 60 // j for j in range(1, 7)} | {"all": 61}
    problem = covering(costs, [{f"only{j}", "all"} for j in range(1, 7)])
    assert least(problem).minutes == 61
    assert least(problem).pieces == ("all",)
    assert greedy_minutes(prepare(problem)) == 147


# ---- generated, every piece an hour


def unit(pieces, wanted):
    return len(least(covering(dict.fromkeys(pieces, 60), wanted)).pieces)


def cube(dimension):
    """Edges of the cube and, of each of its faces, the four."""
    corners = list(product((0, 1), repeat=dimension))

    def edge(one, other):
        return "-".join("".join(map(str, corner)) for corner in sorted((one, other)))

    def turned(corner, *ways):
        return tuple(bit ^ (n in ways) for n, bit in enumerate(corner))

    edges = {edge(c, turned(c, n)) for c in corners for n in range(dimension)}
    faces = {
        frozenset(
            (
                edge(c, turned(c, n)),
                edge(c, turned(c, m)),
                edge(turned(c, n), turned(c, n, m)),
                edge(turned(c, m), turned(c, n, m)),
            )
        )
        for c in corners
        for n, m in combinations(range(dimension), 2)
    }
    return edges, sorted(faces, key=sorted)


@pytest.mark.parametrize(("dimension", "edges"), [(3, 3), (4, 8)])
def test_edges_that_hit_every_four_cycle_of_a_cube(dimension, edges):
    # OEIS A245762: the most edges of the n-cube without a four-cycle, 9 of 12 and 24 of 32. Its
    # four-cycles are its faces.
    pieces, faces = cube(dimension)
    assert (len(pieces), len(faces)) == {3: (12, 6), 4: (32, 24)}[dimension]
    assert unit(pieces, faces) == edges


@pytest.mark.parametrize(("size", "queens"), [(5, 3), (6, 3), (7, 4), (8, 5)])
def test_queens_that_attack_or_hold_every_square(size, queens):
    # OEIS A075458.
    squares = list(product(range(size), repeat=2))

    def reach(square):
        x, y = square
        return {f"{a},{b}" for a, b in squares if a == x or b == y or abs(a - x) == abs(b - y)}

    assert unit([f"{a},{b}" for a, b in squares], [reach(square) for square in squares]) == queens


def test_points_that_hit_every_line_of_the_affine_plane_of_order_three():
    # The Steiner triple system of nine points, whose covering number 5 is given with or-tools'
    # examples/data/scp.
    points = list(product(range(3), repeat=2))
    lines = {
        frozenset(f"{(x + t * dx) % 3}{(y + t * dy) % 3}" for t in range(3))
        for x, y in points
        for dx, dy in ((0, 1), (1, 0), (1, 1), (1, 2))
    }
    assert Counter(map(len, lines)) == {3: 12}
    assert unit([f"{x}{y}" for x, y in points], sorted(lines, key=sorted)) == 5


# ---- workers to tasks
# The 8 × 8 assignment problem in Christofides, Graph Theory: an Algorithmic Approach (1975), as
# GLPK's example assign.mod solves it: 76, and no other way.

COSTS = (
    (13, 21, 20, 12, 8, 26, 22, 11),
    (12, 36, 25, 41, 40, 11, 4, 8),
    (35, 32, 13, 36, 26, 21, 13, 37),
    (34, 54, 7, 8, 12, 22, 11, 40),
    (21, 6, 45, 18, 24, 34, 12, 48),
    (42, 19, 39, 15, 14, 16, 28, 46),
    (16, 34, 38, 3, 34, 40, 22, 24),
    (26, 20, 5, 17, 45, 31, 37, 43),
)
TASKS = (1, 8, 7, 5, 2, 6, 4, 3)  # of workers 1 to 8


def assigning(banned=()):
    """A hearing with a slot for each task; a worker is a composer, and none may be played twice."""
    cells = [(w, t) for w in range(1, 9) for t in range(1, 9)]
    pieces = tuple(
        Piece(f"{w}{t}", f"{w} does {t}", COSTS[w - 1][t - 1], composer=f"Worker {w}", work=f"{t}")
        for w, t in cells
    )
    slots = tuple(
        Slot(f"t{t}", f"Task {t}", rules=(Rule(About.WORK, words=(f"{t}",)),)) for t in range(1, 9)
    )
    once = (Together("each worker once", Binding.COMPOSERS),)
    hearing = Hearing("live", "Live", slots, together=once)
    return Problem(pieces, (Audition("x", "Day", (hearing,)),), banned=banned)


def test_eight_workers_do_eight_tasks_for_76():
    plan = least(assigning())
    assert plan.minutes == 76
    assert plan.pieces == tuple(f"{w}{t}" for w, t in enumerate(TASKS, start=1))


def test_without_any_pair_of_that_assignment_it_takes_longer():
    for pair in least(assigning()).pieces:
        assert least(assigning(banned=(pair,))).minutes > 76
