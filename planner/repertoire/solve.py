"""The answer, put together."""

from planner.repertoire.adding import added
from planner.repertoire.case import Case, prepare
from planner.repertoire.cover import Cover, cover
from planner.repertoire.explain import every_impossible, unknown
from planner.repertoire.frontier import frontier
from planner.repertoire.greedy import apart_minutes, greedy_minutes
from planner.repertoire.model import Added, Answer, Plan, Problem
from planner.repertoire.words import answered


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
    impossible = every_impossible(case, found.placed)
    return Answer(
        plan=plan,
        added=adds,
        apart=apart_minutes(case, problem.seconds),
        greedy=greedy_minutes(case),
        impossible=impossible,
        frontier=frontier(case, share) if problem.frontier else (),
        unknown=unknown(case),
        notes=_notes(case, plan, adds),
        sentence=answered(case, plan, impossible),
    )


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
