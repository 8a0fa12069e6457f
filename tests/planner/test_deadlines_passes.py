"""Both passes and the dates to move, against ways gone through one by one."""

from dataclasses import replace
from datetime import date, timedelta
from itertools import combinations, product
from random import Random

from hypothesis import given, settings
from hypothesis import strategies as st

from planner.deadlines import Lead, Unit, Workdays, answer
from planner.deadlines.moves import smallest_cover
from tests.planner.deadlines_cases import TODAY, Slow, ahead, back, day, drawn

NETWORKS = range(300)
CASES = range(200)

days = st.dates(date(2025, 1, 1), date(2028, 12, 31))
leads = st.builds(Lead, st.integers(0, 30), st.sampled_from(Unit))


@settings(deadline=None)
@given(days, days, leads, st.lists(days, max_size=40), st.sets(st.integers(0, 6), max_size=6))
def test_counting_ahead_is_the_adjoint_of_counting_back(start, end, lead, off, weekend):
    workdays = Workdays([*off, start, end], weekend)
    first = workdays.ahead(start, lead)
    assert workdays.back(first, lead) >= start
    assert workdays.back(first - timedelta(1), lead) < start
    assert (first <= end) == (start <= workdays.back(end, lead))


def test_both_passes_are_the_longest_ways():
    for seed in NETWORKS:
        problem = drawn(seed)
        slow = Slow(problem)
        for due in answer(problem).tasks:
            assert due.earliest_finish == max(end for _, end in slow.ends(due.key))
            assert due.latest_start == min(slow.begins(due.key))
            assert due.slack == (due.latest_start - due.earliest_start).days
            assert (due.latest_start, due.latest_finish) == (due.start_on, due.plan_by)


def test_a_chain_is_a_way_that_ends_on_the_earliest_date():
    for seed in NETWORKS:
        problem = drawn(seed)
        slow = Slow(problem)
        for due in answer(problem).tasks:
            first, *rest = due.chain
            starts = {day for _, _, day in slow.releases(slow.tasks[first])}
            ends = {ahead(start, slow.tasks[first].takes) for start in starts}
            for key in rest:
                task = slow.tasks[key]
                lag = next(after.lag for after in task.after if after.key == first)
                ends = {ahead(ahead(end, lag), task.takes) for end in ends}
                first = key
            assert first == due.key
            assert due.earliest_finish in ends


def schedules(problem, span):
    """Return whether some choice of starts meets every date, by trying all of them."""
    tasks = problem.tasks
    due = {deadline.key: deadline for deadline in problem.deadlines}
    for starts in product(range(span), repeat=len(tasks)):
        begun = {task.key: day(start) for task, start in zip(tasks, starts, strict=True)}
        done = {}
        for task in tasks:  # the first end from which counting back does not pass the start
            end = begun[task.key]
            while back(end, task.takes) < begun[task.key]:
                end += timedelta(1)
            done[task.key] = end
        if all(
            done[task.key] <= due[task.deadline].on
            and begun[task.key] >= max(d for _, _, d in Slow(problem).releases(task))
            and all(done[a.key] <= back(begun[task.key], a.lag) for a in task.after)
            for task in tasks
        ):
            return True
    return False


def test_no_slack_is_below_zero_exactly_where_all_dates_can_be_kept():
    found = []
    for seed in range(60):
        problem = drawn(seed, 3, apart=2, span=9, work=1)
        fits = all(due.slack >= 0 for due in answer(problem).tasks)
        assert fits == schedules(problem, 11), seed
        found.append(fits)
    assert 10 < sum(found) < 50  # or the test says little


# The dates to move


def moved(problem, moves):
    """Return the problem with the dates moved."""
    to = {(move.kind, move.key): move.to for move in moves}
    return replace(
        problem,
        deadlines=tuple(
            replace(
                d,
                on=to.get(("deadline", d.key), d.on),
                opens_on=to.get(("opening", d.key), d.opens_on),
            )
            for d in problem.deadlines
        ),
        tasks=tuple(
            replace(t, not_before=to.get(("ready", t.key), t.not_before)) for t in problem.tasks
        ),
    )


def smallest(pairs):
    """Return all smallest sets of dates that leave no pair, by trying every set."""
    dates = sorted({date for pair in pairs for date in pair} - {("today", "")}, key=str)
    for size in range(len(dates) + 1):
        found = [
            set(some)
            for some in combinations(dates, size)
            if all(pair[0] in some or pair[1] in some for pair in pairs)
        ]
        if found:
            return found
    raise AssertionError


def test_the_dates_to_move_are_the_fewest():
    for seed in CASES:
        problem = drawn(seed, 7, apart=4, span=20)
        found = answer(problem)
        sets = smallest(Slow(problem).pairs())
        moves = {(m.kind, m.key) if m.kind != "deadline" else m.key for m in found.moves}
        assert moves in sets
        spared = [sum(isinstance(date, str) for date in some) for some in sets]
        assert sum(isinstance(date, str) for date in moves) == min(spared)
        assert bool(found.impossible) == bool(found.moves)


def test_moved_so_far_nothing_is_impossible_and_a_day_less_is_not_enough():
    for seed in CASES:
        problem = drawn(seed, 7, apart=4, span=20)
        moves = answer(problem).moves
        assert answer(moved(problem, moves)).impossible == ()
        for move in moves:
            sooner = move.kind in ("opening", "ready")
            assert move.days == (move.on - move.to if sooner else move.to - move.on).days > 0
            short = replace(move, to=move.to + timedelta(1 if sooner else -1))
            rest = [other for other in moves if other is not move]
            assert answer(moved(problem, [*rest, short])).impossible


def test_of_two_smallest_sets_it_is_the_same_in_whatever_order():
    for seed in CASES[:60]:
        problem = drawn(seed, 7, apart=4, span=20)
        tasks = Random(seed).sample(problem.tasks, len(problem.tasks))
        turned = replace(problem, tasks=tuple(tasks), deadlines=problem.deadlines[::-1])
        assert answer(turned) == answer(problem)


def test_a_long_alternating_way_is_found():
    """A path of pairs l0-r0-l1-r1-...: one of each pair of neighbours, from memory of the rule."""
    ends = [(("l", str(i)), ("r", str(i))) for i in range(30)]
    pairs = {left: {right} for left, right in ends}
    for (_, right), (left, _) in zip(ends, ends[1:], strict=False):
        pairs[left].add(right)
    sooner, later = smallest_cover(pairs)
    assert (len(sooner), later) == (30, set())


def test_today_is_never_moved():
    for seed in CASES:
        for move in answer(drawn(seed, 7, apart=4, span=20)).moves:
            assert move.to >= TODAY
