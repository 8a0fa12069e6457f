"""The weeks in which auditions offer dates, at a glance. Nothing here queries."""

from dataclasses import dataclass
from datetime import timedelta

from planner.deadlines.wording import short_day

TAKEN, CHOSEN, OPEN, NOT = "in the plan", "chosen now", "possible", "not possible"
CLASSES = {TAKEN: "taken", CHOSEN: "chosen", OPEN: "open", NOT: "not"}


@dataclass(frozen=True)
class Day:
    """One date of one audition. state: TAKEN, CHOSEN, OPEN or NOT; why: why not, or ""."""

    text: str
    state: str
    why: str = ""

    @property
    def mark(self):
        """The class that it is drawn by."""
        return CLASSES[self.state]


@dataclass(frozen=True)
class Row:
    """One audition, or what closes days: its Days by week."""

    name: str
    url: str
    weeks: tuple[tuple[Day, ...], ...]


@dataclass(frozen=True)
class Strip:
    """Weeks as (Monday in words, weeks left out before it), auditions, and closed days or None."""

    weeks: tuple[tuple[str, bool], ...]
    rows: tuple[Row, ...]
    closed: Row | None


def strip(rows, closed):
    """Return the Strip of rows (name, url, ((date, state, why), ...)) and the planner's Closed."""
    mondays = sorted({_monday(on) for _, _, days in rows for on, _, _ in days})
    weeks = tuple(
        (short_day(monday), n > 0 and monday - mondays[n - 1] > timedelta(weeks=1))
        for n, monday in enumerate(mondays)
    )
    drawn = tuple(
        Row(name, url, tuple(_week(days, monday) for monday in mondays))
        for name, url, days in rows
        if days
    )
    shut = tuple(_closed(closed, monday) for monday in mondays)
    return Strip(weeks, drawn, Row("Taken", "", shut) if any(shut) else None)


def _monday(on):
    return on - timedelta(days=on.weekday())


def _week(days, monday):
    return tuple(
        Day(f"{on:%a} {on.day}", state, why)
        for on, state, why in sorted(days)
        if _monday(on) == monday
    )


def _closed(closed, monday):
    """Return what closes days of a week, as Days from first to last."""
    sunday, found = monday + timedelta(days=6), []
    for each in closed:
        first, last = max(each.first, monday), min(each.last, sunday)
        if first <= last:
            days = f"{first:%a} {first.day}" + (f"–{last:%a} {last.day}" if last > first else "")
            found.append(Day(days, NOT, each.name))
    return tuple(found)
