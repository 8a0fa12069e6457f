"""How ready is each piece today, when will it be ready, and how sure are we?

measures: from checks to points. pace: the line through them and its range. pieces, auditions:
the answers with their sentences. worked: an example.

What this can't do yet: a line knows no plateau, and points stop at 100, so a forecast made from
the last steps before ready runs early; a measure that has reached its need still shows in the
pace until its gain has left the window.
"""

from . import pieces
from .auditions import judge
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
    validate,
)
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
    "Settings",
    "Slot",
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
        pieces=tuple(piece.answer for piece in heard.values()),
        auditions=auditions,
        now=now,
        next=following.key if following else None,
        notes=_assumed(problem) + _left_out(problem),
    )


def _assumed(problem: Problem) -> tuple[str, ...]:
    settings = problem.settings
    return (
        "A forecast is an estimate, not a promise.",
        f"Ready means {settings.ready_at:.0f} of 100 or more, as it usually goes.",
        "The pace is a straight line through the checks of the last "
        f"{days(settings.window_days)}; it assumes that practice goes on as it has.",
        f"A piece not heard for {days(settings.carry_days)} is taken to stand still until it is; "
        f"after {days(settings.stale_after_days)} it loses {settings.forgetting_per_day:g} points "
        "a day; its range widens.",
        "The chance for an audition takes its pieces as independent, and a ready piece as kept up.",
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
