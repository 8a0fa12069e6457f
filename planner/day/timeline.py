"""Counting back from the call. Every moment in here is UTC, so that elapsed time is exact."""

from dataclasses import dataclass
from datetime import UTC, date, datetime, time, timedelta
from zoneinfo import ZoneInfo

from planner import travel, zones
from planner.day.model import Certainty, Extra, Key, Problem

_FROM_TRAVEL = {
    travel.Origin.OWN: Certainty.GIVEN,
    travel.Origin.ESTIMATED: Certainty.ESTIMATED,
    travel.Origin.UNKNOWN: Certainty.UNKNOWN,
}
_NEVER = datetime.max.replace(tzinfo=UTC)


@dataclass(frozen=True)
class Span:
    """A step before it has words: when it starts (UTC, None: not known) and how long it takes."""

    key: Key
    starts: datetime | None
    minutes: int | None
    certainty: Certainty
    extra: Extra | None = None

    @property
    def ends(self) -> datetime | None:
        """The end, UTC; a step of unknown length ends as it starts."""
        if self.starts is None:
            return None
        return self.starts + timedelta(minutes=self.minutes or 0)


@dataclass(frozen=True)
class Timeline:
    """The day as spans.

    place, home: zones, None if not known. clock: the zone in which wall times at the place are
    read: its own, or UTC for want of a better.
    steps: from leaving home to the audition. extras: in order of time, those without one last.
    notes: clock trouble met while reading wall times. cut_from: the warm-up's minutes as given,
    if they were cut. waits_for: the extra because of which check-in is earlier, if any.
    """

    place: ZoneInfo | None
    home: ZoneInfo | None
    clock: ZoneInfo
    steps: tuple[Span, ...]
    extras: tuple[Span, ...]
    journey: travel.Answer
    notes: tuple[str, ...]
    cut_from: int | None
    waits_for: Extra | None

    def span(self, key: Key) -> Span:
        """Return the step called `key`."""
        return next(span for span in self.steps if span.key is key)

    @property
    def call(self) -> datetime | None:
        """The first note, UTC; wall time passed off as UTC if the place's zone is not known."""
        return self.span(Key.AUDITION).starts


def count_back(problem: Problem) -> Timeline:
    """Return the timeline of a problem."""
    place, home = _zone(problem.place.zone), _zone(problem.home.zone)
    reader = _Reader(place or zones.zone("UTC"))
    call = reader.moment(problem.day, problem.call)
    extras = tuple(_extra(problem, extra, reader) for extra in problem.extras)
    lengths = {
        key: _length(problem, key)
        for key in (Key.AUDITION, Key.WAIT, Key.WARM_UP, Key.FIND_ROOMS, Key.CHECK_IN)
    }
    asked = lengths[Key.WARM_UP][0]
    lengths[Key.WARM_UP] = _warm_up(problem, call, lengths, reader)
    at_place, waits_for = _at_place(problem, call, lengths, extras, reader)
    walk = _either(problem.given.walk, problem.usual.walk)
    parked = _before(at_place[0].starts, walk[0])
    journey = _journey(problem, parked if place else None)
    # Without the place's zone nobody knows which moment its clocks mean, so home stays open.
    left = _before(parked, journey.minutes) if place else None
    leave = Span(Key.LEAVE_HOME, left, journey.minutes, _FROM_TRAVEL[journey.minutes_from])
    return Timeline(
        place=place,
        home=home,
        clock=reader.clock,
        steps=(leave, Span(Key.PARK, parked, *walk), *at_place),
        extras=tuple(sorted(extras, key=lambda span: span.starts or _NEVER)),
        journey=journey,
        notes=tuple(dict.fromkeys(reader.notes)),
        cut_from=asked if asked > lengths[Key.WARM_UP][0] else None,
        waits_for=waits_for,
    )


def _journey(problem: Problem, arrives: datetime | None) -> travel.Answer:
    return travel.answer(
        travel.Problem(
            start=problem.home,
            end=problem.place,
            arrives=arrives,
            own_km=problem.own_km,
            own_minutes=problem.own_minutes,
            model=problem.travel_model,
        )
    )


