"""The trade of hours against auditions."""

from dataclasses import replace

import pytest

from planner.repertoire import frontier as module
from planner.repertoire.case import prepare
from planner.repertoire.cover import cover
from planner.repertoire.frontier import frontier
from planner.repertoire.model import Audition, Hearing, Piece, Problem, Slot
from planner.repertoire.rules import About, Rule
from tests.planner.repertoire_cases import small, typical
from tests.planner.repertoire_oracles import Brute


def audition(key, *pieces, worth=1, kept=True):
    slot = Slot("s", "Solo", rules=(Rule(About.PIECE, words=pieces),))
    return Audition(key, key, (Hearing("live", "Live", (slot,)),), worth=worth, kept=kept)


def points(prep, *auditions, **more):
    pieces = tuple(Piece(key, key, minutes) for key, minutes in prep.items())
    found = frontier(prepare(Problem(pieces, auditions, **more)), 10)
    return [(point.minutes, point.worth, point.auditions) for point in found]


def test_it_holds_only_sets_that_no_other_beats_by_rising_minutes():
    found = points(
        {"a": 30, "b": 50, "c": 60},
        audition("x", "a", worth=2),
        audition("y", "b", worth=1),  # dearer than x and worth less: only on top of it
        audition("z", "c", worth=4),
    )
    assert found == [
        (30, 2, ("x",)),
        (60, 4, ("z",)),
        (90, 6, ("x", "z")),
        (140, 7, ("x", "y", "z")),
    ]


def test_pieces_that_are_prepared_anyway_count_and_bring_their_auditions():
    found = points({"a": 30, "b": 50}, audition("x", "a"), audition("y", "b"), pinned=("a",))
    assert found == [(30, 1, ("x",)), (80, 2, ("x", "y"))]


def test_auditions_left_out_or_impossible_have_no_part_in_it():
    found = points(
        {"a": 30, "b": 50},
        audition("x", "a", kept=False),
        audition("y", "nothing"),
        audition("z", "b"),
    )
    assert found == [(50, 1, ("z",))]
    assert points({"a": 30}, audition("y", "nothing")) == []
    assert points({"a": 30}) == []


def test_an_audition_worth_nothing_is_never_paid_for():
    found = points({"a": 30, "b": 50}, audition("x", "a", worth=0), audition("y", "b"))
    assert found == [(50, 1, ("y",))]


def test_its_last_point_is_the_plan_for_all():
    case = prepare(typical(3))
    last = frontier(case, 30)[-1]
    assert set(last.auditions) == case.kept
    assert last.minutes == cover(case, seconds=30).minutes


def test_the_steps_for_many_auditions_find_the_same(monkeypatch):
    monkeypatch.setattr(module, "LATTICE", 0)
    for seed in range(40):
        found = frontier(prepare(small(seed)), 30)
        assert all(point.proven for point in found)
        assert [(p.minutes, p.worth) for p in found] == Brute(small(seed)).frontier(), seed


@pytest.mark.parametrize("seconds", [1e-9, 1e-4])
@pytest.mark.parametrize("lattice", [0, 20])
def test_what_is_found_without_time_is_sound_and_not_called_proven(monkeypatch, lattice, seconds):
    monkeypatch.setattr(module, "LATTICE", lattice)
    problem = typical(1, 5, 4, 24, hard=True)
    case, whole = prepare(problem), frontier(prepare(problem), 60)
    found = frontier(case, seconds)
    assert found and not all(point.proven for point in found)
    assert set(found[-1].auditions) == case.kept
    for point in found:
        least = cover(case, frozenset(point.auditions), seconds=30).minutes
        assert point.minutes >= least
        best = min(p.minutes for p in whole if p.worth >= point.worth)
        assert point.minutes >= best
        assert not point.proven or point.minutes == best


def test_the_order_of_the_problem_changes_only_the_order_of_the_auditions():
    problem = typical(5, 5, 4, 24)
    other = replace(problem, pieces=problem.pieces[::-1], auditions=problem.auditions[::-1])
    one, two = (frontier(prepare(p), 30) for p in (problem, other))
    assert [(p.minutes, p.worth) for p in one] == [(p.minutes, p.worth) for p in two]
