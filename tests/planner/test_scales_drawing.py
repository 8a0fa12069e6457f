"""Keys drawn as a panel would: each once a round, neighbours apart."""

from itertools import pairwise, permutations

import pytest
from hypothesis import assume, given
from hypothesis import strategies as st

from planner import keys
from planner.scales import around, draw, drawn_on

TONICS = st.lists(st.sampled_from(keys.tonics("major")), min_size=1, max_size=30)
FEW = st.lists(st.sampled_from(["C", "F♯", "G♭", "A"]), min_size=1, max_size=6)
SEEDS = st.integers(0, 10**6)


def alike(tonics, order, after=""):
    """Count the neighbours that sound alike."""
    played = [*filter(None, [after]), *(tonics[place] for place in order)]
    return sum(keys.pitch(one) == keys.pitch(two) for one, two in pairwise(played))


@given(TONICS, SEEDS)
def test_every_key_is_drawn_exactly_once(tonics, seed):
    assert sorted(draw(tonics, seed)) == list(range(len(tonics)))


@given(FEW, SEEDS, st.sampled_from(["", "C", "F♯"]))
def test_as_few_neighbours_are_the_same_as_in_any_order(tonics, seed, after):
    least = min(alike(tonics, order, after) for order in permutations(range(len(tonics))))
    assert alike(tonics, draw(tonics, seed, after), after) == least


@given(TONICS, SEEDS, st.integers(0, 3))
def test_every_round_holds_each_key_once(tonics, seed, number):
    size = len(tonics)
    drawn = [drawn_on(tonics, seed, number * size + place) for place in range(size)]
    assert sorted(drawn) == list(range(size))


@given(TONICS, SEEDS, st.integers(1, 3))
def test_a_round_does_not_begin_as_the_last_one_ended(tonics, seed, number):
    pitches = [keys.pitch(tonic) for tonic in tonics]
    assume(max(map(pitches.count, pitches)) <= len(pitches) / 2)
    first = number * len(tonics)
    assert pitches[drawn_on(tonics, seed, first)] != pitches[drawn_on(tonics, seed, first - 1)]


def test_one_seed_is_one_order_and_another_is_another():
    tonics = keys.tonics("major")
    assert draw(tonics, 7) == draw(tonics, 7)
    assert len({draw(tonics, seed) for seed in range(20)}) == 20


def test_every_key_may_come_first():
    tonics = keys.tonics("major", 2)
    assert {draw(tonics, seed)[0] for seed in range(200)} == set(range(len(tonics)))


@pytest.mark.parametrize(
    "tonics, order",
    [
        (["F", "C", "D", "G"], ["C", "G", "D", "F"]),
        (["B♭", "E", "G♭"], ["E", "G♭", "B♭"]),
    ],
)
def test_round_the_circle_of_fifths_from_c(tonics, order):
    assert [tonics[place] for place in around(tonics)] == order
