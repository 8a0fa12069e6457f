"""What holds up what: earliest dates forward, latest dates backward, in one order.

The critical path method (Kelley and Walker 1959), on a calendar: a step begins on a date and ends
on a date, the next may begin on that same date. Working days are only ever counted back; counting
ahead is the adjoint of that (Workdays.ahead), so both passes say the same: the earliest start is
no later than the latest exactly where every date can be kept.
"""

from collections.abc import Iterable, Sequence
from dataclasses import dataclass, field
from datetime import date

from planner.deadlines.counting import Workdays
from planner.deadlines.model import Lead, Task
from planner.deadlines.wording import listed

AT_ONCE = Lead()


@dataclass(frozen=True, slots=True)
class Release:
    """A date before which a step cannot begin.

    kind: "opening" or "ready" (as in Move), which could move, or "done", which is a fact.
    key: of the deadline or task. day: of the opening, of getting ready or of being done, the lag
    counted in.
    """

    kind: str
    key: str
    day: date


@dataclass(frozen=True, slots=True)
class Limit:
    """The last date on which a step can end. kind and key as in Move."""

    kind: str
    key: str
    day: date


@dataclass(slots=True, eq=False)
class Step:
    """One thing to do: an open task, or several that are shared, the one for all first.

    A step without tasks takes no time and passes on what it waits for: a task that is not needed,
    or the opening of a deadline that waits for another one.
    key: unique, for a stable order. aim: the date to plan for, as far as it goes by itself.
    index: its place in the order.
    """

    key: str
    tasks: list[Task] = field(default_factory=list)
    takes: tuple[Lead, ...] = (AT_ONCE,)
    aim: date | None = None
    releases: list[Release] = field(default_factory=list)
    limits: list[Limit] = field(default_factory=list)
    before: list[tuple["Step", Lead]] = field(default_factory=list)
    then: list[tuple["Step", Lead]] = field(default_factory=list)
    index: int = 0

    def waits_for(self, other: "Step", lag: Lead = AT_ONCE) -> None:
        """Let this step begin only `lag` after the other has ended."""
        self.before.append((other, lag))
        other.then.append((self, lag))

    def start(self, end: date, workdays: Workdays) -> date:
        """Return the last date on which it can start to end on `end`."""
        if len(self.takes) == 1:
            return workdays.back(end, self.takes[0])
        return min(workdays.back(end, takes) for takes in self.takes)

    def end(self, start: date, workdays: Workdays) -> date:
        """Return the first date on which it can end if it starts on `start`."""
        if len(self.takes) == 1:
            return workdays.ahead(start, self.takes[0])
        return max(workdays.ahead(start, takes) for takes in self.takes)


Days = list[date | None]


def in_order(steps: Iterable[Step]) -> list[Step]:
    """Return the steps, each after all it waits for; raise ValueError, naming a circle."""
    steps = list(steps)
    missing = {step: len(step.before) for step in steps}
    order = [step for step in steps if not step.before]
    for index, step in enumerate(order):  # which grows meanwhile
        step.index = index
        for after, _ in step.then:
            missing[after] -= 1
            if not missing[after]:
                order.append(after)
    if len(order) < len(steps):
        raise ValueError(_circle([step for step in steps if missing[step]]))
    return order


def _circle(stuck: Sequence[Step]) -> str:
    among = set(stuck)
    step, path = min(stuck, key=lambda one: one.key), []
    while step not in path:
        path.append(step)
        step = min((one for one, _ in step.before if one in among), key=lambda one: one.key)
    ring = [f'"{task.name}"' for one in path[path.index(step) :] for task in one.tasks[:1]]
    if len(ring) == 1:
        return f"{ring[0]} waits for itself: clear what it comes after."
    return f"These wait for each other: {listed(ring[::-1])}. Clear what one of them comes after."


def earliest(order: Sequence[Step], begin: Days, workdays: Workdays) -> tuple[Days, Days]:
    """Return the earliest start and end of every step.

    begin: before which date each cannot start by itself; None where nothing is said. What neither
    a date nor a step before it holds up has None.
    """
    starts: Days = [None] * len(order)
    ends: Days = [None] * len(order)
    for index, step in enumerate(order):
        day = begin[index]
        for before, lag in step.before:
            end = ends[before.index]
            if end is not None:
                first = workdays.ahead(end, lag)
                if day is None or first > day:
                    day = first
        if day is not None:
            starts[index] = day
            ends[index] = step.end(day, workdays)
    return starts, ends


def latest(order: Sequence[Step], by: Days, workdays: Workdays) -> tuple[Days, Days]:
    """Return the latest start and end of every step.

    by: on which date each has to end by itself; None where nothing is said.
    """
    starts: Days = [None] * len(order)
    ends: Days = [None] * len(order)
    for index in range(len(order) - 1, -1, -1):
        step = order[index]
        day = by[index]
        for then, lag in step.then:
            start = starts[then.index]
            if start is not None:
                last = workdays.back(start, lag)
                if day is None or last < day:
                    day = last
        if day is not None:
            ends[index] = day
            starts[index] = step.start(day, workdays)
    return starts, ends
