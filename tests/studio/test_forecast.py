"""A piece's picture: whatever was heard, it keeps to its box and its words to themselves."""

from datetime import date, timedelta
from itertools import combinations

import pytest
from django.template.loader import render_to_string
from django.utils import translation
from hypothesis import assume, given, settings
from hypothesis import strategies as st

from planner import readiness
from planner.readiness import Audition, Check, Piece, Problem, Settings, Slot
from studio.entries.forecast import OVERRUN, USUAL, Heard, Size, picture
from studio.entries.hairpin import hairpin

TODAY = date(2027, 1, 12)
READY = 95.0
NONE = Heard()
unhurried = settings(deadline=None)  # a busy machine is no mistake
ROUNDING = 0.11
STEADY = [(30, 80.0), (20, 88.0), (10, 96.0), (2, 102.0)]


def places(text):
    return [tuple(map(float, place.split(","))) for place in text.split()]


def ask(heard, on=date(2027, 2, 6), today=TODAY, ready_at=READY):
    """Return the whole answer for one piece heard so (days ago, tempo), for one audition."""
    checks = tuple(
        Check(on=today - timedelta(days=ago), tempo=tempo, target=112.0) for ago, tempo in heard
    )
    audition = Audition("1", "Fairmont", on, (Slot("Solo", 1.0, ("1",)),))
    problem = Problem(
        today, (Piece("1", "Concerto", checks),), (audition,), Settings(ready_at=ready_at)
    )
    return readiness.answer(problem)


def draw(heard, on=date(2027, 2, 6), today=TODAY, ready_at=READY, besides=NONE, size=USUAL):
    (answer,) = ask(heard, on, today, ready_at).pieces
    return picture(answer, today, ready_at, on, besides, size)


heard = st.lists(
    st.tuples(st.integers(0, 400), st.floats(30, 160)),
    min_size=1,
    max_size=12,
    unique_by=lambda check: check[0],
).map(lambda checks: sorted(checks, reverse=True))
auditions = st.none() | st.integers(0, 300).map(lambda ahead: TODAY + timedelta(days=ahead))
own = st.lists(st.tuples(st.integers(0, 200), st.integers(1, 400)), max_size=6).map(
    lambda logs: Heard(
        lessons=((TODAY - timedelta(days=9), 80),),
        own=tuple((TODAY - timedelta(days=ago), tempo) for ago, tempo in logs),
        target=112,
    )
)
sizes = st.sampled_from([USUAL, Size(236, 76, 9)])


def every_place(drawn):
    strip = drawn.tempos
    yield from places(drawn.line) + places(drawn.ahead) + places(drawn.band)
    marks = [*drawn.notes, *(strip.lessons + strip.own if strip else ())]
    yield from (tuple(map(float, mark)) for mark in marks)


@unhurried
@given(heard, auditions, own, sizes)
def test_everything_stands_in_its_box(checks, on, besides, size):
    drawn = draw(checks, on, besides=besides, size=size)
    left, right = float(drawn.left) - ROUNDING, float(drawn.right) + ROUNDING
    for x, y in every_place(drawn):
        assert left <= x <= right
        assert float(drawn.top) - ROUNDING <= y <= float(drawn.base) + ROUNDING
    for x in filter(None, (drawn.today_x, drawn.fermata)):
        assert left <= float(x) <= right
    for label in drawn.labels:
        assert -ROUNDING <= label.left <= label.right <= size.width + ROUNDING
        assert size.text <= label.y + ROUNDING <= float(drawn.height)


@unhurried
@given(heard, auditions, own, st.integers(60, 100), sizes)
def test_no_word_stands_in_anothers_way(checks, on, besides, ready_at, size):
    drawn = draw(checks, on, ready_at=float(ready_at), besides=besides, size=size)
    for one, other in combinations(drawn.labels, 2):
        apart = one.right <= other.left or other.right <= one.left
        assert apart or abs(one.y - other.y) >= size.text - 0.01, (one, other)


@unhurried
@given(heard, auditions)
def test_the_word_today_leaves_the_fermata_its_place(checks, on):
    assume(on is not None)
    drawn = draw(checks, on)
    today = next(label for label in drawn.labels if label.kind == "today")
    half = 229 * float(drawn.sign)
    fermata = float(drawn.fermata)
    assert today.right <= fermata - half or today.left >= fermata + half


@unhurried
@given(heard, auditions)
def test_the_band_holds_its_middle_and_runs_from_left_to_right(checks, on):
    drawn = draw(checks, on)
    if not drawn.band:
        assert drawn.ahead == ""
        return
    outline, middle = places(drawn.band), places(drawn.ahead)[1:]
    half = len(outline) // 2
    upper, lower = outline[:half], list(reversed(outline[half:]))
    for (x, high), (same, low), (line, between) in zip(upper, lower, middle, strict=True):
        assert x == same == line
        assert high - ROUNDING <= between <= low + ROUNDING
    for line in (places(drawn.line), places(drawn.ahead), upper):
        xs = [x for x, _ in line]
        assert xs == sorted(xs)


@unhurried
@given(heard, auditions)
def test_it_begins_where_the_hearing_ends_and_ends_in_the_picture(checks, on):
    drawn = draw(checks, on)
    if drawn.ahead and drawn.line:
        assert places(drawn.ahead)[0] == places(drawn.line)[-1]
    if drawn.ahead:
        assert places(drawn.ahead)[1][0] == float(drawn.today_x)
        assert places(drawn.ahead)[-1][0] <= float(drawn.right)


