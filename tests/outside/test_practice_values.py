"""What can be ready in time, against published schedules and an independent maximum flow."""

import random
from datetime import date, timedelta

import numpy as np
import pytest
from scipy.sparse import csr_matrix
from scipy.sparse.csgraph import maximum_flow

from planner.practice import Extra, Piece, answer
from planner.practice.case import Job
from planner.practice.check import minutes_on
from planner.practice.edf import fill, fits
from planner.practice.proof import spans
from tests.planner.practice_cases import jobs, on, practice

# Source of the next three: a single machine, work that may be interrupted. A unit of time is a day
# of one minute; due at time d means that day d - 1 is the last one.
# 1|r,pmtn|Lmax = 5, M. Pinedo, Scheduling, the branch and bound example (slideplayer.com 3362057).
PINEDO = {"p": (4, 2, 6, 5), "r": (0, 1, 3, 5), "d": (8, 12, 11, 10)}
PINEDO_SCHEDULE = ((1, 0, 4), (3, 4, 5), (4, 5, 10), (3, 10, 15), (2, 15, 17))
# J. Hooker, Integrated Methods for Optimization, table 2.11 (tutorsglobe.com 51551891).
HOOKER = {"p": (1, 3, 3, 4, 2), "r": (0, 0, 2, 2, 4), "d": (10, 10, 7, 10, 7)}


def machine(p, r, d, late=0):
    """Return the jobs, each allowed to end so late."""
    rows = zip(p, r, d, strict=True)
    return [Job(f"{n}", r, d - 1 + late, p) for n, (p, r, d) in enumerate(rows, 1)]


def lateness(p, r, d):
    """Return the least Lmax: by how much every date has to move for all to fit."""
    caps = [1] * (max(r) + sum(p))
    late = -max(d)
    while any(due - 1 + late < begin for due, begin in zip(d, r, strict=True)) or not fits(
        machine(p, r, d, late), caps
    ):
        late += 1
    return late


def blocks(rows):
    """Return (job, from, to) of units in order."""
    found = []
    for day, index, _ in rows:
        if found and found[-1][0] == index + 1 and found[-1][2] == day:
            found[-1] = (index + 1, found[-1][1], day + 1)
        else:
            found.append((index + 1, day, day + 1))
    return tuple(found)


def test_least_lateness_with_its_schedule():
    assert lateness(**PINEDO) == 5
    assert blocks(fill(machine(**PINEDO, late=5), [1] * 20)) == PINEDO_SCHEDULE


def test_an_overload():
    assert lateness(**HOOKER) == 3
    assert spans(machine(**HOOKER), [1] * 20)
    assert spans(machine(**HOOKER, late=2), [1] * 20)
    assert not spans(machine(**HOOKER, late=3), [1] * 20)


def test_periodic_work_without_a_miss():
    # C. L. Liu and J. W. Layland, JACM 20 (1973): utilisation up to 1 is enough (from memory);
    # (1, 8), (2, 5), (4, 10) over 40 units are busy for 5 + 16 + 16 of them.
    work = [
        Job(f"{period} {start}", start, start + period - 1, units)
        for units, period in ((1, 8), (2, 5), (4, 10))
        for start in range(0, 40, period)
    ]
    rows = fill(work, [1] * 40)
    assert fits(work, [1] * 40)
    assert sum(minutes for _, _, minutes in rows) == 37


@pytest.mark.parametrize("seed", range(300))
def test_the_bound_of_horn(seed):
    # W. A. Horn, Naval Research Logistics Quarterly 21 (1974), from memory: Lmax is the greatest
    # r_i + (work from r_i on that is due by d_j) - d_j.
    pick = random.Random(seed)
    r = [pick.randrange(12) for _ in range(pick.randint(1, 7))]
    p = [pick.randint(1, 6) for _ in r]
    d = [begin + pick.randint(1, 14) for begin in r]
    rows = list(zip(p, r, d, strict=True))
    bound = max(
        a + sum(work for work, begin, due in rows if begin >= a and due <= b) - b
        for a in r
        for b in d
        if any(begin >= a and due <= b for _, begin, due in rows)
    )
    assert lateness(p, r, d) == bound


# Minutes from Monday to Sunday; computed with another library's maximum flow.
WEEK = (60, 45, 0, 60, 30, 120, 90)


@pytest.mark.parametrize(("study", "placed", "needed"), [(110, 380, 380), (140, 395, 410)])
def test_days_of_different_length(study, placed, needed):
    pieces = (
        Piece("scales", "Scales", 70, on(1)),
        Piece("study", "Étude", study, on(4)),
        Piece("concerto", "Concerto", 200, on(6), on(3)),
    )
    found = answer(practice(*pieces, weekdays=WEEK))
    assert sum(one.minutes for one in found.pieces) == placed
    assert found.missing == needed - placed
    assert found.feasible == (placed == needed)


def flow(problem):
    """Return the most minutes that can be placed: source, pieces, days, sink."""
    last = max(piece.due for piece in problem.pieces)
    days = [on(number) for number in range((last - problem.today).days + 1)]
    count, sink = len(problem.pieces), 1 + len(problem.pieces) + len(days)
    edges = np.zeros((sink + 1, sink + 1), dtype=np.int32)
    for row, piece in enumerate(problem.pieces, 1):
        edges[0, row] = piece.minutes
        for column, day in enumerate(days, 1 + count):
            if piece.begin <= day <= piece.due:
                edges[row, column] = piece.minutes
    for column, day in enumerate(days, 1 + count):
        edges[column, sink] = minutes_on(problem, day)
    return int(maximum_flow(csr_matrix(edges), 0, sink).flow_value)


def test_the_maximum_flow_of_300_random_cases():
    short = 0
    for seed in range(300):
        problem = jobs(seed)
        found = answer(problem)
        assert sum(one.minutes for one in found.pieces) == flow(problem), seed
        short += not found.feasible
    assert 75 < short < 225  # both kinds are really among them


def test_the_fewest_minutes_more_by_trying_them_with_the_flow():
    tried = 0
    for seed in range(40):
        problem = jobs(seed)
        more = [one.amount for one in answer(problem).changes if one.kind == "more minutes"]
        need = sum(piece.minutes for piece in problem.pieces)
        for amount, enough in [(least, True) for least in more] + [(m - 1, False) for m in more]:
            weekdays = tuple(minutes and minutes + amount for minutes in problem.weekdays)
            longer = practice(*problem.pieces, weekdays=weekdays)
            assert (flow(longer) == need) is enough, seed
            tried += 1
    assert tried > 20


def test_a_minute_taken_from_a_full_week_is_missing():
    first = date(2027, 1, 4)
    piece = Piece("p", "P", sum(WEEK), first + timedelta(6))
    assert answer(practice(piece, weekdays=WEEK)).feasible
    less = answer(practice(piece, weekdays=WEEK, extra=(Extra(first, -1),)))
    assert less.missing == 1
