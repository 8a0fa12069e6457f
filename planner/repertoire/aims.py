"""Several aims, one after the other: the second is only weighed among what is best for the first.

They are put into one sum as long as the numbers stay small enough for the solver.
"""

from collections.abc import Sequence
from dataclasses import dataclass, replace

from planner.repertoire.mip import Cost, Model, Relaxed, Solved, cost_of, least, relax

LARGEST = 10**8  # above that the solver's tolerances begin to tell


@dataclass(frozen=True)
class Found:
    """What was found. values: by column, None if nothing was. bound: of the first aim.

    proven: no solution is better for the first aim, nor as good for it and better for the next.
    seconds: how long the solvers took. equals: the model of all solutions that are as good, if
    proven.
    """

    values: tuple[int, ...] | None
    bound: int = 0
    proven: bool = False
    infeasible: bool = False
    seconds: float = 0.0
    equals: Model | None = None


def best(model: Model, aims: Sequence[Cost], seconds: float) -> Found:
    """Return the solution of `model` that is least for each of the `aims` in turn.

    seconds: time limit, as the solvers count it.
    """
    sums = _Sums(model, aims)
    relaxed = relax(model, sums.cost, aims[0], sums.weight)
    if relaxed is None:
        return Found(None, infeasible=True)
    if relaxed.floor > LARGEST and len(aims) > 1:
        return _in_turn(model, aims, seconds)
    solved = least(model, sums.cost, relaxed, seconds)
    found = Found(
        solved.values,
        sums.first(solved.bound),
        infeasible=solved.infeasible,
        seconds=relaxed.seconds + solved.seconds,
    )
    if solved.values is None or solved.bound < cost_of(sums.cost, solved.values):
        return found
    return replace(
        found,
        bound=cost_of(aims[0], solved.values),
        proven=True,
        equals=_equals(model, aims, relaxed, solved),
    )


def _in_turn(model: Model, aims: Sequence[Cost], seconds: float) -> Found:
    first = best(model, aims[:1], seconds)
    if not first.proven:
        return first
    rest = best(first.equals, aims[1:], max(seconds - first.seconds, 0.001))
    taken = first.seconds + rest.seconds
    if rest.values is None:
        return replace(first, proven=False, seconds=taken)
    return replace(rest, bound=first.bound, seconds=taken)


def _equals(model: Model, aims: Sequence[Cost], relaxed: Relaxed, solved: Solved) -> Model:
    equals = relaxed.within(model, solved.bound)
    for aim in aims:
        equals.row(list(aim.items()), most=cost_of(aim, solved.values))
    return equals


class _Sums:
    """Several aims in one sum: `cost`, by column; the first of them times `weight`."""

    def __init__(self, model: Model, aims: Sequence[Cost]):
        self.cost: dict[int, int] = {}
        self.weight, self._rest = 1, 0
        for aim in reversed(aims):
            if aim is not aims[-1]:
                self.weight *= self._reach + 1
            ends = [
                (price * model.lower[column], price * model.upper[column])
                for column, price in aim.items()
            ]
            self._reach = sum(max(pair) - min(pair) for pair in ends)
            for column, price in aim.items():
                self.cost[column] = self.cost.get(column, 0) + self.weight * price
            if aim is not aims[0]:
                self._rest += self.weight * sum(max(pair) for pair in ends)

    def first(self, total: int) -> int:
        """Return the least cost for the first aim if the sum is at least `total`."""
        return -((self._rest - total) // self.weight)
