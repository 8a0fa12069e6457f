"""Whether plans for several students go together, read from the problem itself.

Nothing here knows of the programme that made them. Each plan by itself has stood the check of
`planner.dates` before.
"""

from collections.abc import Mapping

from planner.dates.check import Unsound
from planner.dates.model import Plan
from planner.together.booking import engagements
from planner.together.clashes import clashes
from planner.together.model import Problem


def check(problem: Problem, plans: Mapping[int, Plan]) -> None:
    """Raise Unsound if a companion cannot do what the plans, by student, ask."""
    booked = [
        one.booking
        for net, plan in plans.items()
        for one in engagements(problem.students[net], plan.choices)
    ]
    broken = clashes(booked, problem.companions)
    if broken:
        raise Unsound(broken[0].sentence)
