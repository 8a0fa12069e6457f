"""A flat list of requirements becomes a tree, and the tree says what is still to be chosen."""

import pytest

from studio.requirements.models import Kind, Requirement
from studio.requirements.tree import choice, demand, reckon, tree, walk, wanted


def row(pk, name, inside=None, **fields):
    """Return a requirement that no database has seen."""
    return Requirement(
        pk=pk, position=pk, name=name, parent_id=inside, **{"kind": Kind.SOLO} | fields
    )


def some_of(pk, name="Choice", inside=None, **fields):
    return row(pk, name, inside, kind=Kind.SOME_OF, **fields)


def all_of(pk, name="All", inside=None, **fields):
    return row(pk, name, inside, kind=Kind.ALL_OF, **fields)


def shape(rows):
    return [(node.requirement.name, node.depth) for node in walk(tree(rows))]


def states(rows, **chosen):
    """Return the lines by name; chosen: how many pieces, by name."""
    keys = {each.name: each.pk for each in rows}
    counts = {keys[name.replace("_", " ")]: count for name, count in chosen.items()}
    return {line.requirement.name: line for line in reckon(tree(rows), counts)}


def asks(rows, **chosen):
    return [name for name, line in states(rows, **chosen).items() if line.wanted]


def counting(rows, **chosen):
    return [name for name, line in states(rows, **chosen).items() if line.counts]


# trade.md, whole bundles A or B: a solo, or three excerpts, or two etudes.
BUNDLES = [
    some_of(1),
    row(2, "Solo", 1),
    row(3, "Excerpts", 1, kind=Kind.EXCERPT, at_least=3),
    row(4, "Etudes", 1, kind=Kind.ETUDE, at_least=2),
    row(5, "Scales", kind=Kind.SCALES),
]


# The tree


def test_a_group_holds_its_own_in_the_order_of_their_positions():
    rows = [row(4, "Excerpt", 2), row(1, "Solo"), row(3, "Etude", 2), all_of(2), row(5, "Paper")]
    assert shape(rows) == [("Solo", 0), ("All", 0), ("Etude", 1), ("Excerpt", 1), ("Paper", 0)]


def test_groups_stand_inside_groups():
    rows = [some_of(1), all_of(2, "Bundle", 1), row(3, "Solo", 2), row(4, "Song", 1)]
    assert shape(rows) == [("Choice", 0), ("Bundle", 1), ("Solo", 2), ("Song", 1)]


@pytest.mark.parametrize("inside", [99, 1])
def test_what_stands_inside_nothing_that_is_a_group_stands_by_itself(inside):
    assert shape([row(1, "Solo"), row(2, "Etude", inside)]) == [("Solo", 0), ("Etude", 0)]


def test_groups_inside_each_other_are_not_lost():
    rows = [all_of(1, "One", 2), all_of(2, "Two", 1), row(3, "Solo", 2)]
    assert shape(rows) == [("One", 0), ("Two", 0), ("Solo", 1)]


def test_nothing_asked_is_an_empty_tree():
    assert tree([]) == ()
    assert reckon((), {}) == ()


# In words


@pytest.mark.parametrize(
    ("fields", "words"),
    [
        ({"kind": Kind.ALL_OF}, "all of"),
        ({"kind": Kind.ALL_OF, "at_least": 2}, "all of"),
        ({}, "any one of"),
        ({"at_most": 1}, "any one of"),
        ({"at_least": 2}, "two of"),
        ({"at_least": 2, "at_most": 3}, "2 to 3 of"),
        ({"at_least": 0, "at_most": 2}, "up to two of"),
        ({"kind": Kind.SOLO, "at_least": 2}, ""),
    ],
)
def test_a_group_says_how_many_of_it_are_asked_for(fields, words):
    assert demand(row(1, "Group", **{"kind": Kind.SOME_OF} | fields)) == words


def test_a_choice_names_what_it_is_between():
    assert choice(tree(BUNDLES)[0]) == "any one of: Solo, Excerpts, Etudes"


# What is wanted


def test_a_requirement_lacks_pieces_until_it_has_the_least_and_has_too_many_above_the_most():
    rows = [row(1, "Etudes", at_least=2, at_most=3)]
    told = [states(rows, Etudes=n)["Etudes"] for n in range(5)]
    assert [(line.lacking, line.surplus, line.met) for line in told] == [
        (2, 0, False), (1, 0, False), (0, 0, True), (0, 0, True), (0, 1, True),
    ]  # fmt: skip
    assert states([row(1, "Solo")], Solo=2)["Solo"].surplus == 1


