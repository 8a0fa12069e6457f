"""How true the forecast of readiness is, on invented learners of five kinds: run by `make bench`.

The share of 80 % ranges that hold the ready day and a later check, and the Brier score (mean
squared error of a chance, 0 is best) of "ready by the date" against two simpler forecasters:
everybody is always on pace, and a straight line by least squares (with its own t chance, and bare).
The learners' seeds differ from those the default prior was rounded from. Nothing here can fail:
it measures; tests/planner/test_readiness_calibration.py holds what it must keep.
"""

import random
import time
from collections.abc import Iterable
from dataclasses import dataclass
from datetime import date, timedelta

from planner import regression
from planner.readiness import Settings
from planner.readiness.pace import measure_pace
from tests.planner.learners import KINDS, READY, TODAY, Learner, learners

SETTINGS = Settings()
SEED = 20270112
COVERAGES = (0.5, 0.6, 0.7, 0.8, 0.9)
_TAIL = (1 - SETTINGS.coverage) / 2
# Fewer points of scatter than this no ear has: a line through few checks would be too sure.
_LEAST = 2.0


@dataclass(frozen=True)
class Outcome:
    """One forecast and what came of it.

    held: for each of COVERAGES whether that range held the day the learner is ready. came: whether
    that was by a date drawn at random; chance, line_chance, line_says: of just that, ours, the
    straight line's own, and its bare yes or no. ours … bare_line: their squared errors.
    """

    kind: str
    held: tuple[bool, ...]
    holds_figure: bool
    dated: bool
    open_ended: bool
    came: bool
    chance: float
    line_chance: float
    line_says: float

    @property
    def holds_day(self):
        return self.held[COVERAGES.index(SETTINGS.coverage)]

    @property
    def ours(self):
        return (self.chance - self.came) ** 2

    @property
    def on_pace(self):
        return 1.0 - self.came

    @property
    def line(self):
        return (self.line_chance - self.came) ** 2

    @property
    def bare_line(self):
        return (self.line_says - self.came) ** 2


def outcome(learner: Learner, rng: random.Random) -> Outcome:
    """Forecast for a learner, and compare with what the learner does."""
    days, heard = zip(*learner.heard, strict=True)
    pace = measure_pace(days, heard, READY, TODAY, SETTINGS)
    on = TODAY + timedelta(days=rng.randint(14, 70))
    ready = learner.ready_in
    true_day = TODAY + timedelta(days=ready) if ready else date.max
    return Outcome(
        learner.kind,
        tuple(_holds(pace, true_day, coverage) for coverage in COVERAGES),
        _holds_figure(pace, learner, rng),
        pace.day(0.5) is not None,
        pace.day(1 - _TAIL) is None,
        true_day <= on,
        pace.chance(on),
        *_line(days, heard, on),
    )


def _holds(pace, true_day, coverage):
    earliest, latest = pace.day((1 - coverage) / 2), pace.day((1 + coverage) / 2)
    return (earliest or date.max) <= true_day <= (latest or date.max)


def _holds_figure(pace, learner, rng):
    """Whether a check one to six weeks later falls into its range; points stop at 100."""
    on = TODAY + timedelta(days=rng.randint(7, 42))
    points = learner.level((on - TODAY).days / 7) + rng.gauss(0, learner.scatter)
    if points >= 100:
        return pace.below(on, 100.0) <= 1 - _TAIL
    return _TAIL <= pace.below(on, points) <= 1 - _TAIL


def _line(days, heard, on):
    """Chance by the t distribution of a least-squares line, and the line's bare yes or no."""
    line = regression.fit([day.toordinal() for day in days], heard)
    x = on.toordinal()
    bare = float(line.slope > 0 and line.at(x) >= READY)
    if not line.df:
        return bare, bare
    away = x - line.x_mean
    scale = max(line.residual_sd, _LEAST) * (1 / line.n + away * away / line.sxx) ** 0.5
    return regression.below(line.df, (line.at(x) - READY) / scale), bare


def outcomes(count: int, seed: int) -> list[Outcome]:
    """Those of so many learners of each kind."""
    rng = random.Random(seed + 1)
    return [outcome(learner, rng) for learner in learners(count, seed)]


def mean(found: Iterable[Outcome], name: str) -> float:
    """Mean of one of its figures."""
    values = [float(getattr(each, name)) for each in found]
    return sum(values) / len(values)


def main(count=300):
    print(f"\nReadiness forecast, {count} invented learners of each kind")
    names = ("holds_day", "holds_figure", "open_ended", "ours", "on_pace", "line", "bare_line")
    print(f"{'':13}" + "".join(f"{name.replace('_', ' '):>14}" for name in names))
    start = time.process_time()
    found = outcomes(count, SEED)
    spent = time.process_time() - start
    for kind in (*KINDS, "all"):
        some = [each for each in found if kind in (each.kind, "all")]
        print(f"{kind:13}" + "".join(f"{mean(some, name):>14.3f}" for name in names))
    dated = [each for each in found if each.dated]
    print(f"of the {len(dated)} given a day its range holds {mean(dated, 'holds_day'):.3f}")
    print(f"{1000 * spent / len(found):.2f} ms each, learners included")


if __name__ == "__main__":
    main()
