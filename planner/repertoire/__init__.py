"""The least music that covers what the auditions ask.

Read `model` for what goes in and comes out, `rules` and `fitting` for which piece fits which
slot. A `Case` is a problem made ready once: its `units` are the hearings that hang together, with
the pieces that are alike for them (`signatures`). `programme` makes the integer programme of some
auditions (`rows`: those of one unit), `aims` and `mip` solve it, `handing` says who sits where,
and `check` reads the plan row by row from the problem before anybody believes it. `cover` is the
way in; `solve` puts the answer together.
"""

from planner.repertoire.check import Unsound
from planner.repertoire.example import example
from planner.repertoire.model import (
    Added,
    Again,
    Answer,
    Audition,
    Binding,
    Candidate,
    Group,
    Hearing,
    Impossible,
    Lack,
    Piece,
    Placed,
    Plan,
    Point,
    Problem,
    Slot,
    Together,
    Unknown,
    WayOut,
)
from planner.repertoire.rules import About, Rule
from planner.repertoire.solve import answer
from planner.repertoire.validate import validate

QUESTION = "The least music that covers every audition, and what each one adds"

__all__ = [
    "QUESTION",
    "About",
    "Added",
    "Again",
    "Answer",
    "Audition",
    "Binding",
    "Candidate",
    "Group",
    "Hearing",
    "Impossible",
    "Lack",
    "Piece",
    "Placed",
    "Plan",
    "Point",
    "Problem",
    "Rule",
    "Slot",
    "Together",
    "Unknown",
    "Unsound",
    "WayOut",
    "answer",
    "example",
    "validate",
]
