"""The answer in sentences, as a teacher would say it."""

from collections.abc import Sequence
from datetime import date

from planner.deadlines.wording import count_of, dated, listed
from planner.practice.case import Case, Job
from planner.practice.model import Day, PieceLine, Rest, Row
from planner.practice.proof import Span
from planner.practice.wishes import Wishes
from planner.readiness.words import in_hand

CARE = (
    "Stop playing if it hurts, and tell somebody; rest days are part of practice.",
    "The minutes that a piece still needs are an estimate: look at them again after each lesson.",
)
GIVES_WAY = (
    "What does not fit is shared among the pieces concerned; which of them gives way is for the "
    "teacher to say."
)
HOUR = 60
NAMES = 4  # so many are named, the rest is counted


def lasting(minutes: int) -> str:
    """Return "45 minutes", from two hours on "18 h 25 min"."""
    if minutes < 2 * HOUR:
        return count_of(minutes, "minute")
    hours, rest = divmod(minutes, HOUR)
    return f"{hours} h {rest} min" if rest else f"{hours} h"


def names(all_names: Sequence[str]) -> str:
    """Return "a, b and c", or the first few and how many more."""
    if len(all_names) <= NAMES:
        return listed(list(all_names))
    return f"{', '.join(all_names[:NAMES])} and {len(all_names) - NAMES} more"


def answered(case: Case, days: Sequence[Day], missing: int, short: Sequence[Span]) -> str:
    """Return the plan in one or two sentences."""
    work = sum(job.need for job in case.jobs)
    if not work:
        return "No piece asks for more minutes, so there is nothing to plan."
    if not missing:
        last = max((day.on for day in days), default=case.problem.today)
        until = dated(last, case.problem.today)
        return (
            f"Every piece is ready by its date: {lasting(work)} in "
            f"{count_of(len(days), 'session')}, the last on {until}."
        )
    return (
        f"Not every piece can be ready by its date: {count_of(missing, 'minute')} of {work:,} do "
        f"not fit. Proven: no plan places more. {short_sentence(case, short[0])}"
    )


def short_sentence(case: Case, span: Span) -> str:
    """Return why the days of `span` hold too little."""
    today = case.problem.today
    inside = [one.name for one, job in zip(case.pieces, case.jobs, strict=True) if span.inside(job)]
    last = dated(case.day(span.last), today)
    if span.last < case.today:
        return f"{names(inside)}: the date, {last}, has passed with {span.need} minutes to do."
    first = dated(case.day(span.first), today)
    when = f"From {first} to {last}" if first != last else f"On {last}"
    return (
        f"{when} there are {count_of(span.holds, 'minute')}, and {names(inside)} "
        f"{'asks' if len(inside) == 1 else 'ask'} for {span.need}: {span.over} too few."
    )


def minutes_sentence(amount: int) -> str:
    """Return what more minutes a day would do."""
    more = f"{count_of(amount, 'minute')} more on each day with practice would do"
    return f"{more}; {amount - 1} would not." if amount > 1 else f"{more}."


def fewer_sentence(case: Case, job: Job) -> str:
    """Return what one piece fewer would do."""
    return f"Without {name_of(case, job)} ({count_of(job.need, 'minute')}) all the others fit."


def later_sentence(case: Case, job: Job, days: int) -> str:
    """Return what a later date would do."""
    due = case.day(job.due + days)
    on = dated(due, case.problem.today)
    said = f"With {name_of(case, job)} ready {count_of(days, 'day')} later, on {on}, all fits"
    passed = [one.name for one in case.auditions if one.on < due and job.key in one.pieces]
    return f"{said}; that is after {names(passed)}." if passed else f"{said}."


def name_of(case: Case, job: Job) -> str:
    """Return the name of a job's piece."""
    return next(piece.name for piece in case.pieces if piece.key == job.key)


