"""Deadlines that are counted back from a date which may not be chosen yet."""

from dataclasses import replace

from planner.deadlines.counting import Workdays
from planner.deadlines.model import Anchor, Deadline
from planner.deadlines.wording import full_day, lead_words, upper_first, year_day


def anchored(
    deadline: Deadline, anchor: Anchor, workdays: Workdays
) -> tuple[Deadline, list[str]] | None:
    """Return the deadline with its date, and how it came about; None where there is no date."""
    if anchor.day is None:
        return None
    reasons = []
    if deadline.before.count:
        before = lead_words(deadline.before)
        reasons.append(f"{before} before {anchor.name}, {year_day(anchor.day)}.")
    if anchor.on is None:
        reasons.append(
            f"No date of {anchor.name} is chosen: reckoned from the earliest offered, "
            f"{full_day(anchor.day)}."
        )
    elif not anchor.settled:
        reasons.append(f"{upper_first(anchor.name)} is not confirmed: the date may change.")
    return replace(deadline, on=workdays.back(anchor.day, deadline.before)), reasons


def undated_words(anchor: Anchor) -> str:
    """Return why nothing can be counted from an anchor that has no date."""
    return f"no date yet: none is chosen or offered for {anchor.name}"
