"""How ready is each piece today, when will it be ready, and how sure are we?

measures: from checks to points. prior: what is usual. pace: the curves through the points and
their range. band: the same, day by day. pieces, auditions: the answers with their sentences.
worked: an example.

What this can't do yet: points stop at 100, so a forecast made from the last steps before ready
runs late; a holiday is not known, only guessed where checks lie far apart; a measure that has
reached its need still shows in the pace for some weeks.
"""

from dataclasses import replace

from . import pieces
from .auditions import judge, with_ease
from .model import (
    Answer,
    Audition,
    AuditionReadiness,
    Check,
    Piece,
    PieceReadiness,
    Problem,
    Settings,
    Slot,
    SlotReadiness,
    validate,
)
from .prior import PAUSE_WEEKS, Prior, Shape
from .words import day, days, number
from .worked import example

__all__ = [
    "QUESTION",
    "Answer",
    "Audition",
    "AuditionReadiness",
    "Check",
    "Piece",
    "PieceReadiness",
    "Problem",
    "Prior",
    "Settings",
    "Shape",
    "Slot",
    "SlotReadiness",
    "answer",
    "example",
]

QUESTION = "How ready is each piece today, when will it be ready, and how sure are we?"


def answer(problem: Problem) -> Answer:
    """Answer the question for one student; raise ValueError if the problem makes no sense."""
    validate(problem)
    heard = {piece.key: pieces.hear(piece, problem) for piece in problem.pieces}
    auditions = tuple(judge(audition, heard, problem) for audition in problem.auditions)
    coming = [a for a in auditions if a.on is not None and a.on >= problem.today]
    following = min(coming, key=lambda audition: audition.on, default=None)
    if following:
        now = following.now
    else:
        known = [piece.answer.now for piece in heard.values() if piece.answer.now is not None]
        now = sum(known) / len(known) if known else None
    return Answer(
        pieces=tuple(_with_chance(piece, coming, problem) for piece in heard.values()),
        auditions=auditions,
        now=now,
        next=following.key if following else None,
        notes=_assumed(problem) + _left_out(problem),
        chance=following and following.chance,
        ready_on=following and following.ready_on,
        earliest=following and following.earliest,
        latest=following and following.latest,
        slowest=following and following.slowest,
    )


def _with_chance(piece, coming, problem: Problem):
    """The piece's answer with its chance for the next audition that asks for it."""
    key = piece.answer.key
    asking = {a.key for a in problem.auditions if any(key in slot.pieces for slot in a.slots)}
    days = [audition.on for audition in coming if audition.key in asking]
    if not days:
        return piece.answer
    return replace(piece.answer, chance=piece.chance(with_ease(min(days), problem)))


def _assumed(problem: Problem) -> tuple[str, ...]:
    settings = problem.settings
    return (
        "A forecast is an estimate, not a promise.",
        f"Ready means {settings.ready_at:.0f} of 100 or more on an ordinary day.",
        "The pace comes from all checks, recent ones most: a line that goes on, curves that "
        "flatten and a pace that changes, each as far as it foretold the checks. It starts from "
        f"what is usual, {settings.prior.rate:g} points a week, and assumes that practice goes on.",
        f"A piece not heard for {days(settings.carry_days)} is taken to stand still until it is; "
        f"after {days(settings.stale_after_days)} it loses {settings.forgetting_per_day:g} points "
        "a day; its range widens. A gap between checks may hold a holiday of up to "
        f"{number(PAUSE_WEEKS)} weeks.",
        f"A chance is that of being ready {days(settings.ease_days)} before the audition; it takes "
        "the pieces as independent, and a ready piece as kept up.",
    )


def _left_out(problem: Problem) -> tuple[str, ...]:
    notes = []
    for piece in problem.pieces:
        later = [check.on for check in piece.checks if check.on > problem.today]
        if later:
            what = "a check" if len(later) == 1 else f"{number(len(later))} checks"
            first = day(min(later), problem.today)
            notes.append(f"{piece.name}: {what} dated after today ({first}) left out.")
        goals = [piece.target, *(check.target for check in piece.checks)]
        if any(check.tempo for check in piece.checks) and not any(goals):
            notes.append(f"{piece.name}: clean tempos left out, there is no target tempo.")
    return tuple(notes)
