"""Why dates cannot be met, and which single changes would do.

Days a to b are overloaded if the pieces that may not begin before a and are due by b need more
than those days hold. Minutes that no plan can place are at least the overloads of disjoint spans
added up, and at most what earliest due date first leaves out; `spans` finds the spans for which
both are equal, by going through the due days in order (a longest path over disjoint intervals).
"""

from collections.abc import Sequence
from dataclasses import dataclass, replace

from planner.practice.case import LATER, Case, Job, sums
from planner.practice.edf import fits


@dataclass(frozen=True)
class Span:
    """Days first to last, what is needed inside them and what they hold."""

    first: int
    last: int
    need: int
    holds: int

    @property
    def over(self) -> int:
        """Minutes too many."""
        return self.need - self.holds

    def inside(self, job: Job) -> bool:
        """Whether all of the job falls into these days."""
        return bool(job.need) and self.first <= job.first and job.due <= self.last


def loads(jobs: Sequence[Job], caps: Sequence[int]) -> list[Span]:
    """Return every span from a first day to a due day with its load, the later firsts first."""
    before, found = sums(caps), []
    ends = sorted({job.due for job in jobs})
    for first in sorted({job.first for job in jobs}, reverse=True):
        inside = {}
        for job in jobs:
            if job.first >= first:
                inside[job.due] = inside.get(job.due, 0) + job.need
        need = 0
        for last in ends:
            need += inside.get(last, 0)
            if last >= first:
                found.append(Span(first, last, need, before[last + 1] - before[first]))
    return found


def spans(jobs: Sequence[Job], caps: Sequence[int]) -> tuple[Span, ...]:
    """Return disjoint overloaded spans with the greatest sum of overloads, in order of time."""
    best: list[tuple[int, int, tuple[Span, ...]]] = [(-1, 0, ())]
    over = sorted((one for one in loads(jobs, caps) if one.over > 0), key=lambda one: one.last)
    for span in over:
        _, value, chosen = max((one for one in best if one[0] < span.first), key=lambda one: one[1])
        if value + span.over > best[-1][1]:
            best.append((span.last, value + span.over, (*chosen, span)))
    return best[-1][2]


def more_minutes(case: Case) -> int | None:
    """Return the fewest minutes more, on each day with practice, that would do; None if none do."""
    practised = sums([1 if minutes else 0 for minutes in case.caps])
    most = 0
    for span in loads(case.jobs, case.caps):
        if span.over > 0:
            days = practised[span.last + 1] - practised[span.first]
            if not days:
                return None
            most = max(most, -(-span.over // days))
    return most if most + max(case.caps) <= 24 * 60 else None


def fewer(case: Case, short: Sequence[Span]) -> list[Job]:
    """Return the jobs without which the others fit, the smallest first."""
    found = [job for job in _in_all(case, short) if fits(_without(case, job), case.caps)]
    return sorted(found, key=lambda job: (job.need, job.key))


def later(case: Case, short: Sequence[Span]) -> list[tuple[Job, int]]:
    """Return (job, fewest days its date has to move for all to fit), the fewest days first."""
    found = []
    for job in _in_all(case, short):
        if not fits(moved(case, job, LATER), case.caps):
            continue
        low, high = 0, LATER
        while high - low > 1:
            middle = (low + high) // 2
            low, high = (
                (low, middle) if fits(moved(case, job, middle), case.caps) else (middle, high)
            )
        found.append((job, high))
    return sorted(found, key=lambda one: (one[1], one[0].key))


def moved(case: Case, job: Job, days: int) -> list[Job]:
    """Return all jobs, this one due so many days later."""
    due = job.due + days
    return [*_without(case, job), replace(job, due=due, first=min(max(job.first, case.today), due))]


def _without(case: Case, job: Job) -> list[Job]:
    return [one for one in case.jobs if one.key != job.key]


def _in_all(case: Case, short: Sequence[Span]) -> list[Job]:
    """Jobs inside every span: to change any other leaves one of them overloaded."""
    return [job for job in case.jobs if all(span.inside(job) for span in short)]
