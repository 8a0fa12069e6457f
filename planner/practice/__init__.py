"""How many minutes on what, each day, so that every piece is ready in time?

Read `model` for what goes in and comes out. A `case` is the problem in numbers: days, what they
hold, pieces as jobs. `edf` says exactly how much can be placed, `proof` why not more and which
single changes would do, `cut` which minutes are left out then. Then the plan: `wishes` keeps light
days and run-throughs free where no date suffers, `spread` gives each day its minutes, `session` its
order. `check` reads the answer row by row from the problem before anybody believes it, `words` says
it, `solve` puts it together.
"""

from planner.practice.check import Unsound
from planner.practice.example import example
from planner.practice.model import (
    Answer,
    Audition,
    Away,
    Change,
    Day,
    Extra,
    Piece,
    PieceLine,
    Problem,
    Rest,
    Row,
    Settings,
    Short,
    Stretch,
)
from planner.practice.solve import answer
from planner.practice.validate import validate

QUESTION = "How many minutes on what, each day, so that every piece is ready in time?"

__all__ = [
    "QUESTION",
    "Answer",
    "Audition",
    "Away",
    "Change",
    "Day",
    "Extra",
    "Piece",
    "PieceLine",
    "Problem",
    "Rest",
    "Row",
    "Settings",
    "Short",
    "Stretch",
    "Unsound",
    "answer",
    "example",
    "validate",
]
