"""Why an audition cannot be covered, the way out, and the facts that are missing."""

from dataclasses import replace
from itertools import combinations

import pytest

from planner.repertoire.case import prepare
from planner.repertoire.conflict import Tangle, chosen
from planner.repertoire.cover import cover, shortfalls
from planner.repertoire.explain import every_impossible, impossible, unknown
from planner.repertoire.model import (
    Again,
    Audition,
    Binding,
    Group,
    Hearing,
    Lack,
    Piece,
    Problem,
    Slot,
    Together,
    Unknown,
)
from planner.repertoire.rules import About, Rule
from tests.planner.repertoire_cases import small
from tests.planner.repertoire_oracles import Brute, hearing_ways


def slot(key, *composers, least=1, **more):
    rules = (Rule(About.COMPOSER, words=composers),) if composers else ()
    return Slot(key, key.capitalize(), least=least, rules=rules, **more)


def piece(key, composer="", **more):
    return Piece(key, key.capitalize(), 60, composer=composer, **more)


def hearing(*slots, key="live", **more):
    return Hearing(key, key.capitalize(), slots, **more)


def case(pieces, *hearings, again=Again.MAY, **more):
    return prepare(Problem(tuple(pieces), (Audition("x", "Carrow", hearings, again),), **more))


BY_BRIX = Together(
    "one by Brix", Binding.AT_LEAST, least=1, rules=(Rule(About.COMPOSER, ("Brix",)),)
)


# ---- lacks, conflicts and sentences


def test_an_audition_that_can_be_covered_needs_no_explanation():
    assert impossible(case([piece("a", "Brix")], hearing(slot("solo", "Brix"))), "x") is None


def test_a_slot_that_nothing_fits_says_it_all():
    why = impossible(case([piece("a", "Brix")], hearing(slot("solo", "Arnolt"))), "x")
    assert why.lacks == (Lack("solo", "Solo", 0, 1),)
    assert (why.conflict, why.hearing, why.over) == ((), "live", 0)
    assert why.sentence == "Carrow cannot be covered: no piece of the library fits Solo."


def test_a_slot_that_too_few_pieces_fit_is_told_with_both_numbers():
    why = impossible(case([piece("a", "Brix")], hearing(slot("solos", "Brix", least=3))), "x")
    assert why.lacks == (Lack("solos", "Solos", 1, 3),)
    assert why.sentence == "Carrow cannot be covered: Solos takes three pieces, only one fits."


def test_two_slots_that_want_the_same_piece_are_in_conflict():
    found = case(
        [piece("a", "Brix"), piece("b", "Arnolt")],
        hearing(slot("solo", "Brix"), slot("etude", "Brix"), slot("other", "Arnolt")),
    )
    why = impossible(found, "x")
    assert (why.lacks, why.conflict) == ((), ("Solo", "Etude"))
    assert why.sentence == "Carrow cannot be covered: Solo and Etude cannot be met together."


def test_a_constraint_that_no_choice_meets_is_named():
    slow = [piece("a", "Brix", character=("slow",)), piece("b", "Arnolt", character=("slow",))]
    contrast = Together("two that contrast", Binding.CONTRASTING)
    found = case(slow, hearing(slot("solo"), slot("etude"), together=(contrast,)))
    assert impossible(found, "x").conflict == ("Solo", "Etude", "two that contrast")


def test_a_limit_of_length_tells_by_how_much_it_is_missed():
    limit = Together("ten minutes", Binding.LENGTH, most=600)
    found = case(
        [piece("a", seconds=400), piece("b", seconds=350)],
        hearing(slot("solo"), slot("etude"), together=(limit,)),
    )
    why = impossible(found, "x")
    assert (why.conflict, why.over, why.ways_out) == (("Solo", "Etude", "ten minutes"), 150, ())
    assert why.sentence.endswith("a limit of length is missed by 2½ minutes at the least.")


def test_of_many_slots_in_conflict_only_the_number_is_told():
    limit = Together("ten minutes", Binding.LENGTH, most=600)
    names = ("first", "second", "third", "fourth", "fifth")
    found = case(
        [piece(f"p{n}", seconds=150) for n in range(5)],
        hearing(*map(slot, names), together=(limit,)),
    )
    why = impossible(found, "x")
    assert why.conflict == ("First", "Second", "Third", "Fourth", "Fifth", "ten minutes")
    assert "five of its slots and ten minutes cannot be met together" in why.sentence


