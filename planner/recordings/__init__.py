"""Is what was recorded what was asked for, and what is still missing?

Read `model` for what goes in and comes out, then `solve`. `judging` holds one take against the
rules, `sheet` finds the takes that serve, `lines` says how each rule stands, `months` counts
calendar months, `naming` makes plain names of files. Nothing here reads a clock: `Problem.today`
is given.
"""

from planner.recordings.example import example
from planner.recordings.model import (
    LOOKED_AT,
    Answer,
    File,
    Piece,
    PieceAnswer,
    Problem,
    Refusal,
    RuleLine,
    Rules,
    Take,
    TakeAnswer,
)
from planner.recordings.months import usable_until
from planner.recordings.solve import answer

QUESTION = "Is what was recorded what was asked for, and what is still missing?"

__all__ = [
    "LOOKED_AT",
    "QUESTION",
    "Answer",
    "File",
    "Piece",
    "PieceAnswer",
    "Problem",
    "Refusal",
    "RuleLine",
    "Rules",
    "Take",
    "TakeAnswer",
    "answer",
    "example",
    "usable_until",
]
