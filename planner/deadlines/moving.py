"""The dates to move, in words."""

from datetime import date, timedelta

from planner.deadlines.desk import Desk
from planner.deadlines.model import Deadline, Move, Task
from planner.deadlines.moves import End, shifts
from planner.deadlines.passes import Network
from planner.deadlines.wording import count_days, dated


def moves(network: Network, desk: Desk) -> tuple[Move, ...]:
    """Return the smallest number of dates that have to move, by date, kind and key."""
    tasks = {task.key: task for task in desk.problem.tasks}
    deadlines = {deadline.key: deadline for deadline in desk.problem.deadlines}
    found = [
        _move(end, days, tasks.get(end[1]), deadlines.get(end[1]), desk)
        for end, days in shifts(network).items()
    ]
    return tuple(sorted(found, key=lambda move: (move.on, move.kind, move.key)))


def _move(end: End, days: int, task: Task | None, deadline: Deadline | None, desk: Desk) -> Move:
    kind, key = end
    if kind == "deadline":
        name, on = deadline.name, _last_date(deadline, desk)
    elif kind == "opening":
        name, on = deadline.name, deadline.opens_on
    else:
        name, on = task.name, task.on if kind == "own date" else task.not_before
    sooner = kind in ("opening", "ready")
    to = on - timedelta(days) if sooner else on + timedelta(days)
    return Move(kind, key, name, on, to, days, _words(kind, name, on, to, days, desk.today))


def _last_date(deadline: Deadline, desk: Desk) -> date:
    on = desk.closings[deadline.key].deadline.on
    return on if deadline.late_until is None else max(on, deadline.late_until)


def _words(kind: str, name: str, on: date, to: date, days: int, today: date) -> str:
    new, old, by = dated(to, today), dated(on, today), count_days(days)
    if kind == "deadline":
        return f"{name} would have to be taken until {new}, {by} longer than {old}."
    if kind == "own date":
        return f"{name} would have to be planned for {new}, {by} later than {old}."
    if kind == "opening":
        return f"{name} would have to open by {new}, {by} sooner than {old}."
    return f"{name}: it would have to be ready to begin by {new}, {by} sooner than {old}."
