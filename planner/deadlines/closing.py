"""When a deadline really closes, and which date to plan for."""

from collections.abc import Iterable
from dataclasses import dataclass
from datetime import date, datetime, time, timedelta
from zoneinfo import ZoneInfo

from planner.deadlines.model import Deadline
from planner.deadlines.wording import full_day
from planner.zones import UnknownZone, moment, zone

DAY_END = time(23, 59)
MIDNIGHT = time(0, 0)
_MOMENT = timedelta(microseconds=1)


@dataclass(frozen=True, slots=True)
class Closing:
    """A deadline turned into one moment.

    due: aware, in the deadline's zone; due_home: the same moment at home.
    last_day: the last date there on which anything can still be done; leads count from it.
    last_day_home: the same by the student's calendar, where the zone is known.
    plan_by: the date at home to plan for.
    stated: False when the zone is an assumption.
    """

    deadline: Deadline
    tz: ZoneInfo
    due: datetime
    due_home: datetime
    last_day: date
    last_day_home: date
    plan_by: date
    stated: bool
    reasons: tuple[str, ...]


def last_day(due: datetime) -> date:
    """Return the last date before the moment `due`: midnight belongs to the day before."""
    return (due - _MOMENT).date()


def close(deadline: Deadline, home: ZoneInfo, why: Iterable[str] = ()) -> Closing:
    """Return the closing of `deadline`; raise ValueError for a zone name nobody knows.

    why: reasons for its date, to come first.
    """
    stated = bool(deadline.zone)
    tz = _zone(deadline, home)
    found = moment(deadline.on, DAY_END if deadline.at is None else deadline.at, tz)
    due_home = found.at.astimezone(home)
    # From the date as written: where the clocks skip midnight the moment itself shows 01:00.
    day = deadline.on - timedelta(1 if deadline.at == MIDNIGHT else 0)
    # A date at home after the institution's own is no reason to plan for later.
    last_home = last_day(due_home)
    plan_by = min(day, last_home) - timedelta(0 if stated else 1)
    reasons = [*why, found.note] if found.note else [*why]
    if deadline.at == MIDNIGHT:
        reasons.append(f"00:00 is the end of the day before: {full_day(day)} is the last day.")
    if not stated:
        reasons.append(f"{deadline.name} states no time zone: planned a day early.")
    elif plan_by < day:
        reasons.append(f"By the student's clock it is still {full_day(plan_by)}.")
    last_home = last_home if stated else day
    return Closing(
        deadline, tz, found.at, due_home, day, last_home, plan_by, stated, tuple(reasons)
    )


def _zone(deadline: Deadline, home: ZoneInfo) -> ZoneInfo:
    name = deadline.zone or deadline.place_zone
    if not name:
        return home
    try:
        return zone(name)
    except UnknownZone as error:
        raise ValueError(f"{deadline.name}: {error}") from error
