"""Refuse a problem that cannot be answered, and say what to do about it."""

from collections import Counter
from datetime import date

from planner.deadlines.model import DOERS, Deadline, Problem

YEARS = range(1900, 2201)  # a year outside is a slip such as 26 for 2026


def check(problem: Problem) -> None:
    """Raise ValueError, with what to do, unless `problem` can be answered."""
    if problem.now.tzinfo is None:
        raise ValueError("`now` has no time zone: give an aware datetime.")
    _check_date("today", problem.now.date())
    if not set(problem.weekend) < set(range(7)):
        raise ValueError("Weekend days are 0 (Monday) to 6 (Sunday), and not all seven.")
    _unique("deadline", [deadline.key for deadline in problem.deadlines])
    _unique("task", [task.key for task in problem.tasks])
    _unique("anchor", [anchor.key for anchor in problem.anchors])
    for anchor in problem.anchors:
        for day in (anchor.on, anchor.earliest):
            if day is not None:
                _check_date(anchor.name, day)
    _check_deadlines(problem)
    _check_tasks(problem)
    _check_order(problem)


def _unique(what: str, keys: list[str]) -> None:
    if len(set(keys)) < len(keys):
        key, count = Counter(keys).most_common(1)[0]
        raise ValueError(f'{count} {what}s have the key "{key}": give each its own.')


def _check_date(name: str, day: date) -> None:
    if type(day) is not date:
        raise ValueError(f'"{name}" has a date with a time in it: give the date alone.')
    if day.year not in YEARS:
        raise ValueError(f'"{name}" is in the year {day.year}: write the year in full.')


def _check_deadlines(problem: Problem) -> None:
    anchors = {anchor.key for anchor in problem.anchors}
    for deadline in problem.deadlines:
        name = deadline.name
        if deadline.late_until is not None:
            _check_date(name, deadline.late_until)
        _check_when(deadline, anchors)
        if deadline.at is not None and deadline.at.tzinfo is not None:
            raise ValueError(f'"{name}" has a time with a zone in it: name the zone in `zone`.')


def _check_when(deadline: Deadline, anchors: set[str]) -> None:
    name = deadline.name
    if deadline.anchor is None:
        if deadline.on is None:
            raise ValueError(f'"{name}" has no date: give it one, or what it is counted back from.')
        if deadline.before.count:
            raise ValueError(f'"{name}" is to be so long before, but before what: name an anchor.')
        _check_date(name, deadline.on)
        if deadline.late_until is not None and deadline.late_until < deadline.on:
            raise ValueError(
                f'"{name}" is taken late until a date before its own: clear it or give a later one.'
            )
    elif deadline.on is not None:
        raise ValueError(f'"{name}" has a date and is counted back from another: keep one.')
    elif deadline.anchor not in anchors:
        raise ValueError(
            f'"{name}" is counted back from "{deadline.anchor}", which is not there: '
            "add that anchor or give the deadline a date."
        )


def _check_tasks(problem: Problem) -> None:
    known = {deadline.key for deadline in problem.deadlines}
    for task in problem.tasks:
        if task.doer not in DOERS:
            raise ValueError(f'"{task.name}" is for "{task.doer}": say {", ".join(DOERS)}.')
        if task.deadline is None:
            if task.on is None:
                raise ValueError(f'"{task.name}" has no deadline and no date: give it one.')
            _check_date(task.name, task.on)
        elif task.on is not None:
            raise ValueError(f'"{task.name}" has a deadline and a date of its own: keep one.')
        elif task.deadline not in known:
            raise ValueError(
                f'"{task.name}" belongs to the deadline "{task.deadline}", which is not there: '
                "add the deadline or choose another."
            )
    _check_steps(problem)


def _check_steps(problem: Problem) -> None:
    known = {task.key for task in problem.tasks}
    for task in problem.tasks:
        if task.not_before is not None:
            _check_date(task.name, task.not_before)
        for after in task.after:
            if after.key not in known:
                raise ValueError(
                    f'"{task.name}" comes after "{after.key}", which is not there: '
                    "add that task or clear the field."
                )


def _check_order(problem: Problem) -> None:
    by_key = {deadline.key: deadline for deadline in problem.deadlines}
    for deadline in problem.deadlines:
        after = deadline.opens_after
        if after is not None and after not in by_key:
            raise ValueError(
                f'"{deadline.name}" opens after "{after}", which is not there: '
                "add that deadline or clear the field."
            )
    settled: set[str | None] = {None}
    for start in by_key:
        path: list[str] = []
        key: str | None = start
        while key not in settled:
            if key in path:
                ring = ", ".join(by_key[k].name for k in path[path.index(key) :])
                raise ValueError(f"These open only after each other: {ring}. Clear one of them.")
            path.append(key)
            key = by_key[key].opens_after
        settled.update(path)