def test_the_dates_of_an_audition_and_of_today_are_always_there():
    for days in range(60):
        on = TODAY + timedelta(days=days)
        drawn = draw(STEADY, on)
        words = [label.text for label in drawn.labels]
        assert "today" in words
        assert f"{on.day} {on:%b}" in words
        assert "ready" in words


def test_the_expected_day_stands_under_the_place_where_the_dashes_meet_ready():
    answer = ask(STEADY).pieces[0]
    drawn = picture(answer, TODAY, READY, date(2027, 2, 6))
    word = next(label for label in drawn.labels if label.text.startswith("ready "))
    assert word.text == f"ready {answer.ready_on.day} {answer.ready_on:%b}"
    x, y = map(float, drawn.ready)
    assert abs(word.x - x) <= word.wide / 2
    ahead = places(drawn.ahead)
    before = [place for place in ahead if place[0] <= x][-1]
    after = next((place for place in ahead if place[0] >= x), before)
    low, high = sorted((before[1], after[1]))
    assert low - 1 <= y <= high + 1


def test_a_forecast_far_too_late_leaves_room_for_the_rest():
    slow = [(42, 40.0), (35, 41.0), (28, 42.0), (21, 43.0)]
    on = date(2027, 1, 20)
    drawn = draw(slow, on)
    day = (float(drawn.fermata) - float(drawn.today_x)) / (on - TODAY).days
    assert float(drawn.right) - float(drawn.fermata) <= OVERRUN.days * day + ROUNDING * OVERRUN.days
    assert [label.text for label in drawn.labels if label.text.startswith("ready ")] == []


def test_one_check_is_one_notehead_and_nothing_ahead():
    drawn = draw([(5, 80.0)])
    assert len(drawn.notes) == 1
    assert (drawn.ahead, drawn.band, drawn.ready) == ("", "", None)
    assert drawn.title == "Concerto: readiness so far"
    assert drawn.words.startswith("One check: ")


def test_nothing_heard_draws_nothing():
    assert draw([]) is None


def test_without_a_date_there_is_no_fermata():
    assert draw(STEADY, None).fermata is None


def test_own_tempos_stand_apart_in_a_strip_below():
    logs = Heard(((TODAY - timedelta(days=9), 96.0),), ((TODAY - timedelta(days=3), 104.0),), 112)
    drawn = draw(STEADY, besides=logs)
    assert len(drawn.tempos.own) == len(drawn.tempos.lessons) == 1
    assert float(drawn.tempos.own[0][1]) > float(drawn.foot)
    assert float(drawn.tempos.own[0][1]) < float(drawn.tempos.lessons[0][1])
    assert [label.text for label in drawn.labels if label.kind == "tempo"] == ["112", "tempo"]
    assert len(drawn.notes) == len(STEADY)


def test_the_whole_programme_in_one_go_has_a_notehead_of_its_own():
    mock = Heard(programme=frozenset({TODAY - timedelta(days=10)}))
    drawn = draw(STEADY, besides=mock)
    assert len(drawn.notes) == 3
    assert drawn.whole == (draw(STEADY).notes[2],)


@pytest.mark.parametrize(
    "logs",
    [Heard(), Heard(lessons=((TODAY, 96.0),), target=112), Heard(own=((TODAY, 96.0),))],
)
def test_without_own_tempos_or_a_target_there_is_no_strip(logs):
    assert draw(STEADY, besides=logs).tempos is None


@unhurried
@given(heard)
def test_the_hairpin_and_the_picture_tell_the_same(checks):
    """Both are drawn from one answer: the same days, points, and day of being ready."""
    answer = ask(checks)
    (piece,), (audition,) = answer.pieces, answer.auditions
    drawn = picture(piece, TODAY, READY, audition.on)

    def x_of(day):
        return 100.0 + (day - TODAY).days

    pin = hairpin(audition, x_of, 0.0, 200.0, lead_in=0.0)
    outline = places(pin.solid)
    crescendo = outline[1 : len(outline) // 2]  # without the point where it begins
    shown = len(drawn.notes)
    floor, top, foot = _scale(drawn)
    noted = [floor + (foot - float(y)) / (foot - top) * (100 - floor) for _, y in drawn.notes]
    opened = [-y for _, y in crescendo]
    opened = opened[: len(piece.history)][-shown:] if shown else []
    assert noted == pytest.approx(opened, abs=0.2 * 100 / (foot - top) + 0.1)
    if drawn.ready:
        assert pin.closing[0] == f"{x_of(piece.ready_on):.1f}"


def _scale(drawn):
    """The points at the bottom, and the y of 100 and of the bottom."""
    return drawn.floor, float(drawn.top), float(drawn.foot)


def test_the_drawing_is_told_in_words_and_numbers_keep_their_dots():
    with translation.override("de"):
        html = render_to_string("entries/forecast.html", {"picture": draw(STEADY), "key": 7})
    assert 'role="img"' in html
    assert '<title id="forecast-7">Concerto: readiness so far and forecast</title>' in html
    assert "4 checks: from" in html
    assert "four times in five between" in html
    assert 'font-size="12.5"' in html
    assert "style=" not in html
