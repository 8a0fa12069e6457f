"""A requirement says its rules in the same words everywhere, and refuses what cannot be read."""

from decimal import Decimal

import pytest
from django.core.exceptions import ValidationError

from studio.requirements import wording
from studio.requirements.models import Kind, Requirement, RequirementSet


def said(**fields):
    return wording.rules(Requirement(name="Solo", **fields))


@pytest.mark.parametrize(
    ("fields", "words"),
    [
        ({}, ()),
        ({"at_least": 2}, ("2 pieces",)),
        ({"at_least": 2, "at_most": 3}, ("2 to 3 pieces",)),
        ({"at_least": 0, "at_most": 1}, ("up to 1 piece",)),
        ({"at_least": 2, "kind": Kind.INTERVIEW}, ()),
        ({"kind": Kind.ALL_OF}, ("all of these",)),
        ({"kind": Kind.SOME_OF, "at_least": 2}, ("two of these",)),
        ({"round": "final"}, ("final recording",)),
        ({"minutes": Decimal("2.5")}, ("at most 2.5 minutes",)),
        ({"memory": "yes", "piano": "without piano"}, ("from memory", "without piano")),
        ({"memory": "no"}, ("not from memory",)),
        ({"fits": "composer: Mozart or Haydn"}, ("by Mozart or Haydn",)),
        ({"together": "contrasting"}, ("contrasting",)),
        ({"fits": "whatever it may be"}, ("whatever it may be",)),
    ],
)
def test_rules_are_said_a_few_words_each(fields, words):
    assert said(**fields) == words


def test_the_institutions_own_words_follow_the_rules():
    row = Requirement(name="Solo", memory="yes", details="One movement\nof a concerto.")
    assert wording.asked(row) == "from memory. One movement of a concerto."


@pytest.mark.parametrize(
    ("model", "field", "text", "clause"),
    [
        (Requirement, "fits", "composer: Mozart; compsoer: Haydn", "“compsoer: Haydn”"),
        (Requirement, "together", "contrasting; contrsting", "“contrsting”"),
        (RequirementSet, "together", "minutes: at most many", "“minutes: at most many”"),
    ],
)
def test_a_notation_that_cannot_be_read_is_refused_with_the_clause(model, field, text, clause):
    with pytest.raises(ValidationError, match=clause):
        model._meta.get_field(field).run_validators(text)


@pytest.mark.parametrize(
    "seconds, words",
    [
        (30, "30 seconds"),
        (60, "1 minute"),
        (61, "1 minute 1 second"),
        (150, "2 minutes 30 seconds"),
    ],
)
def test_study_time_in_words(seconds, words):
    row = Requirement(name="Reading", kind="sight-reading", study_seconds=seconds)
    assert wording.rules(row) == (f"{words} to look at it",)


def test_in_which_pitch_the_keys_are():
    row = Requirement(name="Scales", kind="scales", scales="major: C", keys_at="concert")
    assert wording.rules(row) == ("major in C", "in concert keys")
    row.keys_at = "not stated"
    assert wording.rules(row) == ("major in C",)
