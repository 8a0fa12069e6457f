"""Slurs and dots that a demand's words ask for, and from which start a scale is written."""

import pytest

from planner.pitch import Clef, Instrument, Problem, answer, written
from planner.pitch.articulation import PLAIN, Manner, articulation
from planner.pitch.starting import easiest

HORN = Instrument("Horn", "F#2", "C6", -7)
SLURRED, DOTS = Manner((0,)), Manner(dots=True)


@pytest.mark.parametrize(
    "words, up, down",
    [
        ("", PLAIN, PLAIN),
        ("slurred", SLURRED, SLURRED),
        ("Tongued", PLAIN, PLAIN),
        ("slurred up, tongued down", SLURRED, PLAIN),
        ("tongued up and slurred down", PLAIN, SLURRED),
        ("legato ascending; staccato descending", SLURRED, DOTS),
        ("slurred up", SLURRED, PLAIN),
        ("slurred up and down", SLURRED, SLURRED),
        ("slurred in twos", Manner((2,)), Manner((2,))),
        ("slurred by fours up, tongued down", Manner((4,)), PLAIN),
        ("two slurred, two tongued", Manner((2, 1, 1)), Manner((2, 1, 1))),
        ("two slurred and two tongued", Manner((2, 1, 1)), Manner((2, 1, 1))),
        ("three slurred, pair tongued", Manner((3, 1, 1)), Manner((3, 1, 1))),
        ("only up, slurred", SLURRED, SLURRED),
        ("staccato", DOTS, DOTS),
    ],
)
def test_known_words_are_drawn(words, up, down):
    assert articulation(words) == (up, down)


@pytest.mark.parametrize(
    "words",
    [
        "slurred and tongued",  # twice, once so and once so
        "slurred up, tongued up",
        "slurred, with a crescendo",
        "slurred in sevens",
        "unslurred",
        "mixed",
        "slurred up, as marked",
    ],
)
def test_words_that_are_not_all_known_leave_the_notes_plain(words):
    assert articulation(words) == (PLAIN, PLAIN)


def one(scales, instrument):
    return answer(Problem(instrument, scales)).scales[0]


def test_the_start_with_the_fewest_ledger_lines_is_taken():
    lowest = one("major: G; octaves: 2", HORN)
    found = easiest(lowest, HORN)
    assert (written(lowest.rising[0]), written(found.rising[0])) == ("G2", "G3")
    assert (written(found.rising[-1]), written(found.falling[-1])) == ("G5", "G3")
    assert (found.starts, found.title) == (lowest.starts, lowest.title)


def test_the_only_start_is_kept_and_so_is_nothing():
    low = one("major: E flat; octaves: 2", HORN)
    assert easiest(low, HORN) == low
    none = one("major: A; octaves: 1", Instrument("Whistle", "Bb4", "G5"))
    assert easiest(none, Instrument("Whistle", "Bb4", "G5")) == none


def test_the_clef_follows_the_start():
    piano = Instrument("Piano", "A0", "C8")
    found = easiest(one("major: C; octaves: 2", piano), piano)
    assert (found.clef, written(found.rising[0])) in ((Clef.TREBLE, "C4"), (Clef.BASS, "C2"))


def test_a_scale_that_only_falls_moves_too():
    found = easiest(one("major: G; octaves: 2; pattern: only down", HORN), HORN)
    assert (found.rising, written(found.falling[0]), written(found.falling[-1])) == ((), "G5", "G3")
