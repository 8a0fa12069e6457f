"""Light last days and run-throughs: minutes kept free, but never at the cost of a date.

Both make a day hold less for the work on the pieces. Each is kept only if all that could be placed
before can still be placed. Run-throughs leave a little more than that, where there is so much: the
work has to fit into EASY percent of what they leave, or no piece could be played when it should.
"""

from collections.abc import Sequence
from dataclasses import dataclass, field

from planner.practice.case import Case, Job, scaled
from planner.practice.edf import fits
from planner.practice.model import Audition

WEEK = 7
EASY = 85  # percent; common practice, no source


@dataclass
class Wishes:
    """What is left of each day for pieces, and what was kept free of it.

    runs: auditions played through on a day. wished: run-throughs asked for by audition.
    heavy: days that should have been light but could not.
    """

    caps: list[int]
    light: set[int] = field(default_factory=set)
    heavy: set[int] = field(default_factory=set)
    runs: dict[int, list[Audition]] = field(default_factory=dict)
    wished: dict[str, int] = field(default_factory=dict)


def granted(case: Case, jobs: Sequence[Job]) -> Wishes:
    """Return the wishes that leave room for all of `jobs` (which fit without any)."""
    wishes = Wishes(list(case.caps))
    coming = [one for one in case.auditions if case.number(one.on) >= case.today]
    for audition in coming:
        _lighten(case, jobs, wishes, case.number(audition.on))
    level = EASY if fits(jobs, scaled(wishes.caps, EASY)) else 100
    for audition in coming:
        wishes.wished[audition.key] = 0
        for week in range(len(case.settings.run_shares)):
            _run_week(case, jobs, wishes, audition, week, level)
    return wishes


def _lighten(case: Case, jobs: Sequence[Job], wishes: Wishes, on: int) -> None:
    for day in range(on, max(on - case.settings.light_days, case.today) - 1, -1):
        most = case.caps[day] * case.settings.light_share // 100
        if day in wishes.light or most == case.caps[day]:
            continue
        kept = _held(jobs, wishes.caps, day, wishes.caps[day] - most)
        (wishes.light if kept else wishes.heavy).add(day)


def _run_week(case, jobs, wishes: Wishes, audition: Audition, week: int, level: int) -> None:
    """Place the run-throughs of one week, evenly, the last ones first."""
    end = case.number(audition.on) - week * WEEK
    days = range(max(end - WEEK, case.today), end)
    held, share = sum(case.caps[day] for day in days), case.settings.run_shares[week]
    if not (audition.minutes and share and held):
        return
    count = held * share // (100 * audition.minutes)
    count = min(max(count, 1 if week == 0 else 0), sum(1 for day in days if case.caps[day]))
    wishes.wished[audition.key] += count
    free = list(reversed(days))
    for number in range(count):
        # The middle of this one's part of the week, then the days nearest to it.
        aim = days[-1] - (2 * number + 1) * len(days) // (2 * count)
        for day in sorted(free, key=lambda day: (abs(day - aim), -day)):
            if _held(jobs, wishes.caps, day, audition.minutes, level):
                wishes.runs.setdefault(day, []).append(audition)
                free.remove(day)
                break


def _held(jobs: Sequence[Job], caps: list[int], day: int, minutes: int, level: int = 100) -> bool:
    """Keep these minutes free if the jobs still fit into so many percent of the rest; say if so."""
    if caps[day] < minutes:
        return False
    caps[day] -= minutes
    if fits(jobs, scaled(caps, level)):
        return True
    caps[day] += minutes
    return False