class _Reader:
    """Reads wall times of the place as UTC and keeps what there is to say about them."""

    def __init__(self, clock: ZoneInfo):
        self.clock = clock
        self.notes: list[str] = []

    def moment(self, day: date, wall: time | None) -> datetime | None:
        """Return when the place shows `wall`, in UTC; note what its clock does then."""
        if wall is None:
            return None
        found = zones.moment(day, wall, self.clock)
        if found.note:
            self.notes.append(found.note)
        return found.at.astimezone(UTC)


def _zone(name: str | None) -> ZoneInfo | None:
    return None if name is None else zones.zone(name)


def _before(at: datetime | None, minutes: int | None) -> datetime | None:
    return None if at is None or minutes is None else at - timedelta(minutes=minutes)


def _either(given: int | None, usual: int) -> tuple[int, Certainty]:
    return (usual, Certainty.DEFAULT) if given is None else (given, Certainty.GIVEN)


def _length(problem: Problem, key: Key) -> tuple[int, Certainty]:
    return _either(getattr(problem.given, key), getattr(problem.usual, key))


def _extra(problem: Problem, extra: Extra, reader: _Reader) -> Span:
    starts = reader.moment(extra.on or problem.day, extra.at)
    certainty = Certainty.UNKNOWN if extra.minutes is None else Certainty.GIVEN
    return Span(Key.EXTRA, starts, extra.minutes, certainty, extra)


def _warm_up(
    problem: Problem, call: datetime | None, lengths: dict, reader: _Reader
) -> tuple[int, Certainty]:
    """Cut the warm-up to the limit, and to what is left once its room is free."""
    minutes, certainty = lengths[Key.WARM_UP]
    minutes = min(minutes, problem.limits.longest_warm_up)
    free = reader.moment(problem.day, problem.warm_up_from)
    if call and free:
        left = zones.minutes_between(free, _before(call, lengths[Key.WAIT][0]))
        # A room that is free too late is a clash, not a warm-up of no minutes.
        minutes = min(minutes, left) if left > 0 else minutes
    return minutes, certainty


def _at_place(
    problem: Problem,
    call: datetime | None,
    lengths: dict,
    extras: tuple[Span, ...],
    reader: _Reader,
) -> tuple[tuple[Span, ...], Extra | None]:
    """Return the steps from the desk to the audition, and the extra that check-in waits for."""
    starts = {Key.AUDITION: call}
    later = Key.AUDITION
    for key in (Key.WAIT, Key.WARM_UP, Key.FIND_ROOMS, Key.CHECK_IN):
        starts[key] = _before(starts[later], lengths[key][0])
        later = key
    first = None
    if call:
        wanted = _latest_check_in(problem, call, starts[Key.CHECK_IN], reader)
        first = _first_extra(problem, starts[Key.FIND_ROOMS], extras)
        desk = _before(
            first and first.starts, lengths[Key.FIND_ROOMS][0] + lengths[Key.CHECK_IN][0]
        )
        starts[Key.CHECK_IN] = min(wanted, desk or wanted)
        first = first if desk and desk < wanted else None
    order = (Key.CHECK_IN, Key.FIND_ROOMS, Key.WARM_UP, Key.WAIT, Key.AUDITION)
    spans = tuple(Span(key, starts[key], *lengths[key]) for key in order)
    return spans, first and first.extra


def _latest_check_in(
    problem: Problem, call: datetime, planned: datetime, reader: _Reader
) -> datetime:
    wanted = [planned, _before(call, problem.arrive_before)]
    wanted.append(reader.moment(problem.day, problem.check_in_by))
    return min(at for at in wanted if at is not None)


def _first_extra(problem: Problem, before: datetime, extras: tuple[Span, ...]) -> Span | None:
    """Return the earliest extra of the day that starts before the rooms are looked for."""
    early = [
        span
        for span in extras
        if span.starts and span.starts < before and span.extra.on in (None, problem.day)
    ]
    return min(early, key=lambda span: span.starts, default=None)
