"""Invented networks of tasks, and slow, independent answers to them.

Working days are counted by numpy; a network is gone through way by way, without any order.
"""

from dataclasses import dataclass
from datetime import date, datetime, time, timedelta
from random import Random

import numpy as np

from planner.deadlines import After, Deadline, Lead, Problem, Task, Unit
from planner.zones import zone

HOME = "America/Denver"
TODAY = date(2026, 12, 14)  # a Monday
OFF = (date(2026, 12, 24), date(2026, 12, 25), date(2027, 1, 1))


def moment(day=TODAY, clock=time(9)):
    """Return the moment `clock` on `day` at home."""
    return datetime.combine(day, clock, zone(HOME))


def day(count):
    """Return the date so many days from today."""
    return TODAY + timedelta(count)


def ahead(start, lead):
    """Return when something ends that starts on `start`, by numpy."""
    if lead.unit is Unit.DAYS:
        return start + timedelta(lead.count)
    return np.busday_offset(start, lead.count, roll="forward", holidays=OFF).item()


def back(end, lead):
    """Return when something has to start that ends on `end`, by numpy."""
    if lead.unit is Unit.DAYS:
        return end - timedelta(lead.count)
    return np.busday_offset(end, -lead.count, roll="backward", holidays=OFF).item()


def some_lead(pick, most):
    """Draw a lead, in days or working days."""
    return Lead(pick.randint(0, most), pick.choice(list(Unit)))


def drawn(seed, tasks=8, *, apart=3, span=40, work=6):
    """Return a random Problem: some deadlines, openings and dates to be ready by."""
    pick = Random(seed)
    deadlines = tuple(
        Deadline(
            f"d{i}", f"D{i}", day(pick.randint(-1, span)), zone=HOME,
            opens_on=day(pick.randint(1, span)) if pick.random() < 0.3 else None,
        )
        for i in range(apart)
    )  # fmt: skip
    made = []
    for i in range(tasks):
        before = [f"t{j}" for j in range(i) if pick.random() < 0.35]
        made.append(
            Task(
                f"t{i}",
                f"T{i}",
                "student",
                pick.choice(deadlines).key,
                takes=some_lead(pick, work),
                after=tuple(After(key, some_lead(pick, work // 2)) for key in before),
                not_before=day(pick.randint(1, span)) if pick.random() < 0.4 else None,
            )
        )
    return Problem(moment(), HOME, deadlines, tuple(pick.sample(made, tasks)), OFF)


@dataclass
class Slow:
    """A problem gone through way by way; every task has a deadline and stands alone."""

    problem: Problem

    def __post_init__(self):
        self.tasks = {task.key: task for task in self.problem.tasks}
        self.deadlines = {deadline.key: deadline for deadline in self.problem.deadlines}

    def releases(self, task):
        """Return (kind, key, date) of all that holds a task up by itself."""
        found = [("today", "", TODAY)]
        if task.not_before:
            found.append(("ready", task.key, task.not_before))
        deadline = self.deadlines[task.deadline]
        if deadline.opens_on:
            found.append(("opening", deadline.key, deadline.opens_on))
        return found

    def ends(self, key):
        """Return (release, date) for every way from a release to the end of a task."""
        task = self.tasks[key]
        starts = [((kind, of), day) for kind, of, day in self.releases(task)]
        for after in task.after:
            starts += [(release, ahead(end, after.lag)) for release, end in self.ends(after.key)]
        return [(release, ahead(start, task.takes)) for release, start in starts]

    def begins(self, key):
        """Return the date on which a task has to begin, for every way to a deadline."""
        task = self.tasks[key]
        ends = [self.deadlines[task.deadline].on]
        for other in self.tasks.values():
            for after in other.after:
                if after.key == key:
                    ends += [back(start, after.lag) for start in self.begins(other.key)]
        return [back(end, task.takes) for end in ends]

    def pairs(self):
        """Return the (release, deadline) that cannot both stay."""
        found = set()
        for key, task in self.tasks.items():
            last = self.deadlines[task.deadline].on
            found |= {(rel, task.deadline) for rel, end in self.ends(key) if end > last}
        return found
