"""Titles and sentences of the day."""

from collections.abc import Iterator
from datetime import datetime, timedelta
from zoneinfo import ZoneInfo

from planner import zones
from planner.day.model import Certainty, Format, Key, Problem, Rooms
from planner.day.timeline import Span, Timeline
from planner.travel import Origin, duration

CONFIRM = "Confirm times and rooms with the institution before you travel."

HINTS = {
    Format.BLIND: "Do not speak to the panel: it sits behind a screen and must not know you.",
    Format.FACE_TO_FACE: "Introduce yourself: name, instrument, what you will play.",
    Format.RECORDED: "This audition is recorded: ask whether there is anything to attend at all.",
    None: "",
}

NAMES = {
    Key.LEAVE_HOME: "the journey",
    Key.PARK: "parking and the walk",
    Key.CHECK_IN: "check-in",
    Key.FIND_ROOMS: "finding the rooms",
    Key.WARM_UP: "the warm-up",
    Key.WAIT: "the wait",
    Key.AUDITION: "the audition",
}


def title(problem: Problem, line: Timeline, span: Span) -> str:
    """Return the title of a step: what to do, and where."""
    rooms = problem.rooms
    # Whoever flies in parks nowhere, unless somebody wrote down where.
    parks = rooms.parking or (rooms.parking is None and not line.journey.too_far)
    audition_room = _room(rooms.audition, "the audition room")
    warm_up_room = _room(rooms.warm_up, "")
    titles = {
        Key.LEAVE_HOME: "Leave home",
        Key.PARK: _named("Park", rooms.parking) if parks else "Arrive",
        Key.CHECK_IN: _named("Check in", rooms.check_in),
        Key.FIND_ROOMS: f"Find {audition_room}",
        Key.WARM_UP: f"Warm up in {warm_up_room}" if warm_up_room else "Warm up",
        Key.WAIT: f"To {audition_room}",
        Key.AUDITION: f"Audition, {span.minutes} minute{'' if span.minutes == 1 else 's'}",
    }
    if span.extra:
        return _named(span.extra.title, span.extra.place)
    return titles[span.key]


def detail(problem: Problem, line: Timeline, span: Span) -> str:
    """Return the line under the title; "" where there is nothing to add."""
    if span.key is Key.EXTRA:
        return "" if span.minutes is None else f"{span.minutes} min"
    if span.key is Key.LEAVE_HOME:
        return _journey(line)
    if span.key is Key.PARK:
        entrance = f"entrance {problem.rooms.entrance} · " if problem.rooms.entrance else ""
        return f"{entrance}{span.minutes} min to the desk"
    if span.key is Key.AUDITION:
        return " · ".join(filter(None, (problem.format, problem.panel)))
    return {
        Key.CHECK_IN: "ask whether the panel runs early or late",
        Key.FIND_ROOMS: "then on to the warm-up room",
        Key.WARM_UP: "ends just before the call",
        Key.WAIT: "wait away from the door",
    }[span.key]


def clashes(problem: Problem, line: Timeline) -> Iterator[str]:
    """Say what cannot all be done as it stands."""
    fixed = [line.span(key) for key in (Key.FIND_ROOMS, Key.WARM_UP, Key.WAIT, Key.AUDITION)]
    timed = [span for span in line.extras if span.starts]
    for span in timed:
        # The audition matters most, so it is named before what leads up to it.
        hit = next((step for step in reversed(fixed) if _overlap(step, span)), None)
        if hit:
            yield _clash(line, span, NAMES[hit.key])
    for i, span in enumerate(timed):
        for later in timed[i + 1 :]:
            if _overlap(span, later):
                yield _clash(line, span, f"“{later.extra.title}”")
    yield from _broken_rules(problem, line)


def notes(problem: Problem, line: Timeline) -> Iterator[str]:
    """Say what else there is to know, the call to confirm last."""
    yield from line.notes
    yield from _clock_changes(line)
    if line.cut_from:
        warm_up = line.span(Key.WARM_UP).minutes
        yield f"The warm-up is cut from {line.cut_from} to {warm_up} minutes."
    if line.waits_for:
        yield (
            f"Check-in is as early as this because “{line.waits_for.title}” begins at "
            f"{line.waits_for.at:%H:%M}."
        )
    for extra in problem.extras:
        if extra.minutes is None:
            yield f"How long “{extra.title}” lasts is not known."
    usual = [
        f"{NAMES[span.key]} {span.minutes}"
        for span in line.steps
        if span.certainty is Certainty.DEFAULT
    ]
    if usual:
        yield f"Usual minutes, not this institution's: {', '.join(usual)}."
    yield CONFIRM


