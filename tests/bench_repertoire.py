"""How long the least music takes, what it saves and how much memory: run by `make bench`.

Invented seasons of three sizes (planner/repertoire_cases.py), 20 seeds of each; of what takes
minutes fewer, unless asked: `python -m tests.bench_repertoire --all`. Seconds are of the wall. The
ratio is how many times as long the plan takes as the model to build, as its linear relaxation, as
CP-SAT (one worker, a variable for every piece in every slot); it travels between machines.
Nothing here can fail: it measures.
"""

import json
import subprocess
import sys
import time
from dataclasses import dataclass, field, replace
from statistics import mean, median

from planner import codec
from planner.repertoire.adding import added
from planner.repertoire.case import prepare
from planner.repertoire.cover import cover
from planner.repertoire.frontier import frontier
from planner.repertoire.greedy import apart_minutes, greedy_minutes
from planner.repertoire.programme import Programme
from tests.bench_memory import peak
from tests.planner.repertoire_cases import typical
from tests.planner.repertoire_oracles import PerPiece

SEEDS = 20
LIMIT = 60.0  # seconds for a plan, and for all that is added
CP_SAT = 30.0
FRONTIER = 10.0


@dataclass(frozen=True)
class Size:
    """Auditions, slots and pieces, and for how many seeds each kind of work is tried."""

    auditions: int
    slots: int
    pieces: int
    hard: bool = False
    seeds: int = SEEDS
    rivals: int = SEEDS
    adds: int = SEEDS
    frontiers: int = SEEDS

    def __str__(self):
        return f"{self.auditions}x{self.slots}x{self.pieces}{' tight' if self.hard else ''}"

    def problem(self, seed):
        """Return the season of a seed."""
        found = typical(seed, self.auditions, self.slots, self.pieces, self.hard)
        return replace(found, seconds=LIMIT)

    def in_full(self):
        """Return the same for all seeds."""
        return Size(self.auditions, self.slots, self.pieces, self.hard)


SIZES = (
    Size(8, 5, 40),
    Size(8, 5, 40, hard=True),
    Size(20, 8, 150, rivals=2, adds=5, frontiers=1),
    Size(60, 10, 600, seeds=2, rivals=0, adds=0, frontiers=0),
)
MORE = (Size(20, 8, 150, hard=True, rivals=0),)


@dataclass(eq=False)
class Work:
    """One kind of work. seconds: by seed. found: what came out, by seed."""

    name: str
    seconds: list = field(default_factory=list)
    found: list = field(default_factory=list)

    def do(self, work):
        """Do it once more and return what comes out."""
        start = time.perf_counter()
        self.found.append(work())
        self.seconds.append(time.perf_counter() - start)
        return self.found[-1]


