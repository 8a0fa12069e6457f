"""Earliest due date first: whether every date can be met, exactly.

Work that may be interrupted, with a first day and a due day each, on days of given minutes: to
work each minute on what is due first among what may begin meets every date if any plan can (Jackson
1955 for one first day; Horn 1974 with first days; from memory). Minutes whose date has passed are
dropped; what is left out then is the least that any plan must leave out, because the days a piece
may use are an interval (Glover 1967, matching in a convex bipartite graph; from memory). The answer
carries its own proof (`proof`), so nobody has to believe these references.
"""

from collections.abc import Sequence
from heapq import heappop, heappush

from planner.practice.case import Job


def fill(jobs: Sequence[Job], caps: Sequence[int]) -> list[tuple[int, int, int]]:
    """Return (day, index of the job, minutes) in order of playing; as many minutes as possible."""
    waiting = sorted((job.first, job.due, index) for index, job in enumerate(jobs) if job.need)
    waiting.reverse()
    left = [job.need for job in jobs]
    rows, begun = [], []
    day = waiting[-1][0] if waiting else 0
    while waiting or begun:
        while waiting and waiting[-1][0] <= day:
            _, due, index = waiting.pop()
            heappush(begun, (due, index))
        room = caps[day] if day < len(caps) else 0
        while begun and (room or begun[0][0] < day):
            due, index = begun[0]
            given = min(room, left[index]) if due >= day else 0
            if given:
                rows.append((day, index, given))
            room, left[index] = room - given, left[index] - given
            if due < day or not left[index]:
                heappop(begun)
        day = day + 1 if begun else max(day + 1, waiting[-1][0] if waiting else 0)
    return rows


def given(jobs: Sequence[Job], caps: Sequence[int]) -> list[int]:
    """Return the minutes that each job gets."""
    total = [0] * len(jobs)
    for _, index, minutes in fill(jobs, caps):
        total[index] += minutes
    return total


def fits(jobs: Sequence[Job], caps: Sequence[int]) -> bool:
    """Return whether every job gets all its minutes by its date."""
    return sum(given(jobs, caps)) == sum(job.need for job in jobs)