def test_a_demand_that_no_music_can_meet_is_told_apart_from_one_that_the_library_cannot():
    three = Together(
        "three by Brix", Binding.AT_LEAST, least=3, rules=(Rule(About.COMPOSER, ("Brix",)),)
    )
    few = case([piece("a", "Brix"), piece("b", "Brix")], hearing(slot("solo"), together=(three,)))
    assert "three by Brix asks for more than it has room for" in impossible(few, "x").sentence
    none = case([piece("b", "Arnolt")], hearing(slot("solo"), together=(BY_BRIX,)))
    assert "one by Brix cannot be met with the pieces at hand" in impossible(none, "x").sentence


def test_what_is_missing_in_a_slot_is_not_held_against_its_constraints_too():
    long = Together("long enough", Binding.LENGTH, least=600)
    found = case(
        [piece("a", "Arnolt", seconds=60)],
        hearing(slot("solo", "Brix"), slot("etude", "Arnolt"), together=(BY_BRIX, long)),
    )
    why = impossible(found, "x")
    assert ([lack.slot for lack in why.lacks], why.conflict) == (["solo"], ())


def test_a_choice_between_slots_that_nothing_fits_names_them_all():
    either = Group("either", "One of two", least=1)
    found = case(
        [piece("a", "Brix")],
        hearing(
            slot("solo", "Arnolt", inside="either"),
            slot("etude", "Arnolt", inside="either"),
            groups=(either,),
        ),
    )
    why = impossible(found, "x")
    assert (why.lacks, why.conflict) == ((), ("Solo", "Etude", "One of two"))


def test_each_round_that_cannot_be_played_is_explained_by_itself():
    found = case(
        [piece("a", "Brix")],
        hearing(slot("solo", "Brix"), key="screening"),
        hearing(slot("solo", "Arnolt"), key="live"),
        hearing(slot("etude", "Cormery"), key="final"),
        again=Again.MUST_NOT,
    )
    whys = every_impossible(found)
    assert [why.hearing for why in whys] == ["live", "final"]
    assert whys[0].sentence.startswith("Carrow, Live, cannot be covered: no piece")


def test_rounds_that_only_clash_with_each_other_are_explained_together():
    found = case(
        [piece("a", "Brix"), piece("b", "Arnolt")],
        hearing(slot("solo", "Brix"), key="screening"),
        hearing(slot("solo", "Arnolt"), slot("etude", "Brix"), key="live"),
        again=Again.MUST_NOT,
    )
    (why,) = every_impossible(found)
    rule = "no piece in two of Screening, Live"
    assert why.conflict == ("Solo (Screening)", "Etude (Live)", rule)
    again = case(
        [piece("a", "Brix"), piece("b", "Arnolt")],
        hearing(slot("solo", "Brix"), key="screening"),
        hearing(slot("solo", "Arnolt"), key="live"),
        again=Again.MUST,
    )
    (why,) = every_impossible(again)
    assert why.conflict[-1] == "the pieces of Screening again in Live"


def test_only_auditions_that_are_kept_are_explained():
    found = case([piece("a", "Brix")], hearing(slot("solo", "Arnolt")))
    (audition,) = found.problem.auditions
    left_out = replace(found.problem, auditions=(replace(audition, kept=False),))
    assert every_impossible(prepare(left_out)) == ()


# ---- the smallest conflict, against trying everything


def relaxed(one, some):
    """A hearing with only some of its demands, made anew from the definitions."""
    things = [demand.thing for demand in some]
    slots = [s if s in things else replace(s, least=0, most=s.most or s.least) for s in one.slots]
    groups = [
        g if g in things or not chosen(one, g) else replace(g, least=0, most=99) for g in one.groups
    ]
    together = [t for t in one.together if t in things]
    return replace(one, slots=tuple(slots), groups=tuple(groups), together=tuple(together))


def test_conflicts_are_the_smallest_there_are_and_dropping_any_member_resolves_them():
    tried = larger = 0
    for seed in range(250):
        problem = small(seed)
        found, oracle = prepare(problem), Brute(problem)
        for unit in shortfalls(found):
            if len(unit.hearings) > 1:
                continue
            (one,) = unit.hearings
            fitting = {at[1:]: p for at, p in found.fitting.items() if at[0] == unit.audition}
            tangle = Tangle(unit, found.pieces, fitting)
            conflict = tangle.conflict()

            def can(some, one=one, oracle=oracle):
                return bool(hearing_ways(relaxed(one, some), oracle.pieces))

            assert not can(conflict), seed
            for member in conflict:
                assert can([other for other in conflict if other is not member]), seed
            for number in range(len(conflict)):
                assert all(map(can, combinations(tangle.demands, number))), seed
            tried, larger = tried + 1, larger + (len(conflict) > 1)
    assert tried > 100 and larger > 20


