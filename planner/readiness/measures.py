"""From checks to points: what was measured, what a check is worth, what limits a piece.

A measure (tempo, marks, memory) counts as its share of its need, at most 1. Points are the
weighted mean of the shares known so far, times 100. A check that leaves a measure out keeps the
last value known, so that a bare tempo log doesn't wipe out the marks of the last lesson.
"""

from collections.abc import Sequence
from dataclasses import dataclass
from datetime import date
from itertools import groupby
from math import fsum
from operator import attrgetter

from . import words
from .model import Check, Piece, Settings

MEASURES = ("tempo", "marks", "memory")

Shares = tuple[float | None, float | None, float | None]


@dataclass(frozen=True, slots=True)
class Reading:
    """A piece's shares (tempo, marks, memory; None: never taken) after the checks of one day.

    tempo, target, marks and memory are the values themselves, for sentences.
    """

    on: date
    shares: Shares
    tempo: float | None
    target: float | None
    marks: float | None
    memory: float | None


def readings(piece: Piece, checks: Sequence[Check], settings: Settings) -> list[Reading]:
    """One reading a day, oldest first; checks that measured nothing yet are left out."""
    found = []
    tempo = target = marks = memory = None
    goal = piece.target
    for on, group in groupby(sorted(checks, key=attrgetter("on")), key=attrgetter("on")):
        played, aimed, heard, asked = _one_day(list(group))
        if piece.target is None and aimed is not None:
            goal = aimed
        if played is not None and goal is not None:
            tempo, target = played, goal
        marks = marks if heard is None else heard
        if piece.from_memory and asked is not None:
            memory = asked
        shares = (
            None if tempo is None else min(tempo / target / settings.tempo_need, 1.0),
            None if marks is None else min(marks / settings.marks_need, 1.0),
            None if memory is None else min(memory / settings.memory_need, 1.0),
        )
        if shares != (None, None, None):
            found.append(Reading(on, shares, tempo, target, marks, memory))
    return found


def _one_day(checks: list[Check]) -> tuple[float | None, ...]:
    """Tempo, target, marks, memory: the best clean tempo, the least secure memory.

    Marks are the mean of what each hearing gave, however many marks that were: a panel's dozen
    does not outvote the lesson's four.
    """
    tempos = [check.tempo for check in checks if check.tempo is not None]
    targets = [check.target for check in checks if check.target is not None]
    heard = [fsum(check.marks) / len(check.marks) for check in checks if check.marks]
    memory = [check.memory for check in checks if check.memory is not None]
    return (
        max(tempos, default=None),
        max(targets, default=None),
        fsum(heard) / len(heard) if heard else None,
        min(memory, default=None),
    )


def points(shares: Shares, settings: Settings) -> float:
    """Weighted mean of the known shares, 0 to 100."""
    weights = (settings.tempo_weight, settings.marks_weight, settings.memory_weight)
    total = whole = 0.0
    for share, weight in zip(shares, weights, strict=True):
        if share is not None:
            total += weight * share
            whole += weight
    return min(100.0 * total / whole, 100.0)


def evened(found: Sequence[Reading]) -> list[Shares]:
    """The shares with the first value of each measure standing in before it was first taken.

    Asking for memory for the first time must not look like a setback on the line: how it stood
    before isn't known, so no gain or loss is read into it.
    """
    begun, ended = ([share is None for share in found[end].shares] for end in (0, -1))
    if begun == ended:
        return [reading.shares for reading in found]
    columns = zip(*(reading.shares for reading in found), strict=True)
    first = [next((share for share in column if share is not None), None) for column in columns]
    return [
        tuple(start if share is None else share for share, start in zip(row, first, strict=True))
        for row in (reading.shares for reading in found)
    ]


def forgotten(days: int, settings: Settings) -> float:
    """Points lost after so many days without a check."""
    stale = days - settings.stale_after_days
    if stale <= 0:
        return 0.0
    return min(stale * settings.forgetting_per_day, settings.forgetting_most)


def held_back(shares: Shares, settings: Settings) -> int | None:
    """Index of the measure furthest below what a ready piece must have, None if all have it."""
    floor = 1 - settings.tolerance - 1e-9
    short = [(share, i) for i, share in enumerate(shares) if share is not None and share < floor]
    return min(short)[1] if short else None


def limit(reading: Reading, loss: float, needs_memory: bool) -> str:
    """What keeps a piece that isn't ready from being so."""
    known = [(share, i) for i, share in enumerate(reading.shares) if share is not None]
    lowest, index = min(known)
    if loss > 100 * (1 - lowest):
        return "stale"
    if lowest >= 1 and needs_memory and reading.memory is None:
        return "memory"
    return MEASURES[index]


def limit_sentence(what: str | None, reading: Reading, days_ago: int) -> str:
    """The limit in words, fit to follow a comma."""
    if what == "tempo":
        return f"clean at {words.figure(reading.tempo)} of {words.figure(reading.target)}"
    if what == "marks":
        return f"marks at {words.points(100 * reading.marks)} of 100"
    if what == "stale":
        return f"last checked {words.days(days_ago)} ago"
    if what == "memory":
        if reading.memory is None:
            return "memory not checked yet"
        return "partly from memory" if reading.memory > 0 else "not from memory yet"
    return "ready"
