"""The audition day, minute by minute, backwards from the first note.

Read `model` for what goes in and comes out. `timeline` counts back from the call in exact elapsed
time (UTC inside, wall times only at the edges), `wording` writes titles and sentences, `night`
says when the day begs for a night away, `solve` puts the answer together.
"""

from planner.day.example import example
from planner.day.model import (
    Answer,
    Certainty,
    Extra,
    Format,
    Given,
    Key,
    Limits,
    NightAway,
    Problem,
    Rooms,
    Step,
    Usual,
)
from planner.day.solve import answer

QUESTION = "The audition day, minute by minute, backwards from the first note"

__all__ = [
    "QUESTION",
    "Answer",
    "Certainty",
    "Extra",
    "Format",
    "Given",
    "Key",
    "Limits",
    "NightAway",
    "Problem",
    "Rooms",
    "Step",
    "Usual",
    "answer",
    "example",
]
