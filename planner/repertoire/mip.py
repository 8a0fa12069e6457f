"""Integer programmes: columns, rows and an objective of whole numbers, and their solution.

Two solvers of one package do the work: a simplex for the linear relaxation and a branch and bound
for the rest. Neither is believed: the bound is reckoned again from the relaxation's prices in
integers, and a solution is put into every row. The package is imported when it is first needed.
"""

from collections.abc import Mapping, Sequence
from dataclasses import dataclass, field, replace
from math import ceil

Terms = list[tuple[int, int]]
Cost = Mapping[int, int]  # prices by column

PRICES = 1024  # prices of rows are rounded to this part of one: any prices give a true bound
CORE = 20  # first try the columns that one part in so many above the bound leaves possible
NEAR = 1e-4

# Cuts and probing take longer here than the nodes that they save.
SETTINGS = """
separating/maxrounds = 0
separating/maxroundsroot = 0
propagating/probing/maxprerounds = 0
"""


@dataclass
class Model:
    """An integer programme, to be minimised.

    lower, upper: the range of each column. rows: (least or None, most or None, ((column,
    coefficient), …)), no column twice. deciding: how many of the first columns decide the rest,
    so that they are branched on first.
    """

    lower: list[int] = field(default_factory=list)
    upper: list[int] = field(default_factory=list)
    rows: list[tuple[int | None, int | None, Terms]] = field(default_factory=list)
    deciding: int = 0

    def column(self, upper: int, lower: int = 0) -> int:
        """Add a column and return its index."""
        self.lower.append(lower)
        self.upper.append(upper)
        return len(self.lower) - 1

    def row(self, terms: Terms, least: int | None = None, most: int | None = None) -> None:
        """Add a row."""
        self.rows.append((least, most, terms))

    def empty(self) -> None:
        """Keep columns at 0 of which a row leaves nothing else."""
        lower, upper = self.lower, self.upper
        for least, most, terms in self.rows:
            if most == 0 and not least and all(k > 0 or not upper[c] for c, k in terms):
                for c, k in terms:
                    if k > 0 and not lower[c]:
                        upper[c] = 0


