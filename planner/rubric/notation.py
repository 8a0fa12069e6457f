"""How a rubric and points are written: one line each (RUBRIC_HELP and POINTS_HELP list all).

    rubric = clause { ";" clause }
    clause = name ":" number [ ", times" number | ", weight" number "%" ] [ ", at least" number ]
           | name ":" "minus" number [ "each" ] [ ", at most" number ]
           | "pass:" number [ "%" ]
           | "ties:" name { "," name }
    points = name ":" number { ";" name ":" number }

"at least" may be a percentage too. A name that stands twice is refused.
"""

import re
from decimal import Decimal

from planner.clauses import Help, Unclear, did_you_mean, each, let_go
from planner.rubric.checking import check_name, check_rubric, refuse_twice
from planner.rubric.figures import written
from planner.rubric.model import Criterion, Deduction, Point, Rubric, same

RUBRIC_HELP = (
    Help("", "tone: 20", "scored from 0 to 20 points"),
    Help("", "technique: 20, times 1.5", "its points count one and a half times"),
    Help("", "solo: 10, weight 40 %", "its share of the total; then all need one, 100 % together"),
    Help("", "scales: 15, at least 7", "below 7 nothing passes; also at least 50 %"),
    Help("", "memory slips: minus 2 each, at most 10", "taken off the total"),
    Help("pass", "pass: 70", "points of the total; also pass: 70 %"),
    Help("ties", "ties: tone, technique", "what decides between equal totals, the first first"),
)
POINTS_HELP = (
    Help("", "tone: 15", "points that were given; half ones as 15.5"),
    Help("", "memory slips: 1", "how often it came, of what takes points off"),
)

_PARTS = {"½": ".5", "¼": ".25", "¾": ".75", "": ""}
_FIGURE = re.compile(r"(\d{0,5})([.,]\d{1,2}|[½¼¾]?)(?: ?(?:points?|pts?\.?))?", re.IGNORECASE)
_MINUS = re.compile(r"(?:minus|less|[-−–]) ?(.+?)(?: (?:each|every time))?", re.IGNORECASE)
_ADDED = re.compile(r"(times|weight|at least|at most|[x×])\s*(.+)", re.IGNORECASE)
_SAME_AS = {"x": "times", "×": "times"}
_ADVICE = "Write it as in “tone: 20”, “technique: 20, times 1.5” or “scales: 15, at least 7”."


def read_rubric(text: str) -> Rubric:
    """Return the rubric that `text` writes; raise Unclear, naming the clause, if it cannot be read.

    An empty text is a rubric of nothing.
    """
    found: dict = {"criteria": [], "deductions": [], "pass": [], "ties": []}
    for kind, value in each(text, _clause):
        found[kind].append(value)
    for label in ("pass", "ties"):
        if len(found[label]) > 1:
            raise Unclear(f"“{label}” stands twice: keep one of the two.")
    names = {same(one.name): one.name for one in found["criteria"]}
    mark, percent = found["pass"][0] if found["pass"] else (None, False)
    rubric = Rubric(
        tuple(found["criteria"]),
        tuple(found["deductions"]),
        mark,
        percent,
        tuple(names.get(same(tie), tie) for tie in (found["ties"] or [()])[0]),
    )
    check_rubric(rubric)
    return rubric


def read_points(text: str) -> tuple[Point, ...]:
    """Return the points that `text` writes; raise Unclear, naming the clause."""
    points = each(text, _point)
    refuse_twice(point.name for point in points)
    return points


def _clause(clause: str) -> tuple[str, object]:
    name, rest = _label(clause)
    if same(name) == "pass":
        return "pass", _pass(rest)
    if same(name) == "ties":
        return "ties", tuple(filter(None, map(_tie, rest.split(","))))
    first, *more = re.split(r",\s*(?!\d)", rest)
    if minus := _MINUS.fullmatch(first):
        return "deductions", _deduction(name, minus[1], _added(more))
    return "criteria", _criterion(name, _number(first), _added(more))


