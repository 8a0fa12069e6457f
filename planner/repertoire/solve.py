"""The answer, put together."""

from importlib import import_module

from planner.repertoire.adding import added
from planner.repertoire.case import Case, prepare
from planner.repertoire.cover import Cover, cover
from planner.repertoire.model import Added, Answer, Plan, Problem


def answer(problem: Problem) -> Answer:
    """Return the least music for the auditions kept, and what there is to say about it.

    The plan is given `problem.seconds`, all that is worked out besides as much again. Raises
    ValueError, naming the place, for a problem that makes no sense or gets no plan at all in its
    time, and Unsound if a plan does not stand the check.
    """
    case = prepare(problem)
    found = cover(case, seconds=problem.seconds)
    plan = _plan(found)
    share = problem.seconds / (problem.marginals + problem.frontier or 1)
    adds = added(case, found, share) if problem.marginals else ()
    impossible = _said("explain", "every_impossible", (), case)
    return Answer(
        plan=plan,
        added=adds,
        apart=_said("greedy", "apart_minutes", None, case, problem.seconds),
        greedy=_said("greedy", "greedy_minutes", None, case),
        impossible=impossible,
        frontier=_said("frontier", "frontier", (), case, share) if problem.frontier else (),
        unknown=_said("explain", "unknown", (), case),
        notes=_notes(case, plan, adds),
        sentence=_said("words", "answered", "", case, plan, impossible),
    )


def _said(module: str, function: str, otherwise, *arguments):
    """Return what a module says that may not be there yet."""
    try:
        found = import_module(f"planner.repertoire.{module}")
    except ModuleNotFoundError:
        return otherwise
    return getattr(found, function)(*arguments)


def _plan(found: Cover) -> Plan:
    return Plan(
        pieces=found.pieces,
        placed=found.placed,
        minutes=found.minutes,
        bound=found.bound,
        proven=found.proven,
        settled=found.settled,
        complete=found.complete,
    )


def _notes(case: Case, plan: Plan, adds: tuple[Added, ...]) -> tuple[str, ...]:
    notes = []
    if plan.proven and not plan.settled and case.problem.preferred:
        notes.append(
            "Of plans of the same hours and as many pieces, another may keep more of the "
            "preferred pieces."
        )
    if any(one.least < one.most for one in adds):
        notes.append("What some auditions add is given as a range: the time was not enough.")
    return tuple(notes)
