"""Every kind of requirement binds: with it the plan is another than without it.

Each case is a problem, its plan, what is taken away, and the plan without it.
"""

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
    Problem,
    Rule,
    Slot,
    Together,
    answer,
)


def piece(key, prep, **facts):
    return Piece(key, key, prep, **facts)


def asks(pieces, *slots, groups=(), together=(), **more):
    """A problem of one audition with one hearing."""
    reuse = more.pop("reuse", False)
    hearing = Hearing("live", "live", slots, groups, together, reuse)
    return Problem(tuple(pieces), (Audition("a", "A", (hearing,)),), marginals=False, **more)


def plan(problem):
    found = answer(problem).plan
    assert found.proven
    assert found.settled
    return " ".join(sorted(found.pieces)) if found.complete else "lacking"


def hearing(problem, **changes):
    """The problem with another first hearing."""
    first = problem.auditions[0]
    changed = (replace(first.hearings[0], **changes), *first.hearings[1:])
    return replace(problem, auditions=(replace(first, hearings=changed), *problem.auditions[1:]))


def slot(problem, key, **changes):
    slots = problem.auditions[0].hearings[0].slots
    return hearing(
        problem, slots=tuple(replace(s, **changes) if s.key == key else s for s in slots)
    )


def group(problem, key, **changes):
    groups = problem.auditions[0].hearings[0].groups
    return hearing(
        problem, groups=tuple(replace(g, **changes) if g.key == key else g for g in groups)
    )


def again(problem, word):
    return replace(problem, auditions=(replace(problem.auditions[0], again=word),))


def free(problem):
    """The problem without its constraints."""
    return hearing(problem, together=())


SOLO, STUDY = Slot("solo", "Solo"), Slot("study", "Study")
CHEAP, DEAR = piece("cheap", 10), piece("dear", 50)
ROMANTIC = Rule(About.PERIOD, ("Romantic",))

# ---- what a piece must be

KIND = asks(
    [piece("cheap", 10, kind="etude"), piece("dear", 50, kind="solo")], replace(SOLO, kind="solo")
)
INSTRUMENT = asks(
    [piece("cheap", 10, instrument="oboe"), piece("dear", 50, instrument="horn")],
    replace(SOLO, instrument="horn"),
)
PIANO = asks(
    [piece("cheap", 10, piano="without piano"), piece("dear", 50, piano="with piano")],
    replace(SOLO, piano="with piano"),
)
RULE = asks(
    [piece("cheap", 10, period="Baroque"), piece("dear", 50, period="Romantic")],
    replace(SOLO, rules=(ROMANTIC,)),
)
JUDGED_NO = asks([CHEAP, DEAR], replace(SOLO, judged={"cheap": False}))
JUDGED_YES = asks(
    [piece("cheap", 10, kind="etude"), piece("dear", 50, kind="solo")],
    replace(SOLO, kind="solo", judged={"cheap": True}),
)

# ---- how many, and which parts

LEAST = asks([CHEAP, DEAR], replace(SOLO, least=2))
LONG = Together("long", Binding.LENGTH, least=300)
SHORT_ONES = [piece("one", 10, seconds=150), piece("two", 10, seconds=150)]
LONG_ONE = piece("three", 30, seconds=300)
MOST = asks([*SHORT_ONES, LONG_ONE], replace(SOLO, most=1), together=(LONG,))
WHERE = Rule(About.PIECE, ("cheap",)), Rule(About.PIECE, ("dear",))
PARTS = (
    Slot("solo", "Solo", rules=WHERE[:1], inside="g"),
    Slot("study", "Study", rules=WHERE[1:], inside="g"),
)
ALL = asks([CHEAP, DEAR], *PARTS, groups=(Group("g", "g"),))
TWO_OF = asks([CHEAP, DEAR], *PARTS, groups=(Group("g", "g", 2),))
RANGE_LEAST = asks([CHEAP, DEAR], *PARTS, groups=(Group("g", "g", 2, 2),))
RANGE_MOST = asks(
    [*SHORT_ONES, LONG_ONE],
    Slot("solo", "Solo", inside="g"),
    Slot("study", "Study", inside="g"),
    groups=(Group("g", "g", 1, 1),),
    together=(LONG,),
)
ANY = asks([CHEAP, DEAR], *PARTS, groups=(Group("g", "g", 1),))
NESTED = asks(
    [CHEAP, DEAR, piece("dearest", 55)],
    Slot("solo", "Solo", rules=WHERE[:1], inside="inner"),
    Slot("study", "Study", rules=WHERE[1:], inside="inner"),
    Slot("other", "Other", rules=(Rule(About.PIECE, ("dearest",)),), inside="outer"),
    groups=(Group("outer", "outer", 1), Group("inner", "inner", inside="outer")),
)
ONCE = asks([CHEAP, DEAR], SOLO, STUDY)

