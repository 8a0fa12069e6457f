"""Which students and which companions do not go together: as few as will do."""

from collections.abc import Callable, Iterable
from dataclasses import replace
from itertools import combinations

from planner.together.case import Case
from planner.together.joint import Clock, possible

TRY = 5.0  # seconds for one question whether some students can be planned
PAIRS = 150  # up to so many are tried where a group is larger


def students(case: Case, nets: list[int], clock: Clock) -> tuple[int, ...]:
    """Return a group of `nets` that cannot be planned; whichever is left out, the rest can.

    Where pairs are not too many to try, two are preferred to more. Where the clock is over, the
    group is larger than need be.
    """

    def fits(some: Iterable[int]) -> bool:
        # What is not known in time counts as possible: the group is then no smaller than it is.
        return clock.over or possible(case, list(some), min(TRY, clock.left)) is not False

    for net in nets:
        if not fits((net,)):
            return (net,)
    group, pairs = irreducible(nets, fits), _pairs(case, nets)
    if len(group) <= 2 or len(pairs) > PAIRS:
        return group
    return next((pair for pair in pairs if not fits(pair)), group)


def _pairs(case: Case, nets: list[int]) -> list[tuple[int, int]]:
    within = set(nets)
    some = {pair for d in case.duties for pair in combinations(sorted(d.nets & within), 2)}
    return sorted(some)


def irreducible(items: Iterable, fits: Callable[[list], bool]) -> tuple:
    """Return some of `items` that do not fit; they do, whichever of them is left out.

    Halves are tried before single ones (Junker, QuickXplain, 2004: from memory).
    """

    def needed(given: list, added: bool, some: list) -> list:
        if added and not fits(given):
            return []
        if len(some) == 1:
            return some
        first, second = some[: len(some) // 2], some[len(some) // 2 :]
        later = needed(given + first, True, second)
        sooner = needed(given + later, bool(later), first)
        return sooner + later

    left = list(items)
    return tuple(needed([], False, left)) if left else ()


def asked(case: Case, nets: Iterable[int]) -> tuple[str, ...]:
    """Return the companions who come along to some of the students `nets`."""
    problem = case.problem
    keys = {key for net in nets for _, key in problem.students[net].companions}
    return tuple(companion.key for companion in problem.companions if companion.key in keys)


def companions(case: Case, nets: tuple[int, ...], clock: Clock) -> tuple[str, ...]:
    """Return the companions because of whom the students `nets` cannot be planned."""
    some = asked(case, nets)

    def fits(rest: list[str]) -> bool:
        dropped = set(some) - set(rest)
        changed = without(case, nets, dropped)
        return clock.over or possible(changed, list(nets), min(TRY, clock.left)) is not False

    return irreducible(some, fits)


def without(case: Case, nets: Iterable[int], dropped: set[str]) -> Case:
    """Return the case in which some companions do not come along to the students `nets`."""
    found = list(case.problem.students)
    for net in nets:
        kept = tuple(pair for pair in found[net].companions if pair[1] not in dropped)
        found[net] = replace(found[net], companions=kept)
    return Case(replace(case.problem, students=tuple(found)), case.known)
