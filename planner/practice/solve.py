"""The answer put together."""

from collections.abc import Sequence
from dataclasses import replace

from planner.practice import proof, words
from planner.practice.case import Case, Job
from planner.practice.check import check
from planner.practice.cut import cut
from planner.practice.model import Answer, Change, Day, PieceLine, Problem, Rest, Short
from planner.practice.proof import Span
from planner.practice.session import sessions
from planner.practice.spread import spread
from planner.practice.validate import validate
from planner.practice.wishes import granted


def answer(problem: Problem) -> Answer:
    """Return the plan, or as much of it as can be had with what is short and what would do.

    Raises ValueError, naming the place, for a problem that makes no sense, and Unsound (an
    ArithmeticError) if the answer does not stand the check.
    """
    validate(problem)
    case = Case(problem)
    short = proof.spans(case.jobs, case.caps)
    jobs = cut(case, short)
    wishes = granted(case, jobs)
    days = sessions(case, spread(case, jobs, wishes), wishes)
    rests = _rests(case, days, jobs)
    missing = sum(job.need for job in case.jobs) - sum(job.need for job in jobs)
    found = Answer(
        feasible=not missing,
        missing=missing,
        days=days,
        pieces=_lines(case, days, {job.key: job.need for job in jobs}),
        short=tuple(_short(case, span) for span in short),
        changes=_changes(case, short) if short else (),
        rests=rests,
        moved=words.moved(case, days),
        sentence=words.answered(case, days, missing, short),
        notes=words.notes(case, days, wishes, rests, short),
    )
    check(problem, found)
    return found


def _lines(case: Case, days: Sequence[Day], placed: dict[str, int]) -> tuple[PieceLine, ...]:
    lines = []
    for piece in case.problem.pieces:
        worked = _worked(days, piece.key)
        missing = piece.minutes - placed[piece.key]
        finished = worked[-1] if worked and not missing else None
        slack = (piece.due - finished).days if finished else None
        line = PieceLine(
            piece.key, piece.name, placed[piece.key], missing, len(worked), finished, slack, ""
        )
        said = words.piece_sentence(line, piece.due, case.problem.today)
        lines.append(replace(line, sentence=said))
    return tuple(lines)


def _worked(days: Sequence[Day], key: str) -> list:
    """Days on which a piece itself is worked on."""
    return [d.on for d in days if any(s.key == key and s.kind == "piece" for s in d.stretches)]


def _rests(case: Case, days: Sequence[Day], jobs: Sequence[Job]) -> tuple[Rest, ...]:
    """Return where a begun piece rests too long from today on, while it is not finished."""
    programmes = {one.key: one.pieces for one in case.auditions}
    runs = [
        (day.on, programmes[one.key])
        for day in days
        for one in day.stretches
        if one.kind == "run-through"
    ]
    found = []
    for piece, job in zip(case.pieces, jobs, strict=True):
        worked = _worked(days, piece.key)
        if not worked:
            continue
        begun = piece.last_played or worked[0]
        played = {begun, *worked, *(on for on, pieces in runs if piece.key in pieces)}
        played = sorted(on for on in played if begun <= on <= worked[-1])
        for after, until in zip(played, played[1:], strict=False):
            rested = (until - after).days - 1
            if rested > case.settings.rest_days and case.number(until) > job.first:
                found.append(Rest(piece.key, after, until, rested))
    return tuple(sorted(found, key=lambda rest: (rest.after, rest.piece)))


def _short(case: Case, span: Span) -> Short:
    return Short(
        first=case.day(span.first),
        last=case.day(span.last),
        pieces=tuple(job.key for job in case.jobs if span.inside(job)),
        need=span.need,
        available=span.holds,
        minutes=span.over,
        sentence=words.short_sentence(case, span),
    )


def _changes(case: Case, short: Sequence[Span]) -> tuple[Change, ...]:
    """Return every single change that would do; each is checked again in `check`."""
    found = []
    minutes = proof.more_minutes(case)
    if minutes is not None:
        found.append(Change("more minutes", None, minutes, words.minutes_sentence(minutes)))
    for job in proof.fewer(case, short):
        said = words.fewer_sentence(case, job)
        found.append(Change("one piece fewer", job.key, job.need, said))
    for job, days in proof.later(case, short):
        said = words.later_sentence(case, job, days)
        found.append(Change("later date", job.key, days, said))
    return tuple(found)
