"""What a studio's finished pieces change in what is usual."""

import json
import random
from dataclasses import replace

import pytest

from planner.readiness.prior import PIECES_NEEDED, Prior, Shape, as_json, from_json, learn


def finished(count, pace, scatter=2.0, seed=3):
    """Pieces of eight weekly checks that gain about `pace` points a week."""
    rng = random.Random(seed)
    return [
        [(week, 40 + pace * week + rng.gauss(0, scatter)) for week in range(8)]
        for _ in range(count)
    ]


def test_few_pieces_change_nothing():
    assert learn(finished(PIECES_NEEDED - 1, 2)) == Prior()
    assert learn([]) == Prior()


def test_pieces_with_few_checks_are_no_evidence():
    assert learn([piece[:3] for piece in finished(30, 2)]) == Prior()


def test_many_slow_pieces_make_slow_usual():
    some, many = learn(finished(10, 2)), learn(finished(200, 2))
    assert Prior().rate > some.rate > many.rate > 2
    assert many.rate < 2.3
    assert many.rate_sd < Prior().rate_sd
    assert 1.9 < many.scatter < 2.3


def test_straight_pieces_make_lines_more_usual():
    straight = learn(finished(100, 3, scatter=1.0))
    whole = sum(shape.weight for shape in straight.shapes)
    assert abs(whole - 1) < 1e-9
    assert straight.shapes[0].weight > Prior().shapes[0].weight


def test_what_was_learned_is_kept_and_read_back():
    learned = learn(finished(30, 2))
    assert learned != Prior()
    assert from_json(json.loads(json.dumps(as_json(learned)))) == learned


def without(name):
    return {key: value for key, value in as_json(replace(Prior(), rate=2.0)).items() if key != name}


@pytest.mark.parametrize(
    "data",
    [
        None,
        "",
        [],
        {},
        {"rate": 2.0},
        without("settle"),
        without("") | {"pace": 3},
        without("") | {"rate": "2"},
        without("") | {"scatter": float("nan")},
        as_json(replace(Prior(), rate=2.0, rate_sd=0.0)),
        as_json(replace(Prior(), rate=2.0, scatter=1e300)),
        as_json(replace(Prior(), rate=2.0, shapes=())),
        as_json(replace(Prior(), rate=2.0, shapes=(Shape(-1.0),))),
    ],
)
def test_what_cannot_be_read_back_is_what_is_usual(data):
    assert from_json(data) == Prior()
