"""Whether an answer is what the problem asks, read row by row from the problem itself.

Nothing here knows how the plan was made. Whether changed dates can be met is decided by the spans
alone (no span of days may be overloaded; Horn 1974, from memory), not by the rule that found them.
An answer is believed after this, and not before.
"""

from collections.abc import Sequence
from dataclasses import replace
from datetime import date, timedelta

from planner.practice.model import Answer, Change, Day, Piece, Problem, Short

DAY = timedelta(days=1)


class Unsound(ArithmeticError):
    """An answer does not stand the check. The message says where."""


def check(problem: Problem, answer: Answer) -> None:
    """Raise Unsound if the plan breaks a rule, a figure is wrong, or a claim is not true."""
    days = [day.on for day in answer.days]
    _require(days == sorted(set(days)), "the days are not in order")
    for day in answer.days:
        _day(problem, day)
    for audition in problem.auditions:
        _runs(audition, answer.days, problem)
    for piece in problem.pieces:
        _piece(piece, problem, answer)
    _proof(problem, answer)
    for change in answer.changes:
        _change(problem, change)


def minutes_on(problem: Problem, day: date, more: int = 0) -> int:
    """Return the minutes available on a day, `more` on each day that has any."""
    away = any(one.first <= day <= one.last for one in problem.away)
    if away or day < problem.today:
        return 0
    extra = sum(one.minutes for one in problem.extra if one.on == day)
    minutes = min(max(problem.weekdays[day.weekday()] + extra, 0), 24 * 60)
    return minutes + more if minutes else 0


def _require(true: bool, otherwise: str) -> None:
    if not true:
        raise Unsound(otherwise)


def _day(problem: Problem, day: Day) -> None:
    total = sum(one.minutes for one in day.stretches)
    holds = minutes_on(problem, day.on)
    _require(day.available == holds and day.minutes == total, f"{day.on}: the figures are wrong")
    _require(total <= holds, f"{day.on}: more minutes than there are")
    if day.light:
        most = holds * problem.settings.light_share // 100
        _require(total <= most, f"{day.on}: not light")
    for one in day.stretches:
        _require(one.minutes > 0, f"{day.on}: an empty stretch")
        long = one.kind == "piece" and one.minutes > problem.settings.longest
        _require(not long, f"{day.on}, {one.name}: too long a stretch")


def _piece(piece: Piece, problem: Problem, answer: Answer) -> None:
    line = next(one for one in answer.pieces if one.key == piece.key)
    rows = [
        (day.on, one.minutes)
        for day in answer.days
        for one in day.stretches
        if one.kind == "piece" and one.key == piece.key
    ]
    begin = max(piece.begin or problem.today, problem.today)
    _require(all(begin <= on <= piece.due for on, _ in rows), f"{piece.name}: out of its days")
    total = sum(minutes for _, minutes in rows)
    _require(total == line.minutes, f"{piece.name}: the minutes are wrong")
    _require(total + line.missing == piece.minutes, f"{piece.name}: not all its minutes")
    finished = rows[-1][0] if rows and not line.missing else None
    _require(line.finished_on == finished, f"{piece.name}: finished on another day")
    slack = (piece.due - finished).days if finished else None
    _require(line.slack == slack, f"{piece.name}: the slack is wrong")


def _runs(audition, days: Sequence[Day], problem: Problem) -> None:
    weeks = len(problem.settings.run_shares)
    for day in days:
        for one in day.stretches:
            if one.kind == "run-through" and one.key == audition.key:
                _require(one.minutes == audition.minutes, f"{day.on}: not the whole programme")
                left = (audition.on - day.on).days
                _require(1 <= left <= 7 * weeks, f"{day.on}: no week for a run-through")


# ---- what is claimed of all plans


def _proof(problem: Problem, answer: Answer) -> None:
    """No plan places more: disjoint spans of days hold just so much less than they have to."""
    missing = sum(line.missing for line in answer.pieces)
    _require(answer.missing == missing and answer.feasible == (not missing), "missing is wrong")
    _require(sum(short.minutes for short in answer.short) == missing, "the proof is not tight")
    after = date.min
    for short in answer.short:
        _require(after < short.first <= short.last, "the spans of the proof overlap")
        after = short.last
        _short(problem, short)


def _short(problem: Problem, short: Short) -> None:
    inside = [one for one in problem.pieces if one.minutes and _inside(one, problem, short)]
    _require({one.key for one in inside} == set(short.pieces), f"{short.first}: other pieces")
    _require(sum(one.minutes for one in inside) == short.need, f"{short.first}: the need is wrong")
    holds = sum(minutes_on(problem, day) for day in _days(short.first, short.last))
    _require(holds == short.available, f"{short.first}: available is wrong")
    _require(short.need - holds == short.minutes > 0, f"{short.first}: not short")


def _days(first: date, last: date) -> list[date]:
    return [first + number * DAY for number in range((last - first).days + 1)]


def _window(piece: Piece, problem: Problem) -> tuple[date, date]:
    begin = max(piece.begin or problem.today, problem.today)
    return min(begin, piece.due), piece.due


def _inside(piece: Piece, problem: Problem, short: Short) -> bool:
    first, due = _window(piece, problem)
    return short.first <= first and due <= short.last


def possible(problem: Problem, more: int = 0) -> bool:
    """Return whether no span of days is overloaded, with `more` minutes on each practice day."""
    pieces = [
        (*_window(piece, problem), piece.minutes) for piece in problem.pieces if piece.minutes
    ]
    if not pieces:
        return True
    first = min(one[0] for one in pieces)
    holds = [0]
    for day in _days(first, max(one[1] for one in pieces)):
        holds.append(holds[-1] + minutes_on(problem, day, more))
    for begin in {one[0] for one in pieces}:
        need = 0
        for start, due, minutes in sorted(pieces, key=lambda one: one[1]):
            need += minutes if start >= begin else 0
            held = holds[(due - first).days + 1] - holds[(begin - first).days]
            if due >= begin and need > held:
                return False
    return True


def _change(problem: Problem, change: Change) -> None:
    if change.kind == "more minutes":
        does, less = possible(problem, change.amount), possible(problem, change.amount - 1)
    elif change.kind == "one piece fewer":
        others = tuple(one for one in problem.pieces if one.key != change.piece)
        does, less = possible(replace(problem, pieces=others)), possible(problem)
    else:
        does = possible(_later(problem, change.piece, change.amount))
        less = possible(_later(problem, change.piece, change.amount - 1))
    _require(does, f"{change.sentence}: it would not do")
    _require(not less, f"{change.sentence}: less would do")


def _later(problem: Problem, key: str | None, days: int) -> Problem:
    pieces = [
        replace(one, due=one.due + days * DAY) if one.key == key else one for one in problem.pieces
    ]
    return replace(problem, pieces=tuple(pieces))
