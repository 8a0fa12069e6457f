"""One player's points added up, in fractions, so that no pass mark is missed by rounding.

Of several judges the mean counts, criterion by criterion, of those who gave points for it; of a
deduction the mean of what each would take off, of all of them: who does not name it saw none.
"""

from collections.abc import Sequence
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
    means = {same(one.name): _mean(one, judges) for one in rubric.criteria}
    lines = tuple(_line(one, means[same(one.name)]) for one in rubric.criteria)
    losses = [(off, *_loss(off, judges)) for off in rubric.deductions]
    missing = tuple(line.name for line in lines if line.points is None)
    so_far = total_of(rubric, means) - sum(off for _, _, off in losses)
    open_worth = sum(one.worth for one in rubric.criteria if means[same(one.name)] is None)
    worst, best = max(so_far, Fraction(0)), max(so_far + open_worth, Fraction(0))
    failed = tuple(line.name for line in lines if line.gate == "failed")
    return Score(
        lines=lines,
        losses=tuple(Loss(one.name, rounded(n), rounded(off)) for one, n, off in losses if n),
        total=rounded(worst),
        most=rounded(rubric.most),
        worst=rounded(worst),
        best=rounded(best),
        share=float(worst / rubric.most) if rubric.criteria else 0.0,
        pass_at=None if rubric.pass_at is None else rounded(rubric.pass_at),
        result=_result(rubric, worst, best, [line.gate for line in lines]),
        failed=failed,
        missing=missing,
        unknown=_unknown(rubric, judges),
        too_high=_too_high(rubric, judges),
    )


def exact_total(rubric: Rubric, judges: Given) -> Fraction | None:
    """Return the total unrounded, None while something is not scored."""
    means = {same(one.name): _mean(one, judges) for one in rubric.criteria}
    if None in means.values():
        return None
    off = sum((_loss(each, judges)[1] for each in rubric.deductions), Fraction(0))
    return max(total_of(rubric, means) - off, Fraction(0))


def exact_mean(one: Criterion, judges: Given) -> Fraction | None:
    """Return the mean of what the judges gave for one criterion, None if nobody gave any."""
    return _mean(one, judges)


def total_of(rubric: Rubric, means: dict[str, Fraction | None]) -> Fraction:
    """Return what the criteria that were scored add to the total."""
    known = ((one, means[same(one.name)]) for one in rubric.criteria)
    return sum((one.counted(points) for one, points in known if points is not None), Fraction(0))


def _fits(one: Criterion, point: Point) -> bool:
    return 0 <= point.value <= one.most


def _mean(one: Criterion, judges: Given) -> Fraction | None:
    found = [
        Fraction(point.value)
        for points in judges
        for point in points
        if same(point.name) == same(one.name) and _fits(one, point)
    ]
    return sum(found) / len(found) if found else None


def _loss(off: Deduction, judges: Given) -> tuple[Fraction, Fraction]:
    """How often it came, and what it takes off: the means of the judges."""
    found = [
        Fraction(point.value)
        for points in judges
        for point in points
        if same(point.name) == same(off.name)
    ]
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
    given = [point for points in judges for point in points]
    return tuple(
        one.name
        for one in rubric.criteria
        if any(same(p.name) == same(one.name) and not _fits(one, p) for p in given)
    )
