"""Several aims, one after the other: the second is only weighed among what is best for the first.

They are put into one sum as long as the numbers stay small enough for the solver.
"""

from collections.abc import Mapping, Sequence
from dataclasses import dataclass, replace

from planner.repertoire.mip import Model, Relaxed, cost_of, least, relax

LARGEST = 10**8  # above that the solver's tolerances begin to tell

Cost = Mapping[int, int]


@dataclass(frozen=True)
class Found:
    """What was found. values: by column, None if nothing was. bound: of the first aim.

    proven: no solution is better for the first aim, nor as good for it and better for the next.
    equals: the model of all solutions that are as good, if proven.
    """

    values: tuple[int, ...] | None
    bound: int = 0
    proven: bool = False
    infeasible: bool = False
    equals: Model | None = None


def best(model: Model, aims: Sequence[Cost], seconds: float, known: int | None = None) -> Found:
    """Return the solution of `model` that is least for each of the `aims` in turn.

    seconds: time limit of each solve. known: what some solution costs for the first aim, if one
    is known.
    """
    sums = _Sums(model, aims)
    relaxed = relax(model, sums.cost)
    if relaxed is None:
        return Found(None, infeasible=True)
    if relaxed.floor > LARGEST and len(aims) > 1:
        return _in_turn(model, aims, seconds, known)
    ceiling = None if known is None else sums.ceiling(known)
    solved = least(model, sums.cost, relaxed, seconds, ceiling)
    bound = sums.first(solved.bound)
    if solved.values is None:
        return Found(None, bound, infeasible=solved.infeasible)
    total = cost_of(sums.cost, solved.values)
    if solved.bound < total:
        return Found(solved.values, bound)
    return Found(
        solved.values,
        cost_of(aims[0], solved.values),
        True,
        equals=_equals(model, aims, relaxed, solved.values, total),
    )


def _in_turn(model, aims, seconds, known) -> Found:
    first = best(model, aims[:1], seconds, known)
    if not first.proven:
        return first
    rest = best(first.equals, aims[1:], seconds)
    if rest.values is None:
        return replace(first, proven=False)
    return replace(rest, bound=first.bound)


def _equals(model: Model, aims, relaxed: Relaxed, values, total: int) -> Model:
    equals = relaxed.within(model, total)
    for aim in aims:
        equals.row(list(aim.items()), most=cost_of(aim, values))
    return equals


class _Sums:
    """Several aims in one sum: `cost`, by column."""

    def __init__(self, model: Model, aims: Sequence[Cost]):
        self.cost: dict[int, int] = {}
        self._weight, self._rest = 1, 0
        for aim in reversed(aims):
            if aim is not aims[-1]:
                self._weight *= self._reach + 1
            ends = [
                (price * model.lower[column], price * model.upper[column])
                for column, price in aim.items()
            ]
            self._reach = sum(max(pair) - min(pair) for pair in ends)
            for column, price in aim.items():
                self.cost[column] = self.cost.get(column, 0) + self._weight * price
            if aim is not aims[0]:
                self._rest += self._weight * sum(max(pair) for pair in ends)

    def ceiling(self, first: int) -> int:
        """Return the highest sum of a solution that costs `first` for the first aim."""
        return first * self._weight + self._rest

    def first(self, total: int) -> int:
        """Return the least cost for the first aim if the sum is at least `total`."""
        return -((self._rest - total) // self._weight)
