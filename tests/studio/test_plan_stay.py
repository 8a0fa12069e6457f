"""Who sits where in a plan: where they are now, as far as the rules let them."""

from dataclasses import replace

from planner import repertoire
from planner.repertoire.model import (
    Audition,
    Binding,
    Group,
    Hearing,
    Piece,
    Problem,
    Slot,
    Together,
)
from planner.repertoire.rules import About, Rule
from studio.entries.plan_stay import stay


def piece(key, **facts):
    return Piece(key, key, 60, **facts)


def settled(hearing, pieces, now):
    """Return the pieces by slot of the stayed plan of one hearing, and the engine's own plan."""
    problem = Problem(pieces, (Audition("a", "A", (hearing,)),))
    plan = repertoire.answer(problem).plan
    stayed = stay(problem, plan, {("a", slot): keys for slot, keys in now.items()})
    assert replace(stayed, placed=()) == replace(plan, placed=())
    return {place.slot: place.pieces for place in stayed.placed}


TWO = (Slot("first", "First"), Slot("second", "Second"))


def test_pieces_that_fit_either_slot_sit_where_they_are_now():
    pieces = (piece("x"), piece("y"))
    for now in ({"first": ("x",), "second": ("y",)}, {"first": ("y",), "second": ("x",)}):
        assert settled(Hearing("live", "Live", TWO), pieces, now) == now


def test_one_piece_at_home_is_enough_to_change_places():
    pieces = (piece("x"), piece("y"))
    for home in ("x", "y"):
        assert settled(Hearing("live", "Live", TWO), pieces, {"second": (home,)})["second"] == (
            home,
        )


def test_a_piece_stays_in_no_slot_that_it_does_not_fit():
    baroque = Rule(About.PERIOD, ("Baroque",))
    hearing = Hearing("live", "Live", (replace(TWO[0], rules=(baroque,)), TWO[1]))
    pieces = (piece("old", period="Baroque"), piece("new", period="Romantic"))
    now = {"first": ("new",), "second": ("old",)}
    assert settled(hearing, pieces, now) == {"first": ("old",), "second": ("new",)}


def test_pieces_stay_only_where_what_binds_them_is_kept():
    contrast = Together("contrasting", Binding.CONTRASTING, scope="pair")
    slots = (Slot("pair", "Pair", least=2), Slot("other", "Other"))
    words = {"a": "slow", "b": "slow", "c": "fast"}
    pieces = tuple(piece(key, character=(word,)) for key, word in words.items())
    found = settled(
        Hearing("live", "Live", slots, together=(contrast,)),
        pieces,
        {"pair": ("a", "b"), "other": ("c",)},
    )
    assert "c" in found["pair"]
    assert set(found["pair"]) & {"a", "b"}


def test_the_alternative_that_is_chosen_now_stays_chosen():
    slots = (Slot("one", "One", inside="either"), Slot("two", "Two", inside="either"))
    hearing = Hearing("live", "Live", slots, groups=(Group("either", "Either", least=1),))
    for chosen in ("one", "two"):
        assert settled(hearing, (piece("x"),), {chosen: ("x",)}) == {chosen: ("x",)}


def test_what_is_not_prepared_does_not_come_back():
    pieces = (piece("x"), replace(piece("long"), prep=600))
    found = settled(Hearing("live", "Live", TWO[:1]), pieces, {"first": ("long",)})
    assert found == {"first": ("x",)}