def unknown(problem: Problem, line: Timeline) -> Iterator[str]:
    """Say what is missing, and whom to ask."""
    ask = f"ask {problem.place.name or 'the institution'}"
    if problem.call is None:
        yield f"The call time is not known: {ask}. Nothing can be counted back without it."
    yield from line.journey.unknown
    if line.place is None:
        yield "Times are as the place writes them; leaving home has no time without its zone."
    elif line.home is None:
        yield "The time to leave home is shown in the time of the place."
    yield from _unknown_rooms(problem.rooms, ask)
    if problem.rooms.parking is None and not line.journey.too_far:
        yield f"Where to park is not known: {ask}."
    if problem.format is None:
        yield f"Whether the panel sits behind a screen is not known: {ask}."
    for extra in problem.extras:
        if extra.at is None:
            yield f"When “{extra.title}” begins is not known: {ask}."


def _unknown_rooms(rooms: Rooms, ask: str) -> Iterator[str]:
    for value, what in (
        (rooms.audition, "The audition room"),
        (rooms.warm_up, "The warm-up room"),
        (rooms.check_in, "Where to check in"),
        (rooms.entrance, "Which entrance to take"),
    ):
        if not value:
            yield f"{what} is not known: {ask}."


def _named(what: str, where: str | None) -> str:
    return f"{what}, {where}" if where else what


def _room(name: str | None, otherwise: str) -> str:
    if not name:
        return otherwise
    return f"room {name}" if name[0].isdigit() else name


def _journey(line: Timeline) -> str:
    journey = line.journey
    if journey.minutes is None:
        return "how long the journey takes is not known"
    said = [duration(journey.minutes)]
    if journey.km is not None:
        said.append(f"{journey.km:.0f} km")
    about = "about " if journey.minutes_from is Origin.ESTIMATED else ""
    ahead = journey.clocks_ahead_minutes
    clocks = f"; clocks {zones.compared(ahead)} on arrival" if ahead else ""
    return f"{about}{', '.join(said)}{clocks}"


def _overlap(span: Span, other: Span) -> bool:
    if span.starts is None or other.starts is None or (span.key != Key.EXTRA and not span.minutes):
        return False
    return zones.overlap(span.starts, span.minutes or 0, other.starts, other.minutes or 0)


def _clash(line: Timeline, span: Span, other: str) -> str:
    starts, ends = (at.astimezone(line.clock) for at in (span.starts, span.ends))
    until = f" to {ends:%H:%M}" if span.minutes else ""
    return (
        f"“{span.extra.title}” ({starts:%H:%M}{until}) runs into {other}: ask the institution to "
        "move one of them."
    )


def _broken_rules(problem: Problem, line: Timeline) -> Iterator[str]:
    if line.call is None:
        return
    call = problem.call
    if problem.check_in_by and problem.check_in_by > call:
        yield f"Check-in by {problem.check_in_by:%H:%M} is after the call at {call:%H:%M}."
    free = problem.warm_up_from
    starts = line.span(Key.WARM_UP).starts
    if free and zones.moment(problem.day, free, line.clock).at > starts:
        yield f"The warm-up room is free from {free:%H:%M}: too late to warm up before the call."


def _clock_changes(line: Timeline) -> Iterator[str]:
    if line.call is None or line.place is None:
        return
    leave = line.span(Key.LEAVE_HOME).starts
    eve = line.call - timedelta(days=1)
    found = {}
    for tz, where in ((line.place, "at the place"), (line.home, "at home")):
        if tz is None:
            continue
        if leave and (step := zones.clock_change(leave, line.call, tz)):
            found.setdefault(("between leaving home and the audition", step), []).append(where)
        if step := zones.clock_change(min(eve, leave or eve), leave or line.call, tz):
            found.setdefault((_before_what(leave), step), []).append(where)
    for (when, step), where in found.items():
        way = "forward" if step > 0 else "back"
        yield (
            f"The clocks {' and '.join(where)} go {way} {zones.span(abs(step))} {when}: the times "
            "here allow for it, an alarm set before may not."
        )


def _before_what(leave: datetime | None) -> str:
    return f"in the day before {'leaving home' if leave else 'the audition'}"


def wall(at: datetime, tz: ZoneInfo) -> str:
    """Write a moment in a zone: "07:35 EST"."""
    return f"{at.astimezone(tz):%H:%M} {zones.label(at, tz)}"
