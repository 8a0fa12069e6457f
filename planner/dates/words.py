"""The answer in sentences, as a teacher would say it."""

from collections.abc import Iterable, Sequence
from datetime import date

from planner import zones
from planner.dates.case import Case, Refused, times
from planner.dates.model import Audition, Burden, Offer, Plan, Problem
from planner.dates.ways import Stop, stop_of
from planner.deadlines.wording import count_of, dated, listed
from planner.readiness.words import number

CARE = (
    "Dates and places on a page grow old: verify each date with the institution itself.",
    "Book no travel before the institution has confirmed the date.",
    "Money is estimated from distances and the figures in the settings: estimates to compare plans "
    "by, not financial advice.",
)
NAMES = 4  # so many are named, the rest is counted


def answered(case: Case, plan: Plan | None, proven: bool, conflict: Sequence[str]) -> str:
    """Return the plan, or why there is none, in one or two sentences."""
    if plan is None:
        return _nothing(case, proven, conflict)
    if not plan.choices:
        return "No audition is kept in the plan, so there is no date to choose."
    count = len(plan.choices)
    said = f"{number(count).capitalize()} audition{'s' if count > 1 else ''} in "
    said += f"{trips(len(plan.trips))}: {burden(plan.burden)}."
    if proven:
        return f"{said} Proven: no other choice of dates comes to fewer points."
    return f"{said} Whether another choice comes to fewer points was not proven within the time."


def _nothing(case: Case, proven: bool, conflict: Sequence[str]) -> str:
    if not proven:
        return "No choice of dates was found within the time; there may be one."
    names = [audition.name for audition in case.auditions if audition.key in conflict]
    if len(names) == 1:
        return f"There is no plan: no date of {names[0]} can be had."
    if names and len(names) <= NAMES:
        return f"There is no plan: the dates of {listed(names)} do not go together."
    return "There is no plan: the dates of these auditions do not go together."


def trips(count: int) -> str:
    """Return "one trip" or "three trips"."""
    return f"{number(count)} trip{'' if count == 1 else 's'}"


def burden(asked: Burden) -> str:
    """Return "about 1,640 in money, 31 hours on the way, 5 nights away, 3 school days missed"."""
    parts = [f"about {asked.money:,} in money", f"{_hours(asked.minutes)} on the way"]
    parts.append(f"{count_of(asked.nights, 'night')} away" if asked.nights else "no night away")
    days = count_of(asked.school_days, "school day") if asked.school_days else "no school day"
    return listed([*parts, f"{days} missed"])


def _hours(minutes: int) -> str:
    hours = (minutes + 30) // 60
    return count_of(hours, "hour") if hours else "less than an hour"


def reasons(case: Case, plan: Plan | None) -> tuple[str, ...]:
    """Return how the plan came about."""
    if plan is None or not plan.choices:
        return ()
    said = [_shared(case, trip.auditions, trip.saved) for trip in plan.trips if trip.saved > 0]
    fixed = [one.name for one in case.auditions if one.fixed]
    if fixed:
        said.append(f"The date of {listed(fixed)} is fixed and was not moved.")
    for choice in plan.choices:
        if choice.short_days:
            said.append(
                f"{_name(case, choice.audition)} comes {count_of(choice.short_days, 'day')} before "
                "its music is expected to be ready."
            )
    weights = case.problem.weights
    said.append(
        f"Reckoned in points: money, {weights.hour} for an hour on the way, {weights.night} for a "
        f"night away besides the room, {weights.school_day} for a school day missed."
    )
    return tuple(said)


def _shared(case: Case, keys: Sequence[str], saved: int) -> str:
    names = [_name(case, key) for key in keys]
    return f"{listed(names)} share a trip, which saves {saved:,} points against a trip for each."


def _name(case: Case, key: str) -> str:
    return next(audition.name for audition in case.auditions if audition.key == key)


# ---- why an offer cannot be had


def why(problem: Problem, audition: Audition, offer: Offer, refused: Refused) -> str:
    """Return why an offer cannot be had, in one sentence."""
    today = problem.today
    dates = {one.key: dated(one.on, today) for one in audition.offers}
    if refused.kind == "booked":
        return f"It had to be booked by {dated(offer.book_by, today)}."
    if refused.kind == "fixed":
        return f"{dates[refused.by]} is fixed for this audition."
    if refused.kind == "pinned":
        return f"{dates[refused.by]} is pinned for this audition."
    if refused.kind == "banned":
        return "It was ruled out of the plan."
    if refused.kind == "closed":
        return f"It falls on days already taken: {refused.by}."
    return "It lies in the past."