def piece_sentence(line: PieceLine, due: date, today: date) -> str:
    """Return what the plan does for one piece; `line` without its sentence."""
    by = dated(due, today)
    if line.missing:
        return f"{count_of(line.missing, 'minute')} short on {by}."
    if line.finished_on is None:
        return "No more minutes needed."
    done = dated(line.finished_on, today)
    share = f"{lasting(line.minutes)} on {count_of(line.days, 'day')}"
    return f"{share}, done on {done}: {in_hand(line.slack or 0)} before {by}."


def moved(case: Case, days: Sequence[Day]) -> tuple[str, ...]:
    """Return what differs from the previous plan from today on, by piece."""
    if not case.problem.previous:
        return ()
    old, new = _by_piece(case.problem.previous, case.problem.today), _of(days)
    known = {piece.key: piece.name for piece in case.problem.pieces}
    keys = [*known, *sorted(set(old) - set(known))]
    said = []
    for key in keys:
        before, after = old.get(key, {}), new.get(key, {})
        if before != after:
            said.append(f"{known.get(key, key)}: {_difference(case, before, after)}")
    return tuple(said) or ("Nothing has moved.",)


def _difference(case: Case, before: dict, after: dict) -> str:
    if not before:
        return f"new in the plan, {count_of(sum(after.values()), 'minute')}."
    if not after:
        return f"no longer in the plan ({count_of(sum(before.values()), 'minute')} before)."
    other = sorted(day for day in {*before, *after} if before.get(day, 0) != after.get(day, 0))
    first = "today" if other[0] == case.problem.today else dated(other[0], case.problem.today)
    was, now = before.get(other[0], 0), after.get(other[0], 0)
    total = sum(after.values()) - sum(before.values())
    much = f"{count_of(abs(total), 'minute')} {'more' if total > 0 else 'fewer'} in all"
    if not total:
        much = "as many minutes, on other days"
    return f"{much}; {count_of(len(other), 'day')} changed, first {first}: {now} min, not {was}."


def _by_piece(rows: Sequence[Row], today: date) -> dict[str, dict[date, int]]:
    found: dict[str, dict[date, int]] = {}
    for row in rows:
        if row.on >= today and row.minutes:
            days = found.setdefault(row.piece, {})
            days[row.on] = days.get(row.on, 0) + row.minutes
    return found


def _of(days: Sequence[Day]) -> dict[str, dict[date, int]]:
    rows = [
        Row(day.on, one.key, one.minutes)
        for day in days
        for one in day.stretches
        if one.kind == "piece"
    ]
    return _by_piece(rows, date.min)


def notes(case: Case, days, wishes: Wishes, rests: Sequence[Rest], short) -> tuple[str, ...]:
    """Return what was assumed, and which wishes the days had no room for."""
    said = [*CARE, GIVES_WAY] if short else list(CARE)
    for audition in case.auditions:
        wished = wishes.wished.get(audition.key, 0)
        fit = sum(one.key == audition.key for runs in wishes.runs.values() for one in runs)
        if fit < wished:
            found = f"only {fit} of {count_of(wished, 'run-through')} fit"
            said.append(f"{audition.name}: {found}, the dates come first.")
    if wishes.heavy:
        said.append(
            f"{count_of(len(wishes.heavy), 'day')} before auditions could not be kept light."
        )
    for rest in rests[:NAMES]:
        piece = next(one.name for one in case.pieces if one.key == rest.piece)
        after, until = (dated(day, case.problem.today) for day in (rest.after, rest.until))
        said.append(
            f"{piece} rests for {count_of(rest.days, 'day')} between {after} and {until}, longer "
            f"than it should; on its turn the day had no room."
        )
    if len(rests) > NAMES:
        said.append(f"{count_of(len(rests) - NAMES, 'other rest')} longer than they should be.")
    least = case.settings.shortest
    tiny = sum(one.minutes < least for day in days for one in day.stretches if one.kind == "piece")
    if tiny:
        said.append(
            f"{count_of(tiny, 'time')} there is room for less than {least} minutes at one go."
        )
    return tuple(said)