@dataclass(frozen=True)
class Relaxed:
    """The linear relaxation, in units of 1 / PRICES.

    bound: no solution costs less. extra: by column, what one step away from its cheaper end
    (positive: lower, negative: upper) adds to the bound. seconds: how long it took.
    """

    bound: int
    extra: tuple[int, ...]
    seconds: float

    @property
    def floor(self) -> int:
        """No solution costs less than this."""
        return -(-self.bound // PRICES)

    def within(self, model: Model, cost: int) -> Model:
        """Return `model` without what no solution of at most `cost` can have."""
        slack = cost * PRICES - self.bound
        lower, upper = list(model.lower), list(model.upper)
        for column, extra in enumerate(self.extra):
            if extra > slack:
                upper[column] = lower[column]
            elif -extra > slack:
                lower[column] = upper[column]
        narrowed = replace(model, lower=lower, upper=upper, rows=list(model.rows))
        narrowed.empty()
        return narrowed


@dataclass(frozen=True)
class Solved:
    """What was found. values: by column; None if nothing was. bound: no solution costs less.

    infeasible: there is no solution. seconds: how long it took.
    """

    values: tuple[int, ...] | None
    bound: int
    infeasible: bool = False
    seconds: float = 0.0


def cost_of(cost: Cost, values: Sequence[int]) -> int:
    """Return the sum of `cost`, by column, at `values`."""
    return sum(price * values[column] for column, price in cost.items())


def relax(model: Model, cost: Cost, lead: Cost | None = None, weight: int = 1) -> Relaxed | None:
    """Return the linear relaxation of `model`; None if it has no solution.

    Whatever prices the simplex puts on the rows, each row at its price and each column at its
    cheaper end add up to a bound (weak duality); so it holds in spite of rounding. lead: what the
    simplex minimises instead of `cost`, if most of the cost is `weight` times that: it is quicker
    where fewer prices differ.
    """
    from ortools.linear_solver import pywraplp

    solver = pywraplp.Solver.CreateSolver("GLOP")
    rows, _ = _load(model, cost if lead is None else lead, solver)
    status = solver.INFEASIBLE if rows is None else solver.Solve()
    if status == solver.INFEASIBLE:
        return None
    extra = [0] * len(model.lower)
    for column, price in cost.items():
        extra[column] = price * PRICES
    bound = 0
    for row, (least, most, terms) in zip(rows, model.rows, strict=True):
        known = row is not None and status == solver.OPTIMAL
        price = round(row.dual_value() * PRICES) * weight if known else 0
        side = least if price > 0 else most
        if not price or side is None:
            continue
        bound += price * side
        for column, coefficient in terms:
            extra[column] -= price * coefficient
    for column, price in enumerate(extra):
        bound += price * (model.lower[column] if price > 0 else model.upper[column])
    return Relaxed(bound, tuple(extra), solver.wall_time() / 1000)


def least(
    model: Model,
    cost: Cost,
    relaxed: Relaxed,
    seconds: float,
    below: int | None = None,
) -> Solved:
    """Return the solution of the least `cost`, by column, as `solve` does, but faster.

    relaxed: as `relax` gives it for the same cost. Columns that would lift the cost far above the
    bound are left out at first; the solution is the best of all unless one of them could do
    better, and then those are tried too. below: only solutions that cost less are wanted.
    """
    highest = None if below is None else below - 1
    reach = _lower(relaxed.floor + abs(relaxed.floor) // CORE + 1, highest)
    first = _up_to(reach, model, cost, relaxed, seconds)
    found = None if first.values is None else cost_of(cost, first.values)
    if found == first.bound or reach == highest or first.bound <= reach:
        return first
    wider = _lower(found, highest)
    second = _up_to(wider, model, cost, relaxed, max(seconds - first.seconds, 0.001))
    bound, taken = max(first.bound, second.bound), first.seconds + second.seconds
    if found is not None and (second.values is None or cost_of(cost, second.values) > found):
        second = first
    return replace(second, bound=bound, seconds=taken)


def _up_to(reach: int | None, model: Model, cost: Cost, relaxed: Relaxed, seconds: float) -> Solved:
    """Return the best solution that costs `reach` at most; dearer ones may be found too."""
    if reach is None:
        return solve(model, cost, seconds)
    solved = solve(relaxed.within(model, reach), cost, seconds)
    if solved.infeasible:
        return replace(solved, bound=reach + 1, infeasible=False)
    return replace(solved, bound=max(relaxed.floor, min(solved.bound, reach + 1)))


def _lower(one: int | None, other: int | None) -> int | None:
    return min((number for number in (one, other) if number is not None), default=None)


def solve(model: Model, cost: Cost, seconds: float, nodes: int | None = None) -> Solved:
    """Return the solution of `model` with the least `cost`, by column.

    nodes: limit of the branch and bound. The same model gives the same solution on every run,
    unless `seconds` run out. Raises ArithmeticError if the solution breaks a row.
    """
    from ortools.linear_solver import pywraplp

    solver = pywraplp.Solver.CreateSolver("SCIP")
    rows, columns = _load(model, cost, solver)
    if rows is None:
        return Solved(None, 0, True)
    for column in columns[: model.deciding]:
        if column is not None:
            column.SetBranchingPriority(1)
    limit = "" if nodes is None else f"limits/nodes = {nodes}\n"
    if not solver.SetSolverSpecificParametersAsString(SETTINGS + limit):
        raise RuntimeError("the solver does not know its settings")
    solver.set_time_limit(max(1, int(seconds * 1000)))
    exact = pywraplp.MPSolverParameters()
    exact.SetDoubleParam(exact.RELATIVE_MIP_GAP, 0.0)
    status = solver.Solve(exact)
    taken = solver.wall_time() / 1000
    if status == solver.INFEASIBLE:
        return Solved(None, 0, True, taken)
    fixed = sum(cost[c] * model.lower[c] for c in cost if columns[c] is None)
    bound = ceil(solver.Objective().BestBound() - NEAR) + fixed
    if status not in (solver.OPTIMAL, solver.FEASIBLE):
        return Solved(None, bound, False, taken)
    values = tuple(
        low if column is None else round(column.solution_value())
        for column, low in zip(columns, model.lower, strict=True)
    )
    _hold(model, values)
    return Solved(values, min(bound, cost_of(cost, values)), False, taken)


def _load(model, cost, solver):
    """Return the rows (None where a row holds whatever happens) and columns (None: fixed).

    (None, columns) if a row is broken whatever happens.
    """
    columns = [
        solver.IntVar(low, high, "") if low < high else None
        for low, high in zip(model.lower, model.upper, strict=True)
    ]
    infinity, rows = solver.infinity(), []
    for least, most, terms in model.rows:
        free = [(columns[c], coefficient) for c, coefficient in terms if columns[c] is not None]
        fixed = sum(k * model.lower[c] for c, k in terms if columns[c] is None)
        if not free:
            if _outside(fixed, least, most):
                return None, columns
            rows.append(None)
            continue
        row = solver.Constraint(
            -infinity if least is None else least - fixed,
            infinity if most is None else most - fixed,
            "",
        )
        for column, coefficient in free:
            row.SetCoefficient(column, coefficient)
        rows.append(row)
    objective = solver.Objective()
    for c, price in cost.items():
        if columns[c] is not None:
            objective.SetCoefficient(columns[c], price)
    objective.SetMinimization()
    return rows, columns


def _outside(total: int, least: int | None, most: int | None) -> bool:
    return (least is not None and total < least) or (most is not None and total > most)


def _hold(model: Model, values: Sequence[int]) -> None:
    for number, (least, most, terms) in enumerate(model.rows):
        if _outside(sum(k * values[c] for c, k in terms), least, most):
            raise ArithmeticError(f"the solver's answer breaks row {number}")
