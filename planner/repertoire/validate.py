"""What is wrong with a problem, said so that it can be put right."""

from planner.repertoire.model import Problem


def validate(problem: Problem) -> None:
    """Raise ValueError if `problem` makes no sense."""