NO_PLAN = "There is no plan at all yet."
OVER = "The audition is over."
TOO_LATE = "The journey there would have had to begin before today."
SHUT = "Closed days stand in the way of the journey."
CLASH = "It does not go together with the dates of the other auditions."


def clash(name: str) -> str:
    """Return that an offer clashes with every date of another audition."""
    return f"It clashes with every date of {name} that can still be had."


# ---- ways out


def leave_out(names: Sequence[str], left: int) -> str:
    """Return what to do, and how many auditions are then left."""
    rest = "the other one can be had" if left == 1 else f"the other {number(left)} then go together"
    return f"Leave out {listed(list(names))}: {rest if left else 'nothing is left to plan'}."


def open_days(name: str, first: date, last: date, today: date) -> str:
    """Return what to do about closed days."""
    days = dated(first, today)
    if last != first:
        days += f" to {dated(last, today)}"
    return f"Make {days} ({name}) free for travel: all auditions then go together."


def free(problem: Problem, kind: str, name: str, on: date) -> str:
    """Return what to do about a date that is fixed, pinned or banned."""
    day = dated(on, problem.today)
    if kind == "fixed":
        return f"Ask {name} for another date than {day}: all auditions then go together."
    if kind == "pinned":
        return f"Unpin {day} for {name}: all auditions then go together."
    return f"Allow {day} for {name} again: all auditions then go together."


def late(problem: Problem, name: str, offer: Offer) -> str:
    """Return what to do about a date whose booking has passed."""
    return (
        f"Ask {name} whether {dated(offer.on, problem.today)} can still be booked, after "
        f"{dated(offer.book_by, problem.today)}: all auditions then go together."
    )


# ---- what to be careful about


def notes(case: Case, unpriced: bool) -> tuple[str, ...]:
    """Return what to be careful about. unpriced: some prices were not worked out in time."""
    said = list(CARE)
    ways = case.journeys.ways
    said += _between(ways.unknown, "is not known and is reckoned as nothing: look it up and write")
    said += _between(ways.far, "is very far to drive: ask how the family travels and write")
    said += _places(case)
    said += _clocks(case)
    for audition in case.over:
        said.append(f"{audition.name} is over and is not in the plan.")
    unstated = [one.name for one in case.auditions if any(o.starts is None for o in one.offers)]
    if unstated:
        settings = case.problem.settings
        said.append(
            f"{_some(unstated)}: some times are not stated, so the whole day from "
            f"{settings.day_starts:%H:%M} to {settings.day_ends:%H:%M} is taken."
        )
    if unpriced:
        said.append("What some dates cost was not worked out within the time.")
    return tuple(said)


def _between(pairs: Iterable[frozenset[Stop]], what: str) -> list[str]:
    found = {}
    for pair in pairs:
        names = sorted((stop.place.name or stop.key or "home") for stop in pair)
        found[" and ".join(names)] = None
    return (
        [f"The way between {_some(list(found), '; between ')} {what} your own figure."]
        if found
        else []
    )


def _places(case: Case) -> list[str]:
    places = {}
    for one in case.dates:
        if (one.offer.place or one.audition.place).zone is None and not one.audition.place.zone:
            places[one.audition.name] = None
    if not places:
        return []
    return [f"{_some(list(places))}: the time zone is not known and is taken to be that of home."]


def _clocks(case: Case) -> list[str]:
    said = {}
    for one in case.dates:
        zone = zones.zone(stop_of(case.problem, one.audition, one.offer).zone)
        for clock in times(one.offer, case.problem):
            note = zones.moment(one.offer.on, clock, zone).note
            if note:
                said[f"{one.audition.name}: {note}"] = None
    return list(said)


def _some(names: Sequence[str], join: str = "") -> str:
    """Return the first names, and how many more there are."""
    shown = list(names[:NAMES])
    if len(names) > NAMES:
        shown.append(f"{len(names) - NAMES} more")
    return join.join(shown) if join else listed(shown)
