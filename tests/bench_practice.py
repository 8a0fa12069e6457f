"""How long a student's practice plan takes: run by `make bench`.

Invented pieces with dates over the whole time and three auditions, best of five, in CPU seconds.
The ratio is against the maximum flow of the same pieces and days (scipy), which only says whether
the dates can be met. "enough" has time for everything, "short" has half of it. Nothing here can
fail: it measures.
"""

import random
import time
from datetime import date, timedelta

import numpy as np
from scipy.sparse import coo_matrix
from scipy.sparse.csgraph import maximum_flow

from planner.practice import Audition, Piece, Problem, answer
from planner.practice.case import Case
from planner.practice.edf import fits

TODAY = date(2027, 1, 4)
SIZES = ((12, 90), (40, 200))  # pieces, days
TIMES = 5
LOAD = {"enough": 70, "short": 140}  # percent of all minutes that the pieces ask for


def practice(pieces, days, load, seed=1):
    """Return a Problem with an hour and a half a day."""
    pick = random.Random(seed)
    shares = [pick.randint(1, 5) for _ in range(pieces)]
    found = []
    for number, share in enumerate(shares):
        due = TODAY + timedelta(pick.randint(days // 3, days - 1))
        begin = TODAY + timedelta(pick.randint(0, days // 4))
        need = 90 * days * load // 100 * share // sum(shares)
        played = pick.choice((None, TODAY - timedelta(1)))
        found.append(
            Piece(f"p{number}", f"Piece {number}", need, due, begin, pick.randint(0, 3), played)
        )
    auditions = tuple(
        Audition(f"a{number}", f"Audition {number}", TODAY + timedelta(on), ("p0", "p1", "p2"), 20)
        for number, on in enumerate((days // 2, 2 * days // 3, days - 1))
    )
    return Problem(TODAY, (90,) * 7, tuple(found), auditions=auditions)


def flow(problem):
    """Return the most minutes that can be placed: source, pieces, days, sink."""
    case = Case(problem)
    count, sink = len(case.jobs), 1 + len(case.jobs) + case.end
    edges = [(0, row, job.need) for row, job in enumerate(case.jobs, 1)]
    for row, job in enumerate(case.jobs, 1):
        edges += [(row, 1 + count + day, job.need) for day in range(job.first, job.due + 1)]
    edges += [(1 + count + day, sink, case.caps[day]) for day in range(case.end)]
    start, end, most = (np.array(column, dtype=np.int32) for column in zip(*edges, strict=True))
    graph = coo_matrix((most, (start, end)), shape=(sink + 1, sink + 1)).tocsr()
    return maximum_flow(graph, 0, sink).flow_value


def dates(problem):
    """Return whether every date can be met, by earliest due date first."""
    case = Case(problem)
    return fits(case.jobs, case.caps)


def cpu(work, problem):
    """Return the least CPU seconds of a few runs."""
    spent = []
    for _ in range(TIMES):
        start = time.process_time()
        work(problem)
        spent.append(time.process_time() - start)
    return min(spent)


def main():
    """Measure and print."""
    print(f"{'practice':22} {'work':10} {'seconds':>10} {'ratio':>7}")
    for pieces, days in SIZES:
        for name, load in LOAD.items():
            problem = practice(pieces, days, load)
            floor = cpu(flow, problem)
            title = f"{pieces} x {days} days, {name}"
            print(f"{title:22} {'flow':10} {floor:>8.4f} s {1:>7.2f}")
            for word, work in (("dates", dates), ("answer", answer)):
                spent = cpu(work, problem)
                print(f"{title:22} {word:10} {spent:>8.4f} s {spent / floor:>7.2f}", flush=True)


if __name__ == "__main__":
    main()