def test_the_auditions_explained_are_those_that_trying_everything_cannot_cover():
    for seed in range(250):
        problem, oracle = small(seed), Brute(small(seed))
        whys = every_impossible(prepare(problem))
        cannot = {a.key for a in problem.auditions if not oracle.possible(a.key)}
        assert {why.audition for why in whys} == cannot, seed


def test_the_ways_out_are_where_the_plan_is_short_of_pieces():
    for seed in range(100):
        found = prepare(small(seed))
        plan = cover(found, seconds=30)
        short = [(p.audition, p.slot, p.lacking) for p in plan.placed if p.lacking]
        whys = every_impossible(found, plan.placed)
        ways = [(why.audition, way.slot, way.missing) for why in whys for way in why.ways_out]
        assert sorted(ways) == sorted(short), seed


# ---- ways out


LIBRARY = (
    piece("far", "Arnolt", kind="etude", year=1990),
    piece("close", "Brix", kind="etude", year=1990),
    piece("unsure", "Brix", kind="etude"),
    piece("other", "Brix", kind="solo", year=1800),
)
OLD = (Rule(About.COMPOSER, words=("Brix",)), Rule(About.YEARS, most=1899))


def test_a_way_out_says_what_is_missing_and_what_comes_nearest():
    asked = Slot("etude", "Etude", "etude", least=2, rules=OLD)
    (way,) = impossible(case(LIBRARY, hearing(asked)), "x").ways_out
    assert (way.slot, way.name, way.missing) == ("etude", "Etude", 2)
    assert way.asks == "an etude, by Brix, written before 1900"
    assert [one.piece for one in way.nearest] == ["unsure", "close", "other", "far"]
    unsure, close, *_ = way.nearest
    assert (unsure.may, unsure.reasons) == (True, ("its year is not recorded",))
    assert (close.may, close.reasons) == (False, ("written in 1990, asked for before 1900",))


def test_at_most_five_pieces_are_named_and_none_that_the_teacher_has_refused():
    many = [piece(f"p{n}", "Arnolt") for n in range(9)]
    asked = slot("solo", "Brix", judged={"p0": False})
    (way,) = impossible(case(many, hearing(asked)), "x").ways_out
    assert [one.piece for one in way.nearest] == ["p1", "p2", "p3", "p4", "p5"]


def test_a_piece_that_was_left_out_comes_to_mind_again():
    found = case([piece("a", "Brix")], hearing(slot("solo", "Brix")), banned=("a",))
    (way,) = impossible(found, "x").ways_out
    assert way.nearest[0].reasons == ("left out of the plan",)


def test_a_way_out_of_a_conflict_names_the_constraint_that_binds_the_new_piece():
    slow = [piece("a", "Brix", character=("slow",)), piece("b", "Arnolt")]
    contrast = Together("contrasting", Binding.CONTRASTING)
    found = case(slow, hearing(slot("solo"), slot("etude"), together=(contrast,)))
    (way,) = impossible(found, "x").ways_out
    assert way.asks == "a piece; contrasting"
    assert [(one.piece, one.reasons) for one in way.nearest] == [
        ("b", ("its character is not recorded",))
    ]


# ---- facts


def test_facts_that_are_not_recorded_are_told_with_the_slots_they_decide():
    etude = Slot("etude", "Etude", "etude", rules=OLD)
    limit = Together("limit", Binding.LENGTH, most=600)
    found = case(LIBRARY, hearing(etude, slot("any", "Brix"), together=(limit,)))
    assert unknown(found) == (
        Unknown("close", "length", ("any",)),
        Unknown("unsure", "year", ("etude",)),
        Unknown("unsure", "length", ("etude", "any")),
        Unknown("other", "length", ("any",)),
    )


@pytest.mark.parametrize(
    ("together", "more", "fact"),
    [
        (Together("t", Binding.COMPOSERS), {}, "composer"),
        (Together("t", Binding.WORKS), {"composer": "Brix"}, "title"),
        (Together("t", Binding.CONTRASTING), {}, "character"),
        (Together("t", Binding.AT_MOST, most=1, rules=(Rule(About.YEARS, most=1800),)), {}, "year"),
    ],
)
def test_facts_that_a_constraint_needs_are_told(together, more, fact):
    found = case([Piece("a", "A", 60, **more)], hearing(slot("solo"), together=(together,)))
    assert unknown(found) == (Unknown("a", fact, ("solo",)),)


def test_nothing_is_asked_of_pieces_that_cannot_fit_or_are_left_out():
    asked = hearing(Slot("etude", "Etude", "etude", rules=OLD))
    assert unknown(case([piece("a", "Arnolt", kind="etude")], asked)) == ()
    assert unknown(case([piece("a", "Brix", kind="etude")], asked, banned=("a",))) == ()
