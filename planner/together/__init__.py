"""Which dates all students take when an accompanist, or the teacher, has to come along.

Read `model` for what goes in and comes out, and `clashes` for what one companion's day cannot hold;
it stands by itself and solves nothing. `case` makes each student's own dates ready by
`planner.dates`, `duties` turns the companions' days into rows, `flow` makes the integer programme
of the students that hang together, `joint` has it solved and says what is proven. `check` reads the
plans from the problem before anybody believes them. `explain` sets those aside who do
not go together, `conflict` finds the fewest of them, `ways_out` tries what would help.
"""

from planner.together.clashes import Booking, Clash, Companion, clashes
from planner.together.example import example
from planner.together.model import (
    Answer,
    Closed,
    Conflict,
    Day,
    Player,
    Problem,
    Student,
    Taken,
    WayOut,
)
from planner.together.solve import answer
from planner.together.validate import validate

QUESTION = "Which dates all students take when somebody has to come along"

__all__ = [
    "QUESTION",
    "Answer",
    "Booking",
    "Clash",
    "Closed",
    "Companion",
    "Conflict",
    "Day",
    "Player",
    "Problem",
    "Student",
    "Taken",
    "WayOut",
    "answer",
    "clashes",
    "example",
    "validate",
]
