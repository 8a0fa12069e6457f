"""The answer, put together."""

from planner.repertoire.adding import added
from planner.repertoire.case import Case, prepare
from planner.repertoire.cover import Cover, cover
from planner.repertoire.model import Answer, Plan, Problem


def answer(problem: Problem) -> Answer:
    """Return the least music for the auditions kept, and what there is to say about it.

    Raises ValueError, naming the place, for a problem that makes no sense or gets no plan at all
    in its time, and Unsound if a plan does not stand the check.
    """
    case = prepare(problem)
    found = cover(case, seconds=problem.seconds)
    left = problem.seconds
    return Answer(
        plan=_plan(found),
        added=added(case, found, left) if problem.marginals else (),
        apart=None,
        greedy=None,
        impossible=(),
        frontier=(),
        unknown=(),
        notes=_notes(case, found),
        sentence="",
    )


def _plan(cover: Cover) -> Plan:
    return Plan(
        cover.pieces,
        cover.placed,
        cover.minutes,
        cover.bound,
        cover.proven,
        cover.settled,
        cover.complete,
    )


def _notes(case: Case, cover: Cover) -> tuple[str, ...]:
    return ()