class Bench:
    """One size, measured."""

    def __init__(self, size):
        self.size = size
        self.plan, self.model, self.relaxed = map(Work, ("plan", "model", "relaxation"))
        self.rival, self.adds, self.frontier = map(Work, ("CP-SAT", "all added", "frontier"))
        self.apart, self.greedy = map(Work, ("each apart", "greedy"))
        for seed in range(size.seeds):
            self.run(seed)

    def run(self, seed):
        """Measure one seed."""
        size, problem = self.size, self.size.problem(seed)
        plan = self.plan.do(lambda: cover(prepare(problem), seconds=LIMIT))
        case = prepare(problem)
        self.relaxed.do(self.model.do(lambda: Programme(case, case.kept, {})).relaxed)
        self.apart.do(lambda: apart_minutes(case))
        self.greedy.do(lambda: greedy_minutes(case))
        if seed < size.rivals:
            self.rival.do(lambda: rival(problem))
        if seed < size.adds:
            self.adds.do(lambda: added(case, plan, LIMIT))
        if seed < size.frontiers:
            self.frontier.do(lambda: frontier(case, FRONTIER))

    def show(self):
        """Print a line for each kind of work."""
        self.line(self.plan, self.proofs())
        self.line(self.model, f"{median(len(p.model.lower) for p in self.model.found):.0f} columns")
        self.line(self.relaxed)
        self.line(self.rival, self.agreed)
        self.line(self.adds, self.exact)
        self.line(self.frontier, self.points)
        self.line(self.apart, self.saved(self.apart))
        self.line(self.greedy, self.saved(self.greedy))
        memory = f"{worker(self.size)} MB at most"
        print(f"{self.size!s:15} {'solver worker':13} {'':31} {memory}", flush=True)

    def line(self, work, note=""):
        """Print the line of one kind of work, if it was done."""
        if not work.seconds:
            return
        ratio = ""
        if work in (self.model, self.relaxed, self.rival):
            pairs = zip(self.plan.seconds, work.seconds, strict=False)
            ratio = f"{median(one / other for one, other in pairs):.2g}"
        times = f"{median(work.seconds):>8.3f} {max(work.seconds):>8.3f} {ratio:>7}"
        note = note() if callable(note) else note
        print(f"{self.size!s:15} {work.name:13} {len(work.seconds):>5} {times}  {note}")

    def proofs(self):
        """Say how many plans are proven, and how far the others may be off."""
        plans = self.plan.found
        gaps = [100 * (plan.minutes - plan.bound) / plan.minutes for plan in plans]
        note = f"{sum(plan.proven for plan in plans)} of {len(plans)} proven"
        return note if max(gaps) == 0 else f"{note}, at most {max(gaps):.1f} % above the least"

    def agreed(self):
        """Say how many times CP-SAT came to an end, and whether to another one."""
        pairs = list(zip(self.plan.found, self.rival.found, strict=False))
        proven = [(plan.minutes, minutes) for plan, minutes in pairs if minutes is not None]
        same = sum(one == other for one, other in proven)
        return (
            f"{len(proven)} of {len(pairs)} proven in {CP_SAT:.0f} s, {same} with the same minutes"
        )

    def exact(self):
        """Say how much of what each audition adds is exact."""
        every = [one for adds in self.adds.found for one in adds]
        return f"{sum(one.least == one.most for one in every)} of {len(every)} exact"

    def points(self):
        """Say how many points of the frontiers are proven."""
        every = [point for points in self.frontier.found for point in points]
        return f"{sum(point.proven for point in every)} of {len(every)} points proven"

    def saved(self, work):
        """Say how many hours the plan saves against another way."""
        pairs = list(zip(self.plan.found, work.found, strict=True))
        hours = [(minutes - plan.minutes) / 60 for plan, minutes in pairs]
        share = 100 * sum(hours) * 60 / sum(work.found)
        same = sum(saved == 0 for saved in hours)
        return (
            f"the plan saves {mean(hours):.1f} h, {share:.1f} %, median {median(hours):.1f} h, "
            f"nothing in {same} of {len(hours)}"
        )


def rival(problem):
    """Return the minutes that CP-SAT proves, None if it comes to no end."""
    try:
        return PerPiece(problem).by_cp_sat(CP_SAT)[0]
    except TimeoutError:
        return None


def worker(size):
    """Return the most memory, in megabytes, that a solver worker takes for one such season."""
    problem = codec.write(replace(size.problem(0), seconds=LIMIT / 6))
    request = json.dumps({"question": "repertoire", "problem": problem}).encode()
    command = [sys.executable, "-m", "planner", "--serve"]
    pipes = {"stdin": subprocess.PIPE, "stdout": subprocess.PIPE}
    with subprocess.Popen(command, **pipes) as process:  # noqa: S603
        process.stdin.write(request + b"\n")
        process.stdin.flush()
        process.stdout.readline()
        most = peak(process.pid)
        process.stdin.close()
    return most


def main(everything=False):
    """Measure and print."""
    sizes = [size.in_full() for size in (*SIZES, *MORE)] if everything else SIZES
    print(f"{'season':15} {'work':13} {'seeds':>5} {'median s':>8} {'worst s':>8} {'ratio':>7}")
    for size in sizes:
        Bench(size).show()


if __name__ == "__main__":
    main("--all" in sys.argv)
