"""What a hearing scores by the institution's own rubric, and whether it passes.

Read `model` for what goes in and comes out, then `solve`. `notation` reads and writes rubrics and
points as one line of text, `checking` refuses what makes no sense, `score` adds one player's points
up, `ranking` puts several players in order, `words` says all of it.
"""

from planner.rubric.checking import misfits
from planner.rubric.example import example
from planner.rubric.figures import written
from planner.rubric.model import (
    Answer,
    Criterion,
    Deduction,
    Line,
    Loss,
    Place,
    Point,
    Problem,
    Rubric,
    Score,
    Sheet,
    same,
)
from planner.rubric.notation import (
    POINTS_HELP,
    RUBRIC_HELP,
    read_points,
    read_rubric,
    write_points,
    write_rubric,
)
from planner.rubric.score import score
from planner.rubric.solve import answer
from planner.rubric.words import said, spoken_points, spoken_rubric

QUESTION = "What does this hearing score by the institution's own rubric, and does it pass?"

__all__ = [
    "POINTS_HELP",
    "QUESTION",
    "RUBRIC_HELP",
    "Answer",
    "Criterion",
    "Deduction",
    "Line",
    "Loss",
    "Place",
    "Point",
    "Problem",
    "Rubric",
    "Score",
    "Sheet",
    "answer",
    "example",
    "misfits",
    "read_points",
    "read_rubric",
    "said",
    "same",
    "score",
    "spoken_points",
    "spoken_rubric",
    "write_points",
    "write_rubric",
    "written",
]
