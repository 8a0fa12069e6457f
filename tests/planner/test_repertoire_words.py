"""The plan in sentences."""

import pytest

from planner.repertoire.case import prepare
from planner.repertoire.explain import every_impossible
from planner.repertoire.model import Audition, Hearing, Piece, Plan, Problem, Slot
from planner.repertoire.rules import About, Rule
from planner.repertoire.words import answered, hours


@pytest.mark.parametrize(
    ("minutes", "words"),
    [
        (0, "no hours"),
        (5, "a few minutes"),
        (20, "half an hour"),
        (60, "1 hour"),
        (95, "1½ hours"),
        (180, "3 hours"),
        (209, "3 hours"),
        (210, "4 hours"),
        (2880, "48 hours"),
    ],
)
def test_hours_are_whole_above_three_and_halves_below(minutes, words):
    assert hours(minutes) == words


def plan(pieces=9, minutes=2880, bound=2880, proven=True):
    keys = tuple(f"p{n}" for n in range(pieces))
    return Plan(keys, (), minutes, bound, proven, proven, True)


def asking(count):
    auditions = tuple(Audition(f"a{n}", f"Place {n}", ()) for n in range(count))
    return prepare(Problem((), auditions))


@pytest.mark.parametrize(
    ("count", "what", "sentence"),
    [
        (
            6,
            plan(),
            "Nine pieces, 48 hours still to prepare: proven the least that covers these six "
            "auditions.",
        ),
        (
            1,
            plan(1, 30, 30),
            "One piece, half an hour still to prepare: proven the least that covers this audition.",
        ),
        (
            2,
            plan(minutes=2880, bound=2799, proven=False),
            "Nine pieces, 48 hours still to prepare. No plan covers these two auditions in less "
            "than 46 hours; which is the least was not proven within the time.",
        ),
        (
            2,
            plan(proven=False),
            "Nine pieces, 48 hours still to prepare: no fewer hours cover these two auditions, "
            "perhaps fewer pieces do.",
        ),
        (
            2,
            plan(3, 0, 0),
            "Three pieces, nothing left to prepare: proven the least that covers these two "
            "auditions.",
        ),
        (0, plan(0, 0, 0), "No audition is kept in the plan, so there is nothing to cover."),
        (1, plan(0, 0, 0), "These auditions ask for no pieces, so there is nothing to prepare."),
    ],
)
def test_the_answer_is_a_plain_sentence(count, what, sentence):
    assert answered(asking(count), what) == sentence


def test_the_answer_names_what_cannot_be_covered_first():
    slots = tuple(Slot(key, key, rules=(Rule(About.COMPOSER, (key,)),)) for key in ("Brix", "Holt"))
    audition = Audition("x", "Carrow", (Hearing("live", "Live", slots),))
    case = prepare(Problem((Piece("a", "A", 60, composer="Brix"),), (audition,)))
    whys = every_impossible(case)
    assert answered(case, plan(1, 60, 60), whys) == (
        "Carrow cannot be covered in full. One piece, 1 hour still to prepare: proven the least "
        "that covers the rest."
    )
    assert answered(case, plan(0, 0, 0), whys) == "Carrow cannot be covered in full."
