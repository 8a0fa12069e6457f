"""A plan that breaks the problem in any way is refused; a problem that makes no sense is named."""

from dataclasses import replace

import pytest

from planner.repertoire import (
    About,
    Again,
    Audition,
    Binding,
    Group,
    Hearing,
    Piece,
    Placed,
    Problem,
    Rule,
    Slot,
    Together,
    answer,
    validate,
)
from planner.repertoire.check import Unsound, check

PIECES = (
    Piece("one", "One", 10, composer="Ahn", work="Duo", character=("slow",), seconds=100),
    Piece("two", "Two", 20, composer="Ahn", work="Duo", character=("slow",), seconds=200),
    Piece("three", "Three", 30, composer="Bell", work="Trio", character=("brisk",), seconds=300),
    Piece("four", "Four", 40, kind="etude"),
)


def problem(*hearings, word=Again.MAY, **more):
    return Problem(PIECES, (Audition("a", "A", hearings, word),), **more)


def hearing(*slots, key="live", groups=(), together=(), reuse=False):
    return Hearing(key, key, slots, groups, together, reuse)


def together(binding, **more):
    two = (Slot("x", "X", least=0, most=2),)
    return problem(hearing(*two, together=(Together("bond", binding, **more),)))


def seats(*places, lacking=0):
    """Placed from "hearing slot piece piece" lines."""
    words = [place.split() for place in places]
    return tuple(Placed("a", first, slot, tuple(keys), lacking) for first, slot, *keys in words)


X, Y = Slot("x", "X"), Slot("y", "Y")
IN_G = Slot("x", "X", inside="g"), Slot("y", "Y", inside="g")
ONE_OF = (Group("g", "g", 1),)
CONCERTO = (Rule(About.PIECE, ("one", "two")),)

BROKEN = {
    "a slot left out": (problem(hearing(X, Y)), seats("live x one"), "y is not played"),
    "a slot short of a piece": (
        problem(hearing(Slot("x", "X", least=2))),
        seats("live x one"),
        "1 pieces and 0 lacking",
    ),
    "a slot too full": (problem(hearing(X)), seats("live x one two"), "2 pieces"),
    "a piece twice in a slot": (
        problem(hearing(Slot("x", "X", least=2))),
        seats("live x one one"),
        "a piece is there twice",
    ),
    "a piece that does not fit": (
        problem(hearing(Slot("x", "X", kind="solo"))),
        seats("live x four"),
        "four does not fit",
    ),
    "a piece of which it is not known": (
        problem(hearing(Slot("x", "X", rules=(Rule(About.COMPOSER, ("Ahn",)),)))),
        seats("live x four"),
        "four does not fit",
    ),
    "a piece in two slots": (
        problem(hearing(X, Y)),
        seats("live x one", "live y one"),
        "['one'] fill two slots",
    ),
    "a slot unheard of": (
        problem(hearing(X)),
        seats("live x one", "live z two"),
        "no slots ['z']",
    ),
    "a slot played twice": (
        problem(hearing(X)),
        seats("live x one", "live x two"),
        "played twice",
    ),
    "a hearing unheard of": (
        problem(hearing(X)),
        seats("live x one", "tape x two"),
        "not among the hearings",
    ),
    "too many parts of a group": (
        problem(hearing(*IN_G, groups=ONE_OF)),
        seats("live x one", "live y two"),
        "g is not played",
    ),
    "too few parts of a group": (
        problem(hearing(*IN_G, groups=(Group("g", "g", 2),))),
        seats("live x one"),
        "g is not played",
    ),
    "half a bundle": (
        problem(
            hearing(
                *IN_G,
                Slot("z", "Z", inside="h"),
                groups=(Group("h", "h", 1), Group("g", "g", inside="h")),
            )
        ),
        seats("live x one"),
        "h is not played",
    ),
    "again, must": (
        problem(hearing(X, key="tape"), hearing(X), word=Again.MUST),
        seats("tape x one", "live x two"),
        "['one'] not played again",
    ),
    "again, must not": (
        problem(hearing(X, key="tape"), hearing(X), word=Again.MUST_NOT),
        seats("tape x one", "live x one"),
        "['one'] are played in two hearings",
    ),
    "at least": (
        together(Binding.AT_LEAST, least=2, rules=CONCERTO),
        seats("live x one three"),
        "1 pieces, asked for 2",
    ),
    "at most": (
        together(Binding.AT_MOST, most=1, rules=CONCERTO),
        seats("live x one two"),
        "2 pieces, at most 1",
    ),
    "composers": (together(Binding.COMPOSERS), seats("live x one two"), "['ahn'] twice"),
    "works": (together(Binding.WORKS), seats("live x one two"), "twice"),
    "contrasting": (together(Binding.CONTRASTING), seats("live x one two"), "['slow'] twice"),
    "too long": (
        together(Binding.LENGTH, most=400),
        seats("live x two three"),
        "missed by 100 seconds",
    ),
    "too short": (
        together(Binding.LENGTH, least=400),
        seats("live x one two"),
        "missed by 100 seconds",
    ),
    "a fact not known": (
        together(Binding.LENGTH, most=900),
        seats("live x one four"),
        "the fact is not known",
    ),
    "clashing with itself": (
        problem(hearing(X, Y, together=(Together("c", Binding.COMPOSERS),), reuse=True)),
        seats("live x one", "live y one"),
        "a piece fills two slots",
    ),
    "less than nothing lacking": (
        problem(hearing(Slot("x", "X", least=1))),
        seats("live x one two", lacking=-1),
        "less than nothing",
    ),
}


