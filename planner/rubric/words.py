"""Rubrics, points and scores in words."""

from collections.abc import Sequence
from decimal import Decimal

from planner.deadlines.wording import listed
from planner.rubric.figures import rounded, written
from planner.rubric.model import Criterion, Deduction, Point, Rubric, Score


def spoken_rubric(rubric: Rubric) -> str:
    """Return "tone 20, scales 15 (at least 7, or nothing passes); 35 points in all; 25 pass"."""
    return "; ".join(_spoken(rubric))


def _spoken(rubric: Rubric):
    if rubric.criteria:
        yield ", ".join(map(_criterion, rubric.criteria))
    yield from map(_deduction, rubric.deductions)
    if rubric.criteria:
        yield f"{written(rounded(rubric.most))} points in all"
    if rubric.pass_mark is not None:
        yield f"{pass_words(rubric)} passes"
    if rubric.ties:
        yield f"equal totals go by {', then '.join(rubric.ties)}"


def _criterion(one: Criterion) -> str:
    said, details = f"{one.name} {written(one.most)}", []
    if one.weight is not None:
        said = f"{one.name} {written(one.weight)} % of the total"
        details.append(f"out of {written(one.most)}")
    if one.times != 1:
        said += f" counted {written(one.times)} times"
    if one.least:
        details.append(f"at least {written(one.least)}, or nothing passes")
    return said + (f" ({'; '.join(details)})" if details else "")


def _deduction(off: Deduction) -> str:
    most = "" if off.most is None else f", {written(off.most)} at most"
    return f"{written(off.each)} off each time for {off.name}{most}"


def pass_words(rubric: Rubric) -> str:
    """Return the pass mark as it is stated: "70" or "70 %"; "" where it is not."""
    if rubric.pass_mark is None:
        return ""
    return written(rubric.pass_mark) + (" %" if rubric.percent else "")


def spoken_points(points: Sequence[Point]) -> str:
    """Return "tone 15, memory slips 1"."""
    return ", ".join(f"{point.name} {written(point.value)}" for point in points)


def total_words(score: Score) -> str:
    """Return "78 of 100", to one place; while something is missing only what was scored."""
    most = score.most
    if score.missing:
        most -= sum((line.worth for line in score.lines if line.points is None), Decimal(0))
    return f"{shown(score.total)} of {shown(most)}"


def shown(points: Decimal) -> str:
    """Return points to one place: "78", "13.3"."""
    return written(round(points, 1))


def said(score: Score) -> str:
    """Return the score as a sentence: what came of it, and why."""
    if not score.lines or len(score.missing) == len(score.lines):
        return "Nothing is scored yet."
    sentence = f"{total_words(score)}{_why(score)}."
    if score.missing:
        sentence += f" Not scored yet: {listed(score.missing)}."
        if score.result == "undecided":
            sentence += f" {shown(score.worst)} to {shown(score.best)} is still possible."
    return sentence


def _why(score: Score) -> str:
    if score.failed:
        gates = {line.name: line for line in score.lines}
        return ": not passed, " + listed([_gate(gates[name]) for name in score.failed])
    if score.result == "not stated":
        return "; no pass mark is stated"
    mark = f"pass mark {shown(score.pass_at)}"
    if score.result == "passed":
        return f": passed, {mark}"
    if score.result == "failed":
        reach = score.best if score.missing else score.total
        short = written(score.pass_at - reach)
        return f": not passed, {'just' if short == '0' else short} short of the {mark}"
    return f": not decided yet, {mark}"


def _gate(line) -> str:
    return f"{line.name} {shown(line.points)} where at least {written(line.least)} is asked"
