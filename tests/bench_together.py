"""How long the dates for all students together take, and what they save: run by `make bench`.

Invented seasons (planner/together_cases.py): each student has three to eight of twelve colleges
with up to eight dates each, Fridays and Saturdays of ten weeks; an accompanist comes along to most
of them. Seconds are of the processor. "ready" is what every student's own graph and best dates
take, "plans" the plans for all, "whole" the answer; the ratio is how many times as long it takes as
"ready". Nothing here can fail: it measures.
"""

import sys
import time
from dataclasses import dataclass, replace
from statistics import median

from planner.dates.trips import believed
from planner.together import answer
from planner.together.case import Case
from planner.together.joint import best, components, points_of
from planner.together.solve import clashing
from planner.together.turns import in_turn
from tests.planner.together_cases import season

LIMIT = 60.0  # seconds for the plans of one studio


@dataclass(frozen=True)
class Size:
    """So many students and accompanists, and for how many seeds."""

    students: int
    companions: int
    seeds: int

    def __str__(self):
        return f"{self.students}x{self.companions}"


SIZES = (Size(60, 4, 10), Size(60, 2, 4), Size(200, 12, 1))


@dataclass(frozen=True)
class Run:
    """What one season gave. own, points: of those who have plans.

    stranded: how many are left without dates if one after another takes the best that are left.
    left: how many have no plan.
    """

    ready: float
    plans: float
    whole: float
    proven: bool
    clashes: int
    own: int
    points: int
    stranded: int
    left: int


def run(size, seed):
    """Measure one seed."""
    problem = replace(season(seed, size.students, size.companions), seconds=LIMIT)
    start = time.process_time()
    case = Case(problem)
    ready = time.process_time() - start
    nets = [net for net, party in enumerate(case.parties) if party.own.path is not None]
    groups = components(case, nets)
    found = [best(case, group, LIMIT) for group in groups]
    plans = time.process_time() - start - ready
    paths = {net: path for one in found for net, path in (one.paths or {}).items()}
    own = [believed(party.dates, party.own) for party in case.parties]
    start = time.process_time()
    answer(replace(problem, explain=False))
    return Run(
        ready=ready,
        plans=plans,
        whole=time.process_time() - start,
        proven=all(one.proven for one in found),
        clashes=len(clashing(case, own)),
        own=sum(own[net].burden.points for net in paths),
        points=points_of(case, paths),
        stranded=len(paths) - len(in_turn(case, sorted(paths))),
        left=size.students - len(paths),
    )


def show(size):
    """Measure and print one size."""
    runs = [run(size, seed) for seed in range(size.seeds)]
    for name in ("ready", "plans", "whole"):
        seconds = [getattr(one, name) for one in runs]
        note = f"{median(s / one.ready for s, one in zip(seconds, runs, strict=True)):.2g}"
        print(f"{size!s:8} {name:8} {median(seconds):>8.2f} {max(seconds):>8.2f} {note:>7}")
    clashes = sorted(one.clashes for one in runs)
    dearer = [100 * (one.points - one.own) / one.own for one in runs]
    print(f"{size!s:8} {sum(one.proven for one in runs)} of {len(runs)} proven")
    print(f"{size!s:8} {clashes[0]} to {clashes[-1]} clashes if all took their own best dates")
    print(f"{size!s:8} plans for all ask {median(dearer):.1f} % more points than those")
    stranded = sorted(one.stranded for one in runs)
    print(f"{size!s:8} taking turns leaves {stranded[0]} to {stranded[-1]} students without dates")
    left = sum(one.left for one in runs)
    print(f"{size!s:8} {left} of {size.students * len(runs)} students have no plan", flush=True)


def main():
    """Measure and print."""
    print(f"{'studio':8} {'work':8} {'median s':>8} {'worst s':>8} {'ratio':>7}")
    for size in SIZES:
        show(size)


if __name__ == "__main__":
    sys.exit(main())
