"""One player's points added up, in fractions, so that no pass mark is missed by rounding.

Of several judges the mean counts, criterion by criterion, of those who gave points for it; of a
deduction the mean of what each would take off, of all of them: who does not name it saw none.
"""

from collections.abc import Sequence
from decimal import Decimal
from fractions import Fraction

from planner.rubric.figures import rounded
from planner.rubric.model import (
    Criterion,
    Deduction,
    Line,
    Loss,
    Point,
    Result,
    Rubric,
    Score,
    same,
)

Given = Sequence[Sequence[Point]]


def score(rubric: Rubric, judges: Given) -> Score:
    """Return what one player scored. judges: the points that each of them gave."""
    means = [mean_of(one, judges) for one in rubric.criteria]
    pairs = list(zip(rubric.criteria, means, strict=True))
    lines = tuple(_line(one, points) for one, points in pairs)
    losses = [(off.name, *_loss(off, judges)) for off in rubric.deductions]
    so_far = _added(pairs) - sum(off for _, _, off in losses)
    open_worth = sum(one.worth for one, points in pairs if points is None)
    worst, best = max(so_far, Fraction(0)), max(so_far + open_worth, Fraction(0))
    return Score(
        lines=lines,
        losses=tuple(
            Loss(name, rounded(times), rounded(off)) for name, times, off in losses if times
        ),
        total=rounded(worst),
        most=rounded(rubric.most),
        worst=rounded(worst),
        best=rounded(best),
        share=float(worst / rubric.most) if rubric.criteria else 0.0,
        pass_at=None if rubric.pass_at is None else rounded(rubric.pass_at),
        result=_result(rubric, worst, best, [line.gate for line in lines]),
        failed=tuple(line.name for line in lines if line.gate == "failed"),
        missing=tuple(line.name for line in lines if line.points is None),
        unknown=_unknown(rubric, judges),
        too_high=_too_high(rubric, judges),
    )


def exact_total(rubric: Rubric, judges: Given) -> Fraction | None:
    """Return the total unrounded, None while something is not scored."""
    pairs = [(one, mean_of(one, judges)) for one in rubric.criteria]
    if any(points is None for _, points in pairs):
        return None
    off = sum(_loss(each, judges)[1] for each in rubric.deductions)
    return max(_added(pairs) - off, Fraction(0))


def mean_of(one: Criterion, judges: Given) -> Fraction | None:
    """Return the mean of what the judges gave for one criterion, None if nobody gave any."""
    found = [Fraction(value) for value in _values(one.name, judges) if _fits(one, value)]
    return sum(found) / len(found) if found else None


def _added(pairs) -> Fraction:
    """What the criteria that were scored add to the total. pairs: of (criterion, points)."""
    counted = (one.counted(points) for one, points in pairs if points is not None)
    return sum(counted, Fraction(0))


def _values(name: str, judges: Given) -> list[Decimal]:
    given = (point for points in judges for point in points)
    return [point.value for point in given if same(point.name) == same(name)]


def _fits(one: Criterion, value: Decimal) -> bool:
    return 0 <= value <= one.most


def _loss(off: Deduction, judges: Given) -> tuple[Fraction, Fraction]:
    """How often it came, and what it takes off: the means of the judges."""
    found = [Fraction(value) for value in _values(off.name, judges)]
    number = max(len(judges), 1)
    return sum(found, Fraction(0)) / number, sum(map(off.taken, found), Fraction(0)) / number


def _line(one: Criterion, points: Fraction | None) -> Line:
    return Line(
        name=one.name,
        most=one.most,
        points=None if points is None else rounded(points),
        counted=None if points is None else rounded(one.counted(points)),
        worth=rounded(one.worth),
        gate=_gate(one, points),
        least=one.least,
    )


def _gate(one: Criterion, points: Fraction | None) -> str:
    if one.least is None:
        return ""
    if points is None:
        return "open"
    return "met" if points >= one.least else "failed"


def _result(rubric: Rubric, worst: Fraction, best: Fraction, gates: list[str]) -> Result:
    at = rubric.pass_at
    if "failed" in gates or (at is not None and best < at):
        return "failed"
    if at is None:
        return "not stated"
    return "passed" if worst >= at and "open" not in gates else "undecided"


def _unknown(rubric: Rubric, judges: Given) -> tuple[str, ...]:
    known = {same(one.name) for one in (*rubric.criteria, *rubric.deductions)}
    names = (point.name for points in judges for point in points)
    return tuple(dict.fromkeys(name for name in names if same(name) not in known))


def _too_high(rubric: Rubric, judges: Given) -> tuple[str, ...]:
    return tuple(
        one.name
        for one in rubric.criteria
        if not all(_fits(one, value) for value in _values(one.name, judges))
    )
