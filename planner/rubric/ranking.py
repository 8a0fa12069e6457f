"""Several players in order: by total, then by the criteria that break ties; judges made alike."""

from collections import defaultdict
from collections.abc import Mapping, Sequence
from dataclasses import dataclass
from fractions import Fraction
from math import sqrt

from planner.rubric.model import Point, Rubric, same
from planner.rubric.score import exact_total, mean_of

EQUAL = 9  # decimal places to which two z-scores are one


@dataclass(frozen=True, slots=True)
class Given:
    """What one judge gave one player."""

    player: str
    judge: str
    points: tuple[Point, ...]


def by_player(sheets: Sequence[Given]) -> dict[str, list[tuple[Point, ...]]]:
    """Return each player's points, a tuple for each judge."""
    found: dict[str, list[tuple[Point, ...]]] = {}
    for sheet in sheets:
        found.setdefault(sheet.player, []).append(sheet.points)
    return found


def ranks(rubric: Rubric, sheets: Sequence[Given], z: Mapping[str, float]) -> dict[str, int]:
    """Return the rank of every player of whom all was scored: 1 is best, equal ones share it.

    z: what to rank by instead of the total; {}: the total.
    """
    keys = {}
    for player, judges in by_player(sheets).items():
        total = exact_total(rubric, judges)
        if total is not None and (not z or player in z):
            first = round(z[player], EQUAL) if z else total
            keys[player] = (first, *_ties(rubric, judges))
    return {player: 1 + sum(other > key for other in keys.values()) for player, key in keys.items()}


def _ties(rubric: Rubric, judges: Sequence[Sequence[Point]]) -> list[Fraction | None]:
    criteria = {same(one.name): one for one in rubric.criteria}
    return [mean_of(criteria[same(tie)], judges) for tie in rubric.ties]


def z_scores(rubric: Rubric, sheets: Sequence[Given]) -> dict[str, float]:
    """Return the mean of the z-scores that a player's total has with each judge.

    A z-score is how many standard deviations (of all that this judge gave in full) a total lies
    above that judge's mean; 0 where the judge gave the same to everybody.
    """
    totals: dict[str, dict[str, Fraction]] = defaultdict(dict)
    for sheet in sheets:
        total = exact_total(rubric, [sheet.points])
        if total is not None:
            totals[sheet.judge][sheet.player] = total
    found: dict[str, list[float]] = defaultdict(list)
    for given in totals.values():
        for player, z in _standard(given).items():
            found[player].append(z)
    return {player: sum(some) / len(some) for player, some in found.items()}


def _standard(given: Mapping[str, Fraction]) -> dict[str, float]:
    mean = sum(given.values(), Fraction(0)) / len(given)
    spread = sqrt(sum((total - mean) ** 2 for total in given.values()) / len(given))
    if not spread:
        return dict.fromkeys(given, 0.0)
    return {player: float(total - mean) / spread for player, total in given.items()}