# ---- constraints on pieces together

PERIODS = [piece("one", 10, period="Baroque"), piece("two", 20, period="Baroque")]
MODERN = piece("three", 30, period="Romantic")
TWO = replace(SOLO, least=2)
AT_LEAST = asks(
    [*PERIODS, MODERN],
    TWO,
    together=(Together("one", Binding.AT_LEAST, least=1, rules=(ROMANTIC,)),),
)
AT_MOST = asks(
    [*PERIODS, MODERN],
    SOLO,
    STUDY,
    together=(Together("one", Binding.AT_MOST, most=1, rules=(Rule(About.PERIOD, ("Baroque",)),)),),
)
NAMES = [
    piece("one", 10, composer="Ahn", work="Duo"),
    piece("two", 20, composer="ahn", work="Trio"),
    piece("three", 30, composer="Bell", work="Duo"),
]
COMPOSERS = asks(NAMES, TWO, together=(Together("c", Binding.COMPOSERS, "solo"),))
WORKS = asks(
    [piece("zero", 5, composer="Ahn", work="Duo"), *NAMES],
    TWO,
    together=(Together("w", Binding.WORKS),),
)
MOODS = [
    piece("one", 10, character=("slow", "lyrical")),
    piece("two", 20, character=("Lyrical",)),
    piece("three", 30, character=("brisk",)),
]
CONTRASTING = asks(
    MOODS,
    Slot("solo", "Solo", inside="g"),
    Slot("study", "Study", inside="g"),
    groups=(Group("g", "g"),),
    together=(Together("contrast", Binding.CONTRASTING, "g"),),
)
TIMED = [
    piece("one", 10, seconds=200),
    piece("two", 20, seconds=200),
    piece("three", 30, seconds=100),
]
LENGTH_MOST = asks(TIMED, TWO, together=(Together("short", Binding.LENGTH, most=300),))
LENGTH_LEAST = asks(
    [piece("one", 10, seconds=100), piece("two", 20, seconds=300)], SOLO, together=(LONG,)
)
UNKNOWN = asks(
    [piece("one", 10), piece("two", 20, seconds=90)],
    SOLO,
    together=(Together("short", Binding.LENGTH, most=300),),
)
UNPLAYED = asks(
    [CHEAP, piece("dear", 50, period="Romantic"), piece("third", 15)],
    Slot("one", "One", rules=(Rule(About.PIECE, ("cheap", "third")),), least=2, inside="g"),
    Slot("other", "Other", rules=WHERE[1:], inside="g"),
    groups=(Group("g", "g", 1),),
    together=(Together("r", Binding.AT_LEAST, "one", least=1, rules=(ROMANTIC,)),),
)

# ---- one piece in two slots

BOTH = [piece("one", 10, seconds=200, composer="Ahn"), piece("two", 90, seconds=100, composer="B")]
LASTS_ONCE = asks(BOTH, SOLO, STUDY, together=(LONG,), reuse=True)
COUNTS_ONCE = asks(
    BOTH,
    SOLO,
    STUDY,
    together=(Together("two", Binding.AT_LEAST, least=2, rules=()),),
    reuse=True,
)
CLASHES = asks(BOTH, SOLO, STUDY, together=(Together("c", Binding.COMPOSERS),), reuse=True)


# ---- hearings of one audition, auditions of one problem


def rounds(word, *hearings):
    pieces = (CHEAP, DEAR, piece("dearest", 70))
    return Problem(pieces, (Audition("a", "A", hearings, word),), marginals=False)


def heard(key, *names, least=1):
    slots = (Slot("solo", "Solo", least=least, rules=(Rule(About.PIECE, names),)),)
    return Hearing(key, key, slots)


