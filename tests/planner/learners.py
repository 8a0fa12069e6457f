"""Invented learners of five kinds, with their true figure on every day and what was heard of it."""

import random
from collections.abc import Callable
from dataclasses import dataclass
from datetime import date, timedelta
from math import exp

from planner.readiness import Check

TODAY = date(2027, 1, 12)
KINDS = ("steady", "plateau", "late starter", "holiday gap", "noisy ear")
READY = 95.0
# So far ahead is looked for the day on which a learner is ready, in days.
FAR = 365


@dataclass(frozen=True)
class Learner:
    """One piece of one learner. level: true points by weeks from today; scatter: of one check."""

    kind: str
    level: Callable[[float], float]
    scatter: float
    heard: tuple[tuple[date, float], ...]

    @property
    def checks(self):
        """The checks as the planner gets them: one mark that is worth those points."""
        return tuple(Check(on, marks=(0.9 * points / 100,)) for on, points in self.heard)

    @property
    def ready_in(self):
        """Days from today until the true level is ready; None: not within a year."""
        return next((n for n in range(1, FAR + 1) if self.level(n / 7) >= READY), None)


def _line(rng, first):
    start, pace = rng.uniform(25, 55), rng.uniform(2.0, 6.0)
    return lambda week: start + pace * (week - first)


def _plateau(rng, first):
    start, top, part = rng.uniform(25, 55), rng.uniform(85, 115), rng.uniform(0.06, 0.2)
    return lambda week: top - (top - start) * exp(-part * max(0.0, week - first))


def _late(rng, first):
    start, pace, wait = rng.uniform(30, 55), rng.uniform(3.0, 7.0), rng.uniform(0.2, 0.8)
    return lambda week: start + pace * max(0.0, week - first * (1 - wait))


def _gap(rng, first):
    start, pace = rng.uniform(25, 55), rng.uniform(2.5, 6.0)
    away, back = _holiday(first, rng.uniform(2, 4), rng.random())

    def level(week):
        missed = min(max(week - away, 0.0), back - away)
        return start + pace * (week - first - missed) - missed

    return level, away, back


def _holiday(first, length, where):
    away = first + where * -first - length / 2
    return away, away + length


def learner(kind: str, rng: random.Random) -> Learner:
    """One learner on some day before ready, with the checks of about every week so far."""
    while True:
        weeks = rng.randint(2, 14)
        first, away = -float(weeks), None
        if kind == "holiday gap":
            level, away, back = _gap(rng, first)
        else:
            level = {"plateau": _plateau, "late starter": _late}.get(kind, _line)(rng, first)
        scatter = rng.uniform(5, 8) if kind == "noisy ear" else rng.uniform(1.5, 4)
        if level(0) >= READY:
            continue
        heard = []
        for week in range(weeks + 1):
            day = max(0, 7 * week + rng.randint(-2, 2))
            missed = rng.random() < 0.2 or (away is not None and away < -day / 7 < back)
            if not missed:
                points = level(-day / 7) + rng.gauss(0, scatter)
                heard.append((TODAY - timedelta(days=day), min(max(points, 0.0), 100.0)))
        if len(heard) >= 2 and (heard[0][0] - heard[-1][0]).days >= 5:
            return Learner(kind, level, scatter, tuple(reversed(heard)))


def learners(count: int, seed: int) -> list[Learner]:
    """So many of each kind, always the same for one seed."""
    rng = random.Random(seed)
    return [learner(kind, rng) for _ in range(count) for kind in KINDS]
