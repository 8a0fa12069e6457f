"""The answer, put together."""

import time

from planner.dates import explain, words
from planner.dates.case import Case
from planner.dates.model import Answer, Problem
from planner.dates.search import several
from planner.dates.trips import believed
from planner.dates.validate import validate


def answer(problem: Problem) -> Answer:
    """Return the dates to take, and what there is to say about them.

    Raises ValueError, naming the place, for a problem that makes no sense, and Unsound (an
    ArithmeticError) if a plan does not stand the check.
    """
    validate(problem)
    deadline = time.monotonic() + problem.seconds
    case = Case(problem)
    share = problem.seconds / 2 if problem.explain else problem.seconds
    found = several(
        case.graph,
        range(len(case.auditions)),
        2 if problem.explain else 1,
        deadline - problem.seconds + share,
    )
    best = found[0]
    plan = believed(case, best)
    told = explain.explained(case, found, plan, deadline) if problem.explain else explain.NOTHING
    second = told.second
    return Answer(
        plan=plan,
        proven=best.proven,
        bound=plan.burden.points if plan and best.proven else (best.bound or 0) // case.big,
        second=second,
        second_extra=second.burden.points - plan.burden.points if plan and second else None,
        prices=told.prices,
        conflict=told.conflict,
        ways_out=told.ways_out,
        sentence=words.answered(case, plan, best.proven, told.conflict),
        reasons=words.reasons(case, plan),
        notes=words.notes(case, told.unpriced),
    )