def test_all_of_a_group_is_wanted_one_by_one():
    rows = [all_of(1), row(2, "Solo", 1), row(3, "Etude", 1)]
    assert asks(rows) == ["Solo", "Etude"]
    assert asks(rows, Solo=1) == ["Etude"]
    assert asks(rows, Solo=1, Etude=1) == []
    assert states(rows, Solo=1, Etude=1)["All"].met


def test_a_choice_is_wanted_once_as_a_whole_until_one_alternative_is_complete():
    assert asks(BUNDLES) == ["Choice", "Scales"]
    assert asks(BUNDLES, Excerpts=2, Scales=1) == ["Choice"]
    assert asks(BUNDLES, Excerpts=3, Scales=1) == []
    assert asks(BUNDLES, Solo=1, Scales=1) == []
    assert [line.requirement.name for line in wanted(tree(BUNDLES), {})] == ["Choice", "Scales"]


def test_several_of_a_choice_are_counted():
    rows = [some_of(1, at_least=2), *(row(n, f"Song {n}", 1) for n in (2, 3, 4, 5))]
    line = states(rows, Song_2=1)["Choice"]
    assert (line.chosen, line.lacking, line.wanted) == (1, 1, True)
    assert asks(rows, Song_2=1, Song_4=1) == []


def test_a_choice_with_more_chosen_than_asked_for_says_by_how_many():
    assert states(BUNDLES, Solo=1, Etudes=1)["Choice"].surplus == 1
    assert states(BUNDLES, Solo=1)["Choice"].surplus == 0
    assert states(BUNDLES, Excerpts=1, Etudes=1)["Choice"].surplus == 0


def test_a_bundle_inside_a_choice_is_met_as_a_whole():
    rows = [
        some_of(1),
        all_of(2, "Bundle", 1),
        row(3, "Etude", 2),
        row(4, "Song", 2),
        row(5, "Concerto", 1),
    ]
    assert asks(rows, Etude=1) == ["Choice"]
    assert asks(rows, Etude=1, Song=1) == []
    assert asks(rows, Concerto=1) == []


def test_a_choice_inside_a_group_of_all_is_wanted_by_itself():
    rows = [all_of(1), row(2, "Solo", 1), some_of(3, inside=1), row(4, "A", 3), row(5, "B", 3)]
    assert asks(rows) == ["Solo", "Choice"]
    assert asks(rows, B=1) == ["Solo"]


def test_an_optional_extra_is_never_wanted_and_meets_no_choice_by_being_left_out():
    assert asks([row(1, "Third song", at_least=0, at_most=1)]) == []
    rows = [some_of(1), row(2, "Song", 1, at_least=0, at_most=1), row(3, "Aria", 1)]
    assert asks(rows) == ["Choice"]
    assert asks([some_of(1, at_least=0, at_most=1), row(2, "Song", 1)]) == []


def test_what_is_no_music_has_nothing_to_choose():
    rows = [row(1, "Interview", kind=Kind.INTERVIEW), some_of(2), row(3, "Essay", 2, kind="paper")]
    assert asks(rows) == []
    assert counting(rows) == []


def test_an_alternative_that_is_no_music_can_be_taken_without_choosing_anything():
    rows = [row(2, "Theory", 1, kind=Kind.TEST), row(3, "Solo", 1), row(4, "Song", 1)]
    assert asks([some_of(1), *rows]) == []
    assert asks([some_of(1, at_least=2), *rows]) == ["Choice"]
    assert asks([some_of(1, at_least=2), *rows], Song=1) == []


def test_what_a_made_choice_does_without_is_spare():
    assert [name for name, line in states(BUNDLES, Solo=1).items() if line.spare] == [
        "Excerpts", "Etudes",
    ]  # fmt: skip
    assert not any(line.spare for line in states(BUNDLES, Excerpts=1).values())
    assert states(BUNDLES, Solo=1, Excerpts=1)["Excerpts"].spare
    bundle = [some_of(1), all_of(2, "Bundle", 1), row(3, "Etude", 2), row(4, "Solo", 1)]
    told = states(bundle, Solo=1)
    assert (told["Bundle"].spare, told["Etude"].spare, told["Solo"].spare) == (True, True, False)


# What counts towards readiness


def test_what_is_asked_for_counts_and_of_a_choice_what_is_chosen_or_the_choice_itself():
    assert counting(BUNDLES) == ["Choice", "Scales"]
    assert counting(BUNDLES, Solo=1) == ["Solo", "Scales"]
    assert counting(BUNDLES, Excerpts=1) == ["Choice", "Excerpts", "Scales"]
    assert counting([all_of(1), row(2, "Solo", 1)]) == ["Solo"]
    assert counting([row(1, "Third song", at_least=0, at_most=1)]) == []
    assert counting([row(1, "Third song", at_least=0, at_most=1)], Third_song=1) == ["Third song"]