MUST_NOT = rounds(Again.MUST_NOT, heard("tape", "cheap", "dear"), heard("live", "cheap", "dear"))
MUST = rounds(Again.MUST, heard("tape", "cheap", "dearest"), heard("live", "dear", "dearest"))
THIRD = rounds(
    Again.MUST,
    heard("tape", "cheap"),
    heard("live", "cheap", "dear", least=2),
    heard("final", "dearest"),
)
TARGETS = Problem(
    (CHEAP, DEAR),
    (
        Audition("a", "A", (heard("live", "cheap"),)),
        Audition("b", "B", (heard("live", "dear"),)),
    ),
    marginals=False,
)
LEFT_OUT = replace(TARGETS.auditions[1], kept=False)
ONE_KEPT = replace(TARGETS, auditions=(TARGETS.auditions[0], LEFT_OUT))
EITHER = asks([CHEAP, DEAR], SOLO)
LIKED = asks([piece("cheap", 10), piece("also", 10)], SOLO, preferred=("also",))
DISLIKED = replace(LIKED, preferred=("cheap",))
FEWER = asks(
    [piece("one", 10), piece("two", 10), piece("both", 20)],
    Slot("solo", "Solo", rules=(Rule(About.PIECE, ("one", "both")),)),
    Slot("study", "Study", rules=(Rule(About.PIECE, ("two", "both")),)),
    reuse=True,
)

CASES = {
    "kind": (KIND, "dear", slot(KIND, "solo", kind=""), "cheap"),
    "instrument": (INSTRUMENT, "dear", slot(INSTRUMENT, "solo", instrument=""), "cheap"),
    "piano": (PIANO, "dear", slot(PIANO, "solo", piano="not stated"), "cheap"),
    "rule": (RULE, "dear", slot(RULE, "solo", rules=()), "cheap"),
    "judged not to fit": (JUDGED_NO, "dear", slot(JUDGED_NO, "solo", judged=None), "cheap"),
    "judged to fit": (JUDGED_YES, "cheap", slot(JUDGED_YES, "solo", judged=None), "dear"),
    "least": (LEAST, "cheap dear", slot(LEAST, "solo", least=1), "cheap"),
    "most": (MOST, "three", slot(MOST, "solo", most=2), "one two"),
    "all of": (ALL, "cheap dear", group(ALL, "g", least=1), "cheap"),
    "two of": (TWO_OF, "cheap dear", group(TWO_OF, "g", least=1), "cheap"),
    "range, least": (RANGE_LEAST, "cheap dear", group(RANGE_LEAST, "g", least=1), "cheap"),
    "range, most": (RANGE_MOST, "three", group(RANGE_MOST, "g", most=2), "one two"),
    "any of": (ANY, "cheap", group(ANY, "g", least=None), "cheap dear"),
    "nested": (NESTED, "dearest", group(NESTED, "inner", least=1), "cheap"),
    "one piece, one slot": (ONCE, "cheap dear", hearing(ONCE, reuse=True), "cheap"),
    "at least": (AT_LEAST, "one three", free(AT_LEAST), "one two"),
    "at most": (AT_MOST, "one three", free(AT_MOST), "one two"),
    "composers": (COMPOSERS, "one three", free(COMPOSERS), "one two"),
    "works": (WORKS, "two zero", free(WORKS), "one zero"),
    "contrasting": (CONTRASTING, "one three", free(CONTRASTING), "one two"),
    "length, most": (LENGTH_MOST, "one three", free(LENGTH_MOST), "one two"),
    "length, least": (LENGTH_LEAST, "two", free(LENGTH_LEAST), "one"),
    "a fact not known": (UNKNOWN, "two", free(UNKNOWN), "one"),
    "a part not played": (UNPLAYED, "dear", free(UNPLAYED), "cheap third"),
    "lasts once": (LASTS_ONCE, "one two", free(LASTS_ONCE), "one"),
    "counts once": (COUNTS_ONCE, "one two", free(COUNTS_ONCE), "one"),
    "clashes with itself": (CLASHES, "one two", free(CLASHES), "one"),
    "must not": (MUST_NOT, "cheap dear", again(MUST_NOT, Again.MAY), "cheap"),
    "must": (MUST, "dearest", again(MUST, Again.MAY), "cheap dear"),
    "must, third": (THIRD, "cheap dear dearest", again(THIRD, Again.MUST_NOT), "lacking"),
    "kept": (ONE_KEPT, "cheap", TARGETS, "cheap dear"),
    "pinned": (replace(EITHER, pinned=("dear",)), "dear", EITHER, "cheap"),
    "banned": (replace(EITHER, banned=("cheap",)), "dear", EITHER, "cheap"),
    "preferred": (LIKED, "also", DISLIKED, "cheap"),
    "fewer pieces": (FEWER, "both", replace(FEWER, banned=("both",)), "one two"),
}


@pytest.mark.parametrize("name", CASES)
def test_a_requirement_changes_the_plan(name):
    problem, with_it, dropped, without = CASES[name]
    assert with_it != without
    assert plan(problem) == with_it
    assert plan(dropped) == without
