"""The forecast keeps what it says on invented learners; `make bench` prints the whole table."""

from dataclasses import replace

import pytest

from planner.readiness import Prior, Settings, Shape
from tests import bench_readiness as bench
from tests.planner.learners import KINDS, learners

SEED, EACH = 7, 100


@pytest.fixture(scope="module")
def found():
    return bench.outcomes(EACH, SEED)


def test_the_ranges_hold_in_three_to_four_of_five(found):
    assert 0.75 <= bench.mean(found, "holds_day") <= 0.85
    assert 0.75 <= bench.mean(found, "holds_figure") <= 0.85


def test_the_chance_is_better_than_always_on_pace_and_than_a_line(found):
    ours = bench.mean(found, "ours")
    assert ours < bench.mean(found, "on_pace")
    assert ours < bench.mean(found, "line")
    assert ours < bench.mean(found, "bare_line")


@pytest.mark.parametrize("kind", KINDS)
def test_no_kind_of_learner_is_forgotten(found, kind):
    """Wide bounds: a steady learner is not known to be one, so the range is too wide there."""
    some = [each for each in found if each.kind == kind]
    assert bench.mean(some, "holds_day") >= 0.6
    assert bench.mean(some, "holds_figure") >= 0.65
    assert bench.mean(some, "ours") < bench.mean(some, "on_pace") / 2


def test_a_line_alone_would_not_keep_it(monkeypatch):
    """The measure can fail: with one stiff line for a shape the ranges hold far less often."""
    stiff = replace(Prior(), shapes=(Shape(1.0),), wander=0.0)
    monkeypatch.setattr(bench, "SETTINGS", Settings(prior=stiff))
    assert bench.mean(bench.outcomes(EACH, SEED), "holds_day") < 0.7


def test_the_learners_are_the_same_every_time():
    assert [each.heard for each in learners(3, 1)] == [each.heard for each in learners(3, 1)]