def _label(clause: str) -> tuple[str, str]:
    label, colon, rest = clause.partition(":")
    name, rest = " ".join(let_go(label).split()), let_go(rest)
    if not colon:
        raise Unclear(f"A colon is missing. {_ADVICE}")
    if not rest:
        raise Unclear(f"Something is missing after “{name}:”.")
    check_name(name)
    return name, rest


def _tie(text: str) -> str:
    return re.sub(r"(?i)^(?:by|then)\s+", "", text.strip())


def _pass(text: str) -> tuple[Decimal, bool]:
    percent = re.fullmatch(r"(.+?) ?(?:%|per ?cent)", text, re.IGNORECASE)
    return _number(percent[1] if percent else text), bool(percent)


def _added(parts: list[str]) -> dict[str, str]:
    found: dict[str, str] = {}
    for part in parts:
        said = _ADDED.fullmatch(part.strip())
        if not said:
            known = ("times", "weight", "at least", "at most")
            raise Unclear(f"“{part.strip()}” cannot be read.{did_you_mean(part, known)} {_ADVICE}")
        word = said[1].casefold()
        word = _SAME_AS.get(word, word)
        if word in found:
            raise Unclear(f"“{word}” stands twice: keep one of the two.")
        found[word] = said[2]
    return found


def _only(found: dict[str, str], allowed: tuple[str, ...]) -> None:
    for word in found:
        if word not in allowed:
            raise Unclear(f"“{word}” does not belong here. {_ADVICE}")


def _deduction(name: str, off: str, added: dict[str, str]) -> Deduction:
    _only(added, ("at most",))
    most = added.get("at most")
    return Deduction(name, _number(off), None if most is None else _number(most))


def _criterion(name: str, most: Decimal, added: dict[str, str]) -> Criterion:
    _only(added, ("times", "weight", "at least"))
    weight, least = added.get("weight"), added.get("at least")
    return Criterion(
        name,
        most,
        _number(added["times"]) if "times" in added else Decimal(1),
        None if weight is None else _pass(weight)[0],
        None if least is None else _least(least, most),
    )


def _least(text: str, most: Decimal) -> Decimal:
    figure, percent = _pass(text)
    return most * figure / 100 if percent else figure


def _number(text: str) -> Decimal:
    found = _FIGURE.fullmatch(text.strip())
    if not found or not (found[1] or found[2]):
        raise Unclear(f"“{text.strip()}” is not a number of points such as 20 or 7.5.")
    part = _PARTS.get(found[2], found[2].replace(",", "."))
    return Decimal(f"{found[1] or 0}{part}")


def _point(clause: str) -> Point:
    name, rest = _label(clause)
    return Point(name, _number(rest))


def write_rubric(rubric: Rubric) -> str:
    """Return `rubric` in the notation; `read_rubric` reads it back the same."""
    clauses = [_written_criterion(each) for each in rubric.criteria]
    for each_ in rubric.deductions:
        most = "" if each_.most is None else f", at most {written(each_.most)}"
        clauses.append(f"{each_.name}: minus {written(each_.each)} each{most}")
    if rubric.pass_mark is not None:
        clauses.append(f"pass: {written(rubric.pass_mark)}{' %' if rubric.percent else ''}")
    if rubric.ties:
        clauses.append(f"ties: {', '.join(rubric.ties)}")
    return "; ".join(clauses)


def _written_criterion(one: Criterion) -> str:
    parts = [f"{one.name}: {written(one.most)}"]
    if one.times != 1:
        parts.append(f"times {written(one.times)}")
    if one.weight is not None:
        parts.append(f"weight {written(one.weight)} %")
    if one.least is not None:
        parts.append(f"at least {written(one.least)}")
    return ", ".join(parts)


def write_points(points: tuple[Point, ...]) -> str:
    """Return `points` in the notation; `read_points` reads them back the same."""
    return "; ".join(f"{point.name}: {written(point.value)}" for point in points)
