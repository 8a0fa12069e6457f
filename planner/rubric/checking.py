"""Refuse what makes no sense as a rubric or as points, and say what to do about it."""

from collections.abc import Iterable
from decimal import Decimal

from planner.clauses import Unclear, did_you_mean
from planner.rubric.figures import written
from planner.rubric.model import WHOLE, Criterion, Deduction, Point, Rubric, same

MOST_POINTS = 1000
MOST_TIMES = 100
MOST_LINES = 40
LONGEST_NAME = 60
RESERVED = ("pass", "ties")


def check_name(name: str) -> None:
    """Refuse a name that could not be written back."""
    if not name:
        raise Unclear("A name is missing before the colon.")
    if len(name) > LONGEST_NAME:
        raise Unclear(f"Name it in {LONGEST_NAME} characters at most.")
    if any(sign in name for sign in ',;:"“”'):
        raise Unclear("A name cannot hold commas, colons or quotation marks: say “and” instead.")


def refuse_twice(names: Iterable[str]) -> None:
    """Refuse names of which two are the same."""
    there: set[str] = set()
    for name in names:
        if same(name) in there:
            raise Unclear(f"“{name}” stands twice: keep one of the two.")
        there.add(same(name))


def check_rubric(rubric: Rubric) -> None:
    """Raise Unclear unless `rubric` can be scored by; one of nothing can."""
    if not rubric.criteria:
        if rubric != Rubric():
            raise Unclear("Say what is scored, as in “tone: 20”.")
        return
    if len(rubric.criteria) + len(rubric.deductions) > MOST_LINES:
        raise Unclear(f"There are more than {MOST_LINES} lines: leave out what is never scored.")
    for one in rubric.criteria:
        _check_criterion(one)
    for off in rubric.deductions:
        _check_deduction(off)
    refuse_twice(one.name for one in (*rubric.criteria, *rubric.deductions))
    _check_weights(rubric)
    _check_pass(rubric)
    _check_ties(rubric)


def _need(true: bool, name: str, otherwise: str) -> None:
    if not true:
        raise Unclear(f"“{name}”: {otherwise}")


def _check_criterion(one: Criterion) -> None:
    name = one.name
    check_name(name)
    _need(same(name) not in RESERVED, name, "this word has a meaning of its own, take another.")
    _need(0 < one.most <= MOST_POINTS, name, f"give points above 0, {MOST_POINTS} at most.")
    _need(0 < one.times <= MOST_TIMES, name, f"multiply by more than 0, {MOST_TIMES} at most.")
    if one.least is not None:
        gate = f"“at least” goes from above 0 to its {written(one.most)} points."
        _need(0 < one.least <= one.most, name, gate)
    if one.weight is not None:
        _need(0 < one.weight <= WHOLE, name, "a weight is above 0 and at most 100 %.")
        _need(one.times == 1, name, "it cannot have a weight and be multiplied: keep the weight.")


def _check_deduction(off: Deduction) -> None:
    name = off.name
    check_name(name)
    _need(same(name) not in RESERVED, name, "this word has a meaning of its own, take another.")
    _need(0 < off.each <= MOST_POINTS, name, f"take off more than 0, {MOST_POINTS} at most.")
    if off.most is not None:
        _need(off.each <= off.most <= MOST_POINTS, name, "at most is less than once.")


def _check_weights(rubric: Rubric) -> None:
    weights = [one.weight for one in rubric.criteria if one.weight is not None]
    if not weights:
        return
    if len(weights) < len(rubric.criteria):
        bare = next(one.name for one in rubric.criteria if one.weight is None)
        raise Unclear(f"“{bare}” has no weight, others have: give all of them one, or none.")
    if sum(weights) != WHOLE:
        raise Unclear(f"The weights come to {written(sum(weights))} %: they have to come to 100 %.")


def _check_pass(rubric: Rubric) -> None:
    if rubric.pass_mark is None:
        return
    most = WHOLE if rubric.percent else rubric.most
    if not 0 < rubric.pass_mark <= most:
        said = "100 %" if rubric.percent else f"the {float(most):g} points there are"
        raise Unclear(f"“pass”: give more than 0, and no more than {said}.")


def _check_ties(rubric: Rubric) -> None:
    names = [one.name for one in rubric.criteria]
    known = {same(name) for name in names}
    for tie in rubric.ties:
        if same(tie) not in known:
            raise Unclear(f"“ties”: there is no “{tie}” here.{did_you_mean(tie, names)}")
    refuse_twice(rubric.ties)


def misfits(rubric: Rubric, points: Iterable[Point]) -> tuple[str, ...]:
    """Return what of `points` does not fit, a sentence each: unknown names, more than there is."""
    criteria = {same(one.name): one for one in rubric.criteria}
    names = [one.name for one in (*rubric.criteria, *rubric.deductions)]
    known, found = {same(name) for name in names}, []
    for point in points:
        one = criteria.get(same(point.name))
        if same(point.name) not in known:
            found.append(f"“{point.name}” is not scored here.{did_you_mean(point.name, names)}")
        elif one and not 0 <= point.value <= one.most:
            found.append(f"“{point.name}”: give 0 to {written(one.most)} points.")
        elif not 0 <= point.value <= Decimal(MOST_POINTS):
            found.append(f"“{point.name}”: say how often it came, {MOST_POINTS} at most.")
    return tuple(found)
