"""Chances and ranges in words: the number with its meaning, nothing called certain."""

from dataclasses import dataclass
from datetime import date

import pytest
from hypothesis import given
from hypothesis import strategies as st

from studio.entries import chances
from studio.entries.chances import chance_words

TODAY = date(2027, 1, 12)
FEBRUARY = date(2027, 2, 6)


@dataclass(frozen=True)
class Foreseen:
    chance: float | None = 0.7
    ready_on: date | None = date(2027, 1, 28)
    earliest: date | None = date(2027, 1, 20)
    latest: date | None = date(2027, 2, 9)
    on: date = FEBRUARY


@pytest.mark.parametrize(
    ("chance", "words"),
    [
        (None, ""),
        (0, "less than 1 in 20"),
        (0.02, "less than 1 in 20"),
        (0.049, "less than 1 in 20"),
        (0.05, "about 1 in 10"),
        (0.14, "about 1 in 10"),
        (0.15, "about 2 in 10"),
        (0.5, "about 5 in 10"),
        (0.65, "about 7 in 10"),
        (0.95, "about 9 in 10"),
        (0.951, "more than 19 in 20"),
        (0.97, "more than 19 in 20"),
        (1, "more than 19 in 20"),
    ],
)
def test_a_chance_in_words(chance, words):
    assert chance_words(chance) == words


@given(st.floats(0, 1), st.floats(0, 1))
def test_a_greater_chance_never_sounds_smaller(one, other):
    order = [chance_words(each / 100) for each in range(101)]
    low, high = sorted((one, other))
    assert order.index(chance_words(low)) <= order.index(chance_words(high))


@given(st.floats(0.05, 0.95))
def test_the_words_are_within_six_in_a_hundred(chance):
    said = int(chance_words(chance).split()[1]) / 10
    assert abs(said - chance) <= 0.05 + 1e-9


def test_the_chance_says_by_when():
    assert chances.said(Foreseen(), TODAY, 3) == "All ready three days before: about 7 in 10."
    assert chances.said(Foreseen(), TODAY, 0) == "All ready by the day: about 7 in 10."


def test_close_to_the_day_it_is_that_of_today():
    close = Foreseen(on=date(2027, 1, 14))
    assert chances.said(close, TODAY, 3) == "All ready as it stands today: about 7 in 10."


def test_what_is_ready_or_unknown_has_no_chance():
    ready = Foreseen(1.0, TODAY, TODAY, TODAY)
    assert chances.said(ready, TODAY, 3) == chances.expected(ready, TODAY) == ""
    assert chances.in_short(ready, TODAY) == "ready"
    unknown = Foreseen(None, None, None, None)
    assert chances.said(unknown, TODAY, 3) == chances.expected(unknown, TODAY) == ""
    assert chances.in_short(unknown, TODAY) == "not known yet"


def test_the_expected_day_stands_with_its_range():
    words = "28 January, between 20 January and 9 February"
    assert chances.expected(Foreseen(), TODAY) == words
    open_ended = chances.expected(Foreseen(latest=None), TODAY)
    assert open_ended == "28 January, not before 20 January, how late is not known"
    assert chances.expected(Foreseen(earliest=None, latest=None), TODAY) == "28 January"


def test_a_range_of_one_day_is_told_as_that_day():
    tomorrow = date(2027, 1, 13)
    sure = Foreseen(0.99, tomorrow, tomorrow, tomorrow)
    assert chances.expected(sure, TODAY) == "13 January"
    assert chances.in_range(sure, TODAY).startswith("By 13 January, four times in five")


def test_a_range_says_how_often_it_holds():
    assert "Between 20 January and 9 February, four times in five" in chances.in_range(
        Foreseen(), TODAY
    )
    assert chances.in_range(Foreseen(earliest=None, latest=None), TODAY) == ""


def test_the_meaning_names_the_days_of_ease():
    assert "three days before the audition" in chances.meaning(3)
    assert "by the day of the audition" in chances.meaning(0)
