"""Integer programmes: columns, rows and an objective of whole numbers, and their solution.

The solver is an optional dependency of the planner, so it is imported only when it is needed.
"""

from dataclasses import dataclass, field
from math import ceil

EPSILON = 1e-6


@dataclass
class Model:
    """An integer programme, to be minimised.

    lower, upper: the range of each column. rows: (least or None, most or None, ((column,
    coefficient), …)).
    """

    lower: list[int] = field(default_factory=list)
    upper: list[int] = field(default_factory=list)
    rows: list[tuple[int | None, int | None, list[tuple[int, int]]]] = field(default_factory=list)

    def column(self, upper: int, lower: int = 0) -> int:
        """Add a column and return its index."""
        self.lower.append(lower)
        self.upper.append(upper)
        return len(self.lower) - 1

    def row(self, terms: list[tuple[int, int]], least: int | None = None, most: int | None = None):
        """Add a row."""
        self.rows.append((least, most, terms))


@dataclass(frozen=True)
class Solved:
    """What the solver found. values: None if it found none, by column. bound: no solution is
    lower. infeasible: there is no solution.
    """

    values: tuple[int, ...] | None
    bound: int
    infeasible: bool = False


def solve(model: Model, cost: dict[int, int], seconds: float) -> Solved:
    """Return the solution of `model` with the lowest sum of `cost`, by column.

    The same model gives the same solution on every run, unless `seconds` run out. Raises
    ArithmeticError if the solution breaks a row.
    """
    from ortools.linear_solver import pywraplp

    solver, columns = _load(model, cost, pywraplp.Solver.CreateSolver("SCIP"))
    solver.set_time_limit(max(1, int(seconds * 1000)))
    exact = pywraplp.MPSolverParameters()
    exact.SetDoubleParam(exact.RELATIVE_MIP_GAP, 0.0)
    status = solver.Solve(exact)
    if status == solver.INFEASIBLE:
        return Solved(None, 0, True)
    bound = ceil(solver.Objective().BestBound() - EPSILON)
    if status not in (solver.OPTIMAL, solver.FEASIBLE):
        return Solved(None, bound)
    values = tuple(round(column.solution_value()) for column in columns)
    broken = _broken(model, values)
    if broken is not None:
        raise ArithmeticError(f"the solver's answer breaks row {broken}")
    return Solved(values, min(bound, sum(cost[c] * values[c] for c in cost)))


def relaxed(model: Model, cost: dict[int, int]) -> int | None:
    """Return a lower bound of the sum of `cost`: the linear relaxation, rounded up.

    None if there is no solution.
    """
    from ortools.linear_solver import pywraplp

    solver, _ = _load(model, cost, pywraplp.Solver.CreateSolver("GLOP"))
    if solver.Solve() != solver.OPTIMAL:
        return None
    return ceil(solver.Objective().Value() - 1e-4)


def _load(model, cost, solver):
    infinity = solver.infinity()
    columns = [
        solver.IntVar(low, high, "") for low, high in zip(model.lower, model.upper, strict=True)
    ]
    for least, most, terms in model.rows:
        row = solver.Constraint(
            -infinity if least is None else least, infinity if most is None else most, ""
        )
        for column, coefficient in terms:
            row.SetCoefficient(columns[column], coefficient)
    objective = solver.Objective()
    for column, price in cost.items():
        objective.SetCoefficient(columns[column], price)
    objective.SetMinimization()
    return solver, columns


def _broken(model: Model, values: tuple[int, ...]) -> int | None:
    for number, (least, most, terms) in enumerate(model.rows):
        total = sum(coefficient * values[column] for column, coefficient in terms)
        if (least is not None and total < least) or (most is not None and total > most):
            return number
    return None
