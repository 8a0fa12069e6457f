"""What every piece gets where not all of it fits.

As many minutes as can be placed, and not all cut from one piece: inside an overloaded span all
pieces keep the same share of what they ask for, as far as their dates allow. What that leaves is
added piece by piece, each as much as fits. The minutes that fit together form a polymatroid, so
adding piece by piece from any start ends with the most minutes there can be (Edmonds 1970, from
memory); `check` holds the sum against the proof. Pieces outside the spans always keep everything.
"""

from collections.abc import Callable, Sequence
from dataclasses import replace
from functools import partial

from planner.practice.case import Case, Job
from planner.practice.edf import fits, given
from planner.practice.proof import Span

WHOLE = 1000  # shares are tried in thousandths


def cut(case: Case, short: Sequence[Span]) -> list[Job]:
    """Return the jobs with the minutes that are placed, in the same order."""
    if not short:
        return case.jobs
    inside = [any(span.inside(job) for span in short) for job in case.jobs]
    jobs = [
        replace(job, need=0) if cut else job for job, cut in zip(case.jobs, inside, strict=True)
    ]
    for span in short:
        jobs = _shared(case, jobs, span)
    return _filled(case, jobs)


def _shared(case: Case, jobs: list[Job], span: Span) -> list[Job]:
    def at(share: int) -> list[Job]:
        return [
            replace(job, need=whole.need * share // WHOLE) if span.inside(whole) else job
            for job, whole in zip(jobs, case.jobs, strict=True)
        ]

    return at(_most(WHOLE, lambda share: fits(at(share), case.caps)))


def _filled(case: Case, jobs: list[Job]) -> list[Job]:
    """Add what still fits, the earliest dates first."""
    left = sum(given(case.jobs, case.caps)) - sum(job.need for job in jobs)
    for i in sorted(range(len(jobs)), key=lambda i: (jobs[i].due, jobs[i].key)):
        most = min(left, case.jobs[i].need - jobs[i].need)
        more = _most(most, partial(_fits_with, case, jobs, i))
        jobs, left = _with(jobs, i, more), left - more
    return jobs


def _with(jobs: list[Job], i: int, more: int) -> list[Job]:
    return [*jobs[:i], replace(jobs[i], need=jobs[i].need + more), *jobs[i + 1 :]]


def _fits_with(case: Case, jobs: list[Job], i: int, more: int) -> bool:
    return fits(_with(jobs, i, more), case.caps)


def _most(most: int, does: Callable[[int], bool]) -> int:
    """Return the largest number up to `most` that does; 0 does."""
    low, high = 0, most + 1
    while high - low > 1:
        middle = (low + high) // 2
        low, high = (middle, high) if does(middle) else (low, middle)
    return low
