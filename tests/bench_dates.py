"""How long the choice of dates takes: run by `make bench`.

Invented seasons of three sizes (planner/dates_cases.py): ten weeks of Fridays and Saturdays over a
continent, one to eight dates an institution. 20 seasons that have a plan, in the order of their
seeds, and the first ten without one that come before them. Seconds are of the processor.
The ratio is how many times as long the plan takes as the graph to build, as scipy's milp on the
same graph (a variable for each arc, flow through each date, one date an institution); it travels
between machines. Nothing here can fail: it measures.
"""

import time
from dataclasses import replace
from statistics import median

from planner.dates import answer
from planner.dates.case import Case
from planner.dates.search import least
from tests.planner.dates_cases import typical

SIZES = (5, 12, 20)
RIVALS = {20: 5}  # seasons for which milp is tried, which takes long: fewer of the largest
NONE = 10  # seasons without a plan
SEASONS = 20
SEEDS = 400
SECONDS = 8.0
MILP = 30.0


def timed(work):
    """Return (seconds, what comes out)."""
    start = time.process_time()
    found = work()
    return time.process_time() - start, found


class Bench:
    """One size, measured."""

    def __init__(self, institutions):
        self.institutions = institutions
        self.rows = {name: [] for name in ("plan", "graph", "search", "milp", "explained")}
        self.none = {name: [] for name in ("no plan", "why, and ways out")}
        self.proven = self.same = self.milps = self.offers = self.priced = self.seconds = 0
        self.out = self.unsaid = 0
        for seed in range(SEEDS):
            if len(self.rows["plan"]) == SEASONS:
                break
            self.run(replace(typical(seed, institutions), seconds=SECONDS))

    def run(self, problem):
        """Measure one season."""
        spent, found = timed(lambda: answer(problem))
        explained = replace(problem, explain=True)
        if found.plan is None:
            if len(self.none["no plan"]) < NONE:
                self.none["no plan"].append(spent)
                spent, told = timed(lambda: answer(explained))
                self.none["why, and ways out"].append(spent)
                self.unsaid += not (told.proven and told.conflict)
                self.out += bool(told.ways_out)
            return
        self.proven += found.proven
        self.rows["plan"].append(spent)
        spent, case = timed(lambda: Case(problem))
        self.rows["graph"].append(spent)
        groups = range(len(case.auditions))
        self.rows["search"].append(timed(lambda: least(case.graph, groups))[0])
        if len(self.rows["milp"]) < RIVALS.get(self.institutions, SEASONS):
            spent, points = timed(lambda: by_milp(case.graph))
            self.rows["milp"].append(spent)
            self.milps += points is not None
            self.same += points == found.plan.burden.points
        spent, told = timed(lambda: answer(explained))
        self.rows["explained"].append(spent)
        self.seconds += told.second is not None
        self.offers += len(told.prices)
        self.priced += sum(price.extra is not None or bool(price.why) for price in told.prices)

    def show(self):
        """Print a line for each kind of work."""
        count, milps = len(self.rows["plan"]), len(self.rows["milp"])
        notes = {
            "plan": f"{self.proven} of {count} proven",
            "milp": f"{self.milps} of {milps} proven in {MILP:.0f} s, {self.same} the same",
            "explained": f"{self.seconds} of {count} second best, "
            f"{self.priced} of {self.offers} dates priced",
        }
        for name, spent in self.rows.items():
            pairs = zip(self.rows["plan"], spent, strict=False)
            ratio = f"{median(plan / other for plan, other in pairs):.2g}"
            self.line(name, spent, ratio, notes.get(name, ""))
        count = len(self.none["no plan"])
        for name, spent in self.none.items():
            if spent:
                note = f"{count - self.unsaid} of {count} conflicts, {self.out} with ways out"
                self.line(name, spent, "", note if name != "no plan" else "")

    def line(self, name, spent, ratio, note):
        """Print one line."""
        times = f"{median(spent):>8.3f} {max(spent):>8.3f} {ratio:>7}"
        label = f"{self.institutions} institutions"
        print(f"{label:15} {name:18} {len(spent):>5} {times}  {note}", flush=True)


def by_milp(graph):
    """Return the least cost of a path by scipy's milp, None if it comes to no end."""
    import numpy as np
    from scipy.optimize import Bounds, LinearConstraint, milp
    from scipy.sparse import coo_array

    count = len(graph.first)
    arcs = [(None, node, cost) for node, cost in enumerate(graph.first) if cost is not None]
    arcs += [(node, None, cost) for node, cost in enumerate(graph.last) if cost is not None]
    arcs += [(node, to, cost) for node in range(count) for to, cost in graph.arcs[node]]
    group = {node: index for index, nodes in enumerate(graph.groups) for node in nodes}
    entries = []
    for column, (node, to, _) in enumerate(arcs):
        if node is None:
            entries.append((count + len(graph.groups), column, 1))
        else:
            entries.append((node, column, -1))
        if to is not None:
            entries += [(to, column, 1), (count + group[to], column, 1)]
    rows, columns, values = zip(*entries, strict=True)
    right = np.array([0] * count + [1] * (len(graph.groups) + 1))
    matrix = coo_array((values, (rows, columns)), shape=(len(right), len(arcs))).tocsr()
    found = milp(
        [cost for *_, cost in arcs],
        constraints=LinearConstraint(matrix, right, right),
        integrality=np.ones(len(arcs)),
        bounds=Bounds(0, 1),
        options={"time_limit": MILP, "mip_rel_gap": 0},
    )
    return round(found.fun) if found.status == 0 else None


def main():
    """Measure and print."""
    print(f"{'season':15} {'work':18} {'seeds':>5} {'median s':>8} {'worst s':>8} {'ratio':>7}")
    for institutions in SIZES:
        Bench(institutions).show()


if __name__ == "__main__":
    main()
