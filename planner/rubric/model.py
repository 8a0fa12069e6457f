"""What goes into the question of scores, and what comes out. Points are exact."""

from dataclasses import dataclass
from decimal import Decimal
from fractions import Fraction
from typing import Literal

Result = Literal["passed", "failed", "undecided", "not stated"]
WHOLE = Decimal(100)  # what a rubric with weights counts to


def same(name: str) -> str:
    """Return a name so that "Sight-reading" and "sight reading" are one."""
    return " ".join(name.casefold().replace("-", " ").split())


@dataclass(frozen=True, slots=True)
class Criterion:
    """One thing that is scored, 0 to `most` points.

    times: what its points are multiplied by. weight: its share of the total in percent; None: its
    points count as they are. least: a gate, in its own points: below it nothing passes.
    """

    name: str
    most: Decimal
    times: Decimal = Decimal(1)
    weight: Decimal | None = None
    least: Decimal | None = None

    @property
    def worth(self) -> Fraction:
        """What it adds to the total at most."""
        return Fraction(self.weight if self.weight is not None else self.most * self.times)

    def counted(self, points: Fraction) -> Fraction:
        """Return what so many points add to the total."""
        return self.worth * points / Fraction(self.most)


@dataclass(frozen=True, slots=True)
class Deduction:
    """Points of the total that are taken off each time something happens; most: all told."""

    name: str
    each: Decimal
    most: Decimal | None = None

    def taken(self, times: Fraction) -> Fraction:
        """Return what is taken off when it happened so many times."""
        off = times * Fraction(self.each)
        return off if self.most is None else min(off, Fraction(self.most))


@dataclass(frozen=True, slots=True)
class Rubric:
    """How an institution scores.

    pass_mark: of the total in points, or in percent of it (`percent`); None: not stated.
    ties: names of the criteria that decide between equal totals, the first first.
    Either all criteria have a weight, or none has; weights come to 100.
    """

    criteria: tuple[Criterion, ...] = ()
    deductions: tuple[Deduction, ...] = ()
    pass_mark: Decimal | None = None
    percent: bool = False
    ties: tuple[str, ...] = ()

    @property
    def most(self) -> Fraction:
        """The most points there are."""
        return sum((each.worth for each in self.criteria), Fraction(0))

    @property
    def pass_at(self) -> Fraction | None:
        """The pass mark in points of the total."""
        if self.pass_mark is None:
            return None
        mark = Fraction(self.pass_mark)
        return self.most * mark / 100 if self.percent else mark


@dataclass(frozen=True, slots=True)
class Point:
    """What was given for one criterion, or how often a deduction came."""

    name: str
    value: Decimal


@dataclass(frozen=True, slots=True)
class Sheet:
    """What one judge gave one player. points: as of `read_points`: "tone: 15; memory slips: 1"."""

    player: str
    points: str
    judge: str = ""


@dataclass(frozen=True, slots=True)
class Problem:
    """A rubric, as of `read_rubric`, and what was given by it.

    normalise: rank by the mean of the judges' z-scores, so that a strict judge and a kind one
    count alike, instead of by the total.
    """

    rubric: str
    sheets: tuple[Sheet, ...] = ()
    normalise: bool = False


@dataclass(frozen=True, slots=True)
class Line:
    """One criterion of a score. points: the mean of the judges who gave any; None: nobody did.

    counted: what that adds to the total, of `worth`. gate: "" where it has none.
    """

    name: str
    most: Decimal
    points: Decimal | None
    counted: Decimal | None
    worth: Decimal
    gate: Literal["", "met", "failed", "open"] = ""
    least: Decimal | None = None


@dataclass(frozen=True, slots=True)
class Loss:
    """What a deduction took off. times: how often it came, the mean of the judges."""

    name: str
    times: Decimal
    off: Decimal


@dataclass(frozen=True, slots=True)
class Score:
    """What one player scored. Points are rounded to four places, the result is not.

    total: of what was scored so far, less deductions, at least 0. worst, best: what it can still
    be while `missing` criteria are not scored. share: total of most, 0 to 1.
    failed: names of the gates that were not met. unknown: names given that the rubric has not;
    too_high: criteria that were given more than there is, or less than nothing; neither counts.
    """

    lines: tuple[Line, ...]
    losses: tuple[Loss, ...]
    total: Decimal
    most: Decimal
    worst: Decimal
    best: Decimal
    share: float
    pass_at: Decimal | None
    result: Result
    failed: tuple[str, ...]
    missing: tuple[str, ...]
    unknown: tuple[str, ...] = ()
    too_high: tuple[str, ...] = ()


@dataclass(frozen=True, slots=True)
class Place:
    """One player among the others.

    rank: 1 is best, players who stay equal share the better one; None: not all was scored.
    z: the mean of the judges' z-scores, where they are asked for. sentence: result and total.
    """

    player: str
    rank: int | None
    score: Score
    z: float | None
    sentence: str


@dataclass(frozen=True, slots=True)
class Answer:
    """The players by rank. rubric: as it is written; spoken: in words; notes: what to know."""

    rubric: str
    spoken: str
    places: tuple[Place, ...]
    notes: tuple[str, ...]
