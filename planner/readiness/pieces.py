"""One piece: from its checks to its figure, its day and its sentence."""

from bisect import bisect_right
from collections.abc import Sequence
from dataclasses import dataclass, replace
from datetime import date
from math import inf

from . import measures
from .band import Band, band
from .measures import Reading
from .model import Piece, PieceReadiness, Problem, Settings
from .pace import Pace, measure_pace
from .words import day, points

_NO_MEMORY = "memory not checked yet"


@dataclass(frozen=True, slots=True)
class Heard:
    """What an audition needs of a piece beside its answer.

    pace: the curves if there are any. memory_missing: needed, never asked for.
    """

    answer: PieceReadiness
    pace: Pace | None = None
    memory_missing: bool = False

    def at(self, on: date, settings: Settings) -> float | None:
        """What `now` was (or, with no check since, will be) on that day; None before any check."""
        history = self.answer.history
        index = bisect_right(history, (on, inf))
        if index == 0:
            return None
        last, value = history[index - 1]
        loss = measures.forgotten((on - last).days, settings)
        return max(0.0, value - loss) if loss else value

    def chance(self, on: date) -> float | None:
        """Probability of being ready by that day; a ready piece is taken to stay so."""
        if self.memory_missing:
            return None
        if self.answer.known == "ready":
            return 1.0
        if self.pace is None or self.answer.known not in ("forecast", "not gaining"):
            return None
        return self.pace.chance(on)


@dataclass(frozen=True, slots=True)
class _State:
    """A piece that was checked: what is the same for every outcome."""

    found: Sequence[Reading]
    history: tuple[tuple[date, float], ...]
    now: float
    loss: float
    silent: int
    memory_missing: bool


def hear(piece: Piece, problem: Problem) -> Heard:
    """Judge one piece; checks dated after today are left out."""
    settings, today = problem.settings, problem.today
    checks = [check for check in piece.checks if check.on <= today]
    found = measures.readings(piece, checks, settings)
    if not found:
        blank = (None, (), None, "not checked yet", None, None, None, None)
        return Heard(PieceReadiness(piece.key, piece.name, *blank, "no checks", "Not checked yet."))
    history = tuple((r.on, measures.points(r.shares, settings)) for r in found)
    silent = (today - found[-1].on).days
    loss = measures.forgotten(silent, settings)
    missing = piece.from_memory and found[-1].memory is None
    now = max(0.0, history[-1][1] - loss)
    state = _State(found, history, now, loss, silent, missing)
    pace = _pace(state, problem)
    answer = _answer(piece, state, pace, problem)
    return Heard(replace(answer, band=_band(answer, state, pace, problem)), pace, missing)


def _pace(state: _State, problem: Problem) -> Pace | None:
    """The pace the day rests on: of the points, or of one measure where that alone is missing."""
    settings, today = problem.settings, problem.today
    shares = measures.evened(state.found)
    dates = [reading.on for reading in state.found]
    alone = _alone(state, settings)
    if alone is None:
        values = [measures.points(each, settings) for each in shares]
        return measure_pace(dates, values, settings.ready_at, today, settings)
    values = [100 * each[alone] for each in shares]
    return measure_pace(dates, values, 100 * (1 - settings.tolerance), today, settings)


def _alone(state: _State, settings: Settings) -> int | None:
    """Index of the one measure that is missing where the points are there, else None."""
    if state.history[-1][1] < settings.ready_at:
        return None
    return measures.held_back(state.found[-1].shares, settings)


def _known(state: _State, pace: Pace | None, settings: Settings) -> str:
    """How much can be said; "forecast" still depends on whether the pace gets there."""
    whole = measures.held_back(state.found[-1].shares, settings) is None
    if whole and state.now >= settings.ready_at:
        return "part checked" if state.memory_missing else "ready"
    was_ready = whole and state.history[-1][1] >= settings.ready_at
    if was_ready or state.silent > settings.silent_after_days:
        return "stale"
    return "forecast" if pace else "one check"


def _limit(state: _State, known: str) -> str | None:
    if known == "ready":
        return None
    if known == "part checked":
        return "memory"
    if known == "stale":
        return "stale"
    return measures.limit(state.found[-1], state.loss, state.memory_missing)


def _answer(piece: Piece, state: _State, pace: Pace | None, problem: Problem) -> PieceReadiness:
    settings, today = problem.settings, problem.today
    known = _known(state, pace, settings)
    ready_on = earliest = latest = None
    end = ""
    if known == "ready":
        ready_on = earliest = latest = today
    elif known == "forecast":
        ready_on = pace.day(0.5)
        if ready_on is None:
            known, end = "not gaining", _why_not(pace, settings)
        else:
            earliest = pace.day((1 - settings.coverage) / 2)
            latest = pace.day((1 + settings.coverage) / 2)
            end = _when(ready_on, earliest, latest, pace, problem)
    elif known == "one check":
        end = _no_pace(state)
    elif known == "stale":
        end = _stale(state, settings)
    limit = _limit(state, known)
    limit_sentence = measures.limit_sentence(limit, state.found[-1], state.silent)
    return PieceReadiness(
        key=piece.key,
        name=piece.name,
        now=state.now,
        history=state.history,
        limit=limit,
        limit_sentence=limit_sentence,
        ready_on=ready_on,
        earliest=earliest,
        latest=latest,
        per_week=pace.rate if pace else None,
        known=known,
        sentence=_sentence(state, known, limit_sentence, end),
    )


def _band(answer: PieceReadiness, state: _State, pace: Pace | None, problem: Problem) -> Band:
    """Of the points; where they are there and one measure is not, they have none."""
    alone = _alone(state, problem.settings)
    if answer.known not in ("forecast", "not gaining") or alone is not None:
        return ()
    asking = [
        audition.on
        for audition in problem.auditions
        if audition.on and any(answer.key in slot.pieces for slot in audition.slots)
    ]
    days = answer.ready_on, answer.latest
    return band(pace, days, max([problem.today, *asking]), problem.settings)


def _sentence(state: _State, known: str, limit_sentence: str, end: str) -> str:
    if known == "ready":
        return f"Ready: {points(state.now)} of 100."
    if known == "part checked":
        return f"{points(state.now)} of 100 by what was checked; {_NO_MEMORY}."
    start = f"{points(state.now)} of 100 ready, {limit_sentence}"
    if state.memory_missing and limit_sentence != _NO_MEMORY:
        start += f", {_NO_MEMORY}"
    return f"{start}; {end}."


def _when(ready_on: date, earliest: date, latest: date | None, pace: Pace, problem: Problem) -> str:
    percent = f"{100 * problem.settings.coverage:.0f} % range"
    span = f"from {day(earliest, problem.today)}, no end yet"
    if latest is not None:
        span = f"{day(earliest, problem.today)} to {day(latest, problem.today)}"
    few = ", two checks only" if pace.n == 2 else ""
    if latest == earliest == ready_on:
        return f"on this pace ready by {span.partition(' to ')[0]}{few}"
    return f"on this pace ready by {day(ready_on, problem.today)} ({percent} {span}{few})"


def _why_not(pace: Pace, settings: Settings) -> str:
    if pace.rate <= 0:
        return "not gaining lately"
    return f"on this pace not ready within {settings.horizon_days} days"


def _no_pace(state: _State) -> str:
    if len(state.found) == 1:
        return "only one check, no pace yet"
    return "checks too close together, no pace yet"


def _stale(state: _State, settings: Settings) -> str:
    if state.silent <= settings.silent_after_days:
        return "it was ready then, so hear it again"
    return "too long ago for a forecast"
