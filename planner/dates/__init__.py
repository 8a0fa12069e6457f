"""Which of the offered dates to take, and how the journeys join up.

Read `model` for what goes in and comes out. A `case` is a problem made ready once: the dates that
are still possible in order of time, with the legs between them (`journeys`, on `ways` and
`clocks`), as a `graph`. `search` finds the cheapest path over it and proves it, with the bounds
of `relax`; neither knows of journeys. `trips` makes the plan of a path, and `check` reads it row
by row from the problem before anybody believes it. `explain` says what else there is to say,
`words` says it, `solve` puts the answer together.
"""

from planner.dates.check import Unsound
from planner.dates.example import example
from planner.dates.model import (
    HOME,
    Answer,
    Audition,
    Burden,
    Choice,
    Closed,
    Hop,
    Mode,
    Offer,
    Own,
    Plan,
    Price,
    Problem,
    Settings,
    Trip,
    WayOut,
    Weights,
)
from planner.dates.solve import answer
from planner.dates.validate import validate

QUESTION = "Which of the offered dates to take, and how the journeys join up"

__all__ = [
    "HOME",
    "QUESTION",
    "Answer",
    "Audition",
    "Burden",
    "Choice",
    "Closed",
    "Hop",
    "Mode",
    "Offer",
    "Own",
    "Plan",
    "Price",
    "Problem",
    "Settings",
    "Trip",
    "Unsound",
    "WayOut",
    "Weights",
    "answer",
    "example",
    "validate",
]
