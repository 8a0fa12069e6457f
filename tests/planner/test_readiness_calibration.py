"""The forecast keeps what it says on invented learners; `make bench` prints the whole table."""

from dataclasses import replace
from xml.etree import ElementTree

import pytest

from planner.readiness import Prior, Settings, Shape
from tests import bench_readiness as bench
from tests import calibration
from tests.planner.learners import KINDS, learners

SEED, EACH = 7, 300
# Least and most of the ranges of the ready day that hold, by kind: what six other seeds gave,
# 0.05 more either way. A steady learner is not known to be one, so its range is too wide.
HELD = {
    "steady": (0.87, 1.0),
    "plateau": (0.70, 0.83),
    "late starter": (0.68, 0.84),
    "holiday gap": (0.78, 0.94),
    "noisy ear": (0.76, 0.90),
}
# The kinds that are no line: on the other two a line is right, and so is better than we are.
BENT = ("plateau", "late starter", "holiday gap")


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
    some = [each for each in found if each.kind == kind]
    least, most = HELD[kind]
    assert least <= bench.mean(some, "holds_day") <= most
    assert 0.67 <= bench.mean(some, "holds_figure") <= 0.93
    assert bench.mean(some, "ours") < bench.mean(some, "on_pace") / 3
    line = bench.mean(some, "line")
    assert bench.mean(some, "ours") < (0.8 * line if kind in BENT else line + 0.06)


def test_a_line_alone_would_not_keep_it(monkeypatch):
    """The measure can fail: with one stiff line for a shape the ranges hold far less often."""
    stiff = replace(Prior(), shapes=(Shape(1.0),), wander=0.0)
    monkeypatch.setattr(bench, "SETTINGS", Settings(prior=stiff))
    assert bench.mean(bench.outcomes(EACH, SEED), "holds_day") < 0.7


def test_the_learners_are_the_same_every_time():
    assert [each.heard for each in learners(3, 1)] == [each.heard for each in learners(3, 1)]


def test_the_picture_says_what_was_measured(found):
    drawn = ElementTree.fromstring(calibration.picture(found))
    words = [each.text for each in drawn.iter("{http://www.w3.org/2000/svg}text")]
    assert any(each.startswith(f"{len(found)} invented learners, {EACH} of each") for each in words)
    for kind in KINDS:
        some = [each for each in found if each.kind == kind]
        at = words.index(kind.capitalize())
        assert words[at + 1] == f"80 % ranges held {100 * bench.mean(some, 'holds_day'):.0f} %"
    assert f"{bench.mean(found, 'ours'):.3f}" in words
    assert all(each.get("style") is None for each in drawn.iter())