@pytest.mark.parametrize("name", BROKEN)
def test_a_plan_that_breaks_a_row_is_refused(name):
    asked, placed, message = BROKEN[name]
    pieces = {key: None for place in placed for key in place.pieces}
    with pytest.raises(Unsound) as refused:
        check(asked, {"a"}, placed, tuple(pieces))
    assert message in str(refused.value)


@pytest.mark.parametrize(
    ("pieces", "more", "message"),
    [
        (("one", "one"), {}, "prepared twice"),
        (("one", "none"), {}, "not in the library"),
        (("two",), {}, "['one'] are played but not prepared"),
        (("one", "two"), {}, "['two'] are prepared but neither played nor pinned"),
        (("one",), {"banned": ("one",)}, "a banned piece"),
        (("one",), {"pinned": ("two",)}, "a pinned piece is not prepared"),
    ],
)
def test_what_is_prepared_must_be_what_is_played(pieces, more, message):
    with pytest.raises(Unsound) as refused:
        check(problem(hearing(X), **more), {"a"}, seats("live x one"), pieces)
    assert message in str(refused.value)


def test_an_audition_left_out_must_not_be_played():
    with pytest.raises(Unsound, match="not among the hearings"):
        check(problem(hearing(X)), set(), seats("live x one"), ("one",))


def test_a_sound_plan_is_counted_in_minutes():
    asked = problem(hearing(X, Slot("y", "Y", least=2, most=3)), pinned=("four",))
    placed = seats("live x one", "live y two three")
    assert check(asked, {"a"}, placed, ("one", "two", "three", "four")) == 100


def test_what_may_be_lacking_is_let_through_and_no_more():
    long = problem(hearing(X, together=(Together("l", Binding.LENGTH, most=90),)))
    assert check(long, {"a"}, seats("live x one"), ("one",), over=10) == 10
    with pytest.raises(Unsound, match="missed by 10 seconds"):
        check(long, {"a"}, seats("live x one"), ("one",), over=9)
    vain = problem(hearing(X, together=(Together("v", Binding.AT_LEAST, least=2),)))
    assert check(vain, {"a"}, seats("live x one"), ("one",), unmet=1) == 10
    missing = problem(hearing(Slot("x", "X", least=2)))
    assert check(missing, {"a"}, seats("live x one", lacking=1), ("one",)) == 10


# ---- problems that make no sense


def with_audition(**changes):
    sound = problem(hearing(X))
    return replace(sound, auditions=(replace(sound.auditions[0], **changes),))


def with_together(binding, **more):
    return problem(hearing(X, together=(Together("bond", binding, **more),)))


NONSENSE = {
    'pieces: "one" stands there twice': replace(problem(), pieces=(*PIECES, PIECES[0])),
    'auditions: "a" stands there twice': replace(problem(), auditions=problem().auditions * 2),
    'audition a, hearings: "live" stands there twice': problem(hearing(X), hearing(Y)),
    'hearing live, slots and groups: "x" stands there twice': problem(hearing(X, X)),
    'pinned: no piece "nine"': problem(pinned=("nine",)),
    'banned: no piece "nine"': problem(banned=("nine",)),
    'preferred: no piece "nine"': problem(preferred=("nine",)),
    'pinned: "one" stands there twice': problem(pinned=("one", "one")),
    '"one" is both pinned and banned': problem(pinned=("one",), banned=("one",)),
    "seconds has to be above 0": problem(seconds=0),
    "piece p: give prep 0 to 60000 minutes": replace(problem(), pieces=(Piece("p", "P", -1),)),
    "piece p: give prep": replace(problem(), pieces=(Piece("p", "P", 60_001),)),
    "piece p: seconds cannot be below 0": replace(
        problem(), pieces=(Piece("p", "P", 1, seconds=-1),)
    ),
    "piece p: write piano as one of": replace(problem(), pieces=(Piece("p", "P", 1, piano="no"),)),
    "audition a: worth cannot be below 0": with_audition(worth=-1),
    "live, x: no group g": problem(hearing(Slot("x", "X", inside="g"))),
    "live, y: no group x": problem(hearing(X, Slot("y", "Y", inside="x"))),
    "live, g lies inside itself": problem(hearing(groups=(Group("g", "g", inside="g"),))),
    "live, x lies inside itself": problem(
        hearing(
            Slot("x", "X", inside="g"),
            groups=(Group("g", "g", inside="h"), Group("h", "h", inside="g")),
        )
    ),
    "live, x: least 2 is above most 1": problem(hearing(Slot("x", "X", least=2, most=1))),
    "live, x: least cannot be below 0": problem(hearing(Slot("x", "X", least=-1))),
    "live, g: least 2 is above most 1": problem(hearing(groups=(Group("g", "g", 2, 1),))),
    "live, x: write piano as one of": problem(hearing(Slot("x", "X", piano="maybe"))),
    "live, bond: no slot or group z": with_together(Binding.COMPOSERS, scope="z"),
    "live, bond: at least how many?": with_together(Binding.AT_LEAST),
    "live, bond: at most how many?": with_together(Binding.AT_MOST),
    "live, bond: give the least or the most seconds": with_together(Binding.LENGTH),
    "live, bond: least 9 is above most 8": with_together(Binding.LENGTH, least=9, most=8),
    "live, bond: most cannot be below 0": with_together(Binding.LENGTH, most=-8),
}


@pytest.mark.parametrize("message", NONSENSE)
def test_a_problem_that_makes_no_sense_is_named(message):
    with pytest.raises(ValueError) as refused:
        answer(NONSENSE[message])
    assert message in str(refused.value)


def test_what_makes_sense_is_let_through():
    validate(problem(hearing(X, Y, reuse=True), pinned=("one",), banned=("two",)))
