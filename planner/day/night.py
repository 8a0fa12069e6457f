"""When a day begs for a night away."""

from collections.abc import Iterator
from datetime import UTC, datetime

from planner import zones
from planner.day.model import NightAway, Problem
from planner.day.timeline import Timeline
from planner.travel import duration


def night_away(problem: Problem, line: Timeline, leave: datetime | None) -> NightAway:
    """Return whether a night away is advised. leave: UTC, None if not known."""
    why = tuple(_reasons(problem, line, leave))
    if why:
        return NightAway(True, why)
    open_points = tuple(_open_points(line, leave))
    return NightAway(None if open_points else False, open_points)


def _reasons(problem: Problem, line: Timeline, leave: datetime | None) -> Iterator[str]:
    limits = problem.limits
    if leave and line.home:
        day = line.call.astimezone(line.home).date()
        earliest = zones.moment(day, limits.earliest_leaving, line.home).at
        if leave < earliest.astimezone(UTC):
            left = leave.astimezone(line.home)
            eve = "" if left.date() == day else " on an earlier date"
            yield (
                f"The student would leave home at {left:%H:%M}{eve}, before "
                f"{limits.earliest_leaving:%H:%M}."
            )
    minutes = line.journey.minutes
    if minutes is not None and minutes > limits.longest_journey:
        yield (
            f"The journey takes {duration(minutes)}, more than {duration(limits.longest_journey)}."
        )
    if line.call and line.place and line.home:
        ahead = zones.ahead_of(line.call, line.place, line.home)
        if ahead >= limits.most_clocks_ahead > 0:
            yield (
                f"Clocks there are {zones.compared(ahead)}: the call at "
                f"{line.call.astimezone(line.place):%H:%M} feels like "
                f"{line.call.astimezone(line.home):%H:%M}."
            )
    for span in line.extras:
        if span.extra.on and span.extra.on < problem.day:
            yield f"“{span.extra.title}” is on an earlier date, {span.extra.on.isoformat()}."


def _open_points(line: Timeline, leave: datetime | None) -> Iterator[str]:
    if leave is None:
        yield "When the student has to leave home is not known, so this cannot be said."
    elif line.home is None:
        yield "The time at home is not known, so nobody can say how early they leave."
