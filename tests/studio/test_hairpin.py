"""The hairpin's geometry: whatever the engine answers, the drawing keeps to its box."""

from datetime import date, timedelta

import pytest
from hypothesis import given
from hypothesis import strategies as st

from planner import readiness
from planner.readiness import Audition, Check, Piece, Problem, Slot
from studio.entries.hairpin import hairpin

TODAY = date(2027, 1, 12)
MIDDLE, HEIGHT = 40.0, 60.0
ROUNDING = 0.11


def points(text):
    return [tuple(map(float, place.split(","))) for place in text.split()]


def x_of(on):
    return 200 + 2.5 * (on - TODAY).days


def answer(heard, on=date(2027, 2, 6)):
    """Return the engine's answer for one piece heard so (days ago, tempo)."""
    checks = tuple(
        Check(on=TODAY - timedelta(days=ago), tempo=tempo, target=112.0) for ago, tempo in heard
    )
    piece = Piece("1", "Concerto", checks)
    audition = Audition("1", "Fairmont", on, (Slot("Solo", 1.0, ("1",)),))
    return readiness.answer(Problem(TODAY, (piece,), (audition,))).auditions[0]


heard = st.lists(
    st.tuples(st.integers(0, 150), st.floats(30, 160)),
    min_size=1,
    max_size=12,
    unique_by=lambda check: check[0],
).map(lambda checks: sorted(checks, reverse=True))


@given(heard)
def test_what_was_heard_lies_even_about_its_line(checks):
    outline = points(hairpin(answer(checks), x_of, MIDDLE, HEIGHT).solid)
    half = len(outline) // 2
    above, below = outline[:half], list(reversed(outline[half:]))
    for (x, high), (same, low) in zip(above, below, strict=True):
        assert x == same
        assert high + low == pytest.approx(2 * MIDDLE, abs=ROUNDING)


@given(heard)
def test_it_never_opens_beyond_its_height(checks):
    drawn = hairpin(answer(checks), x_of, MIDDLE, HEIGHT)
    for _, y in points(drawn.solid) + points(drawn.upper) + points(drawn.lower):
        assert abs(y - MIDDLE) <= HEIGHT / 2 + ROUNDING


@given(heard)
def test_it_only_runs_from_left_to_right(checks):
    drawn = hairpin(answer(checks), x_of, MIDDLE, HEIGHT)
    outline = points(drawn.solid)
    for line in (outline[: len(outline) // 2], points(drawn.upper), points(drawn.lower)):
        xs = [x for x, _ in line]
        assert xs == sorted(xs)


@given(heard)
def test_the_forecast_goes_on_where_the_hearing_ends(checks):
    drawn = hairpin(answer(checks), x_of, MIDDLE, HEIGHT)
    if drawn.upper:
        outline = points(drawn.solid)
        assert points(drawn.upper)[0] == outline[len(outline) // 2 - 1]
        assert points(drawn.upper)[0][0] == x_of(TODAY)


def test_it_begins_as_a_point():
    outline = points(hairpin(answer([(20, 80.0), (3, 90.0)]), x_of, MIDDLE, HEIGHT).solid)
    assert outline[0] == outline[-1] == (x_of(TODAY - timedelta(days=20)) - 12, MIDDLE)


def test_a_bar_closes_it_on_the_day_all_is_ready():
    judged = answer([(30, 80.0), (20, 88.0), (10, 96.0), (2, 102.0)])
    drawn = hairpin(judged, x_of, MIDDLE, HEIGHT)
    assert drawn.closing == (f"{x_of(judged.ready_on):.1f}", "10.0", "70.0")
    assert not drawn.late


def test_it_is_late_when_the_audition_comes_first():
    judged = answer([(30, 60.0), (20, 64.0), (10, 68.0), (2, 72.0)], on=date(2027, 1, 20))
    assert hairpin(judged, x_of, MIDDLE, HEIGHT).late


def test_nothing_heard_draws_nothing():
    assert hairpin(answer([]), x_of, MIDDLE, HEIGHT) is None


def test_one_check_has_no_forecast():
    drawn = hairpin(answer([(5, 80.0)]), x_of, MIDDLE, HEIGHT)
    assert (drawn.upper, drawn.lower, drawn.closing) == ("", "", None)
