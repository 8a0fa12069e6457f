"""How long the dates of a whole studio take: run by `make bench`.

60 invented students with at least 60 tasks each, about 73 on average, best of five, in CPU
seconds. The ratio is against the same tasks without a network; it travels between machines.
Nothing here can fail: it measures.
"""

import random
import time
from dataclasses import replace
from datetime import UTC, date, datetime, timedelta

from planner.deadlines import DAY, DAY_TIMES, LEAD_TIMES, After, Anchor, Deadline, Problem, Task
from planner.deadlines import answer as answered

STUDENTS = 60
TASKS = 60
TIMES = 5
NOW = datetime(2026, 11, 25, 15, 0, tzinfo=UTC)
ZONES = ("America/Chicago", "America/New_York", None)
OFF = tuple(date(2026, 12, day) for day in (24, 25, 31))


def student(seed, first=10):
    """Return the Problem of one student; first: days until the first deadline."""
    pick = random.Random(seed)
    anchors, deadlines, tasks = [], [], []
    while len(tasks) < TASKS:
        number = len(anchors)
        day = NOW.date() + timedelta(first + pick.randrange(90))
        anchors.append(Anchor(f"a{number}", f"Audition {number}", day, settled=bool(number % 2)))
        for kind in sorted({usual.kind for usual in pick.sample(LEAD_TIMES, 5)}) + [DAY]:
            key = f"{number} {kind}"
            to = {"anchor": f"a{number}"} if kind == DAY else {"on": day}
            deadlines.append(Deadline(key, f"Place {number} {kind}", zone=pick.choice(ZONES), **to))
            tasks += drawn_up(key, [u for u in LEAD_TIMES + DAY_TIMES if u.kind == kind])
    return Problem(NOW, "America/Denver", tuple(deadlines), tuple(tasks), OFF, anchors=(*anchors,))


def drawn_up(deadline, usual):
    """Return the tasks that the usual lead times make of a deadline."""
    return [
        Task(
            key=f"{deadline} {each.name}",
            name=each.name,
            doer=each.doer,
            deadline=deadline,
            lead=each.lead,
            takes=each.takes,
            after=(After(f"{deadline} {each.after}"),) if each.after else (),
            shared=each.name if each.shared else None,
            not_before=NOW.date() + timedelta(9) if each.needs == "pieces ready" else None,
        )
        for each in usual
    ]


def loose(problem):
    """Return the same tasks, each for itself."""
    bare = {"after": (), "shared": None, "not_before": None}
    return replace(problem, tasks=tuple(replace(task, **bare) for task in problem.tasks))


def cpu(problems):
    """Return the least CPU seconds of answering them all."""
    spent = []
    for _ in range(TIMES):
        start = time.process_time()
        for problem in problems:
            answered(problem)
        spent.append(time.process_time() - start)
    return min(spent)


def main():
    """Measure and print."""
    network = [student(seed) for seed in range(STUDENTS)]
    apart = [loose(problem) for problem in network]
    late = [student(seed, first=-10) for seed in range(STUDENTS)]
    title = f"{STUDENTS} students, {TASKS} tasks or more"
    print(f"{title:32} {'seconds':>10} {'a student':>12} {'ratio':>7}")
    floor = cpu(apart)
    for name, problems in (("no network", apart), ("network", network), ("network, late", late)):
        spent = cpu(problems)
        each = 1000 * spent / STUDENTS
        print(f"{name:32} {spent:>8.3f} s {each:>9.2f} ms {spent / floor:>7.2f}", flush=True)


if __name__ == "__main__":
    main()
