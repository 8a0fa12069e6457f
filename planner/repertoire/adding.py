"""What each audition adds to the plan."""

from planner.repertoire.case import Case
from planner.repertoire.cover import Cover, cover, fewest
from planner.repertoire.model import Added


def added(case: Case, plan: Cover, seconds: float) -> tuple[Added, ...]:
    """Return the minutes that each of the auditions of `plan` adds, in the problem's order.

    seconds: for all of them together, as the solvers count it; after that the ranges are rough.
    """
    found = []
    for audition in case.problem.auditions:
        if audition.key in plan.auditions:
            one, taken = _added(case, plan, audition.key, seconds)
            found.append(one)
            seconds -= taken
    return tuple(found)


def _added(case: Case, plan: Cover, audition: str, seconds: float) -> tuple[Added, float]:
    at_hand = _without(case, plan, audition)
    if seconds <= 0:
        # It adds no more than it takes by itself, and no less than goes with it from the plan.
        alone = cover(case, frozenset({audition}), seconds=1, hours_only=True).minutes
        most = min(alone, plan.minutes)
        return Added(audition, min(most, max(0, plan.bound - at_hand)), most), 0.0
    rest = fewest(case, plan.auditions - {audition}, at_hand, seconds=seconds)
    least = max(0, plan.bound - rest.most)
    return Added(audition, least, max(least, plan.minutes - rest.least)), rest.seconds


def _without(case: Case, plan: Cover, audition: str) -> int:
    """Return the minutes of what is left of `plan` without the audition."""
    used = {key for place in plan.placed if place.audition != audition for key in place.pieces}
    used.update(case.problem.pinned)
    return sum(piece.prep for piece in case.problem.pieces if piece.key in used)
