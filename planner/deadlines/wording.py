"""The sentences of an answer: plain words, no year unless it is far away."""

from datetime import date, datetime
from typing import TYPE_CHECKING

from planner.deadlines.model import Lead, Unit

if TYPE_CHECKING:
    from planner.deadlines.dating import Dates

WEEKDAYS = ("Monday", "Tuesday", "Wednesday", "Thursday", "Friday", "Saturday", "Sunday")
MONTHS = (
    "January", "February", "March", "April", "May", "June",
    "July", "August", "September", "October", "November", "December",
)  # fmt: skip
FAR = 300  # days after which a date without its year could be mistaken
CARE = "Dates are the institution's to change: verify with the institution itself."


def short_day(day: date) -> str:
    """Return "8 January"."""
    return f"{day.day} {MONTHS[day.month - 1]}"


def full_day(day: date) -> str:
    """Return "Friday 8 January"."""
    return f"{WEEKDAYS[day.weekday()]} {day.day} {MONTHS[day.month - 1]}"


def dated(day: date, today: date, *, full: bool = True) -> str:
    """Return the day in words, with its year when it is far from today."""
    words = full_day(day) if full else short_day(day)
    return words if abs((day - today).days) <= FAR else f"{words} {day.year}"


def year_day(day: date) -> str:
    """Return "8 January 2027"."""
    return f"{short_day(day)} {day.year}"


def count_of(count: int, thing: str) -> str:
    """Return "1 day" or "7 days"."""
    return f"1 {thing}" if count == 1 else f"{count} {thing}s"


def lead_words(lead: Lead) -> str:
    """Return "7 days" or "10 working days"."""
    return count_days(lead.count) if lead.unit is Unit.DAYS else count_of(lead.count, "working day")


def count_days(count: int) -> str:
    """Return "1 day" or "7 days"."""
    return count_of(count, "day")


def listed(words: list[str]) -> str:
    """Return "a, b and c"."""
    return " and ".join([", ".join(words[:-1]), words[-1]] if len(words) > 1 else words)


def upper_first(words: str) -> str:
    """Return the words with a capital to begin with."""
    return words[:1].upper() + words[1:]


def clock(at: datetime) -> str:
    """Return "9:05"."""
    return f"{at.hour}:{at.minute:02}"


def due_words(dates: "Dates", today: date) -> str:
    """Return when it is due, there and (where the clocks differ) here."""
    due, here = dates.due, dates.due_home
    words = f"due {dated(due.date(), today)}"
    if here is None or here.utcoffset() == due.utcoffset():
        return words if dates.all_day else f"{words}, {clock(due)}"
    at_home = clock(here)
    if here.date() != due.date():
        at_home += f" on {full_day(here.date())}"
    if not dates.all_day:
        return f"{words}, {clock(due)} there, {at_home} here"
    # Only a day that ends sooner here than there takes time from anybody.
    sooner = dates.final and here.replace(tzinfo=None) < due.replace(tzinfo=None)
    return f"{words}, which ends {at_home} here" if sooner else words


def brief_due(dates: "Dates", today: date) -> str:
    """Return the day it is due, short, by the clock at home where it has a time."""
    if dates.needed_for:
        return f"by {_brief_day(dates.plan_by, today)}"
    if dates.all_day:
        return f"due {_brief_day(dates.due.date(), today)}"
    at = dates.due_home or dates.due
    return f"due {_brief_day(at.date(), today)}, {clock(at)}"


def brief_late(last: date, days: int, today: date) -> str:
    """Return when it was due and how late it is, short."""
    late = "late" if last == today else f"{count_days(days)} late"
    return f"due {_brief_day(last, today)}, {late}"


def _brief_day(day: date, today: date) -> str:
    if day == today:
        return "today"
    words = f"{WEEKDAYS[day.weekday()][:3]} {day.day} {MONTHS[day.month - 1][:3]}"
    return words if abs((day - today).days) <= FAR else f"{words} {day.year}"


def plan_words(dates: "Dates") -> list[str]:
    """Return which day to plan for, where that is not the day it is due."""
    planned = full_day(dates.plan_by)
    if dates.needed_for:
        unstated = ["zone not stated"] if dates.due_home is None else []
        return [f"needed by {planned} for: {dates.needed_for}", *unstated]
    if dates.due_home is None:
        return [f"zone not stated, planned a day early: {planned}"]
    return [f"planned for {planned}"] if dates.plan_by < dates.due.date() else []


def start_words(start_on: date, takes: Lead, today: date) -> str:
    """Return when to start, and why then."""
    why = f"it takes {lead_words(takes)}"
    if start_on == today:
        return f"start today: {why}"
    if start_on < today:
        return f"should have been started by {dated(start_on, today, full=False)}: {why}"
    return f"start by {dated(start_on, today)}: {why}"


def missed_words(start_on: date, takes: Lead, today: date) -> str:
    """Return when it should be started, where it cannot be."""
    day = dated(start_on, today, full=False)
    return f"to be started by {day}: it takes {lead_words(takes)}"


def late_words(due: datetime, last: date, days: int, today: date) -> str:
    """Return by when it should have been done; `due` is by the clock to be shown."""
    if last == today:
        return f"should have been done by {clock(due)} today"
    return f"should have been done by {dated(last, today, full=False)}, {count_days(days)} late"


def taken_words(until: date, terms: str, today: date) -> str:
    """Return until when something is, or was, still taken after its deadline."""
    day = dated(until, today, full=False)
    if until < today:
        return f"closed: taken late until {day}"
    return f"still taken until {day}, {terms}" if terms else f"still taken until {day}"


def summary(pressing: str, impossible: int, undated: int) -> str:
    """Return the answer's own sentence from what presses, and how much cannot be done."""
    parts = [pressing] if pressing else []
    if impossible:
        parts.append(f"{count_of(impossible, 'thing')} can no longer be done in time.")
    if undated and not pressing:
        waits = "waits for a date" if undated == 1 else "wait for a date"
        parts.append(f"{count_of(undated, 'thing')} {waits}.")
    return " ".join(parts) or "Everything is done."


def pressing(late: int, starting: int, coming: str) -> str:
    """Return what presses, or what comes next if nothing does."""
    parts = [f"{count_of(late, 'thing')} {'is' if late == 1 else 'are'} late"] if late else []
    if starting:
        parts.append(f"{starting if late else count_of(starting, 'thing')} must start today")
    if parts:
        return f"{', '.join(parts)}."
    return f"Nothing is late and nothing must start today. Next: {coming}."
