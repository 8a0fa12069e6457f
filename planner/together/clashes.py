"""Which days of an accompanist, or of the teacher who comes along, are impossible as they stand.

No solving: fixed choices in, clashes out, each with a sentence.
"""

from collections import defaultdict
from collections.abc import Iterable, Sequence
from dataclasses import dataclass
from datetime import date, datetime
from itertools import combinations

from planner.dates.model import Closed
from planner.deadlines.wording import full_day, listed
from planner.zones import minutes_between, overlap

TWO_PLACES, TOO_MANY, AT_ONCE, AWAY = "two places", "too many", "at once", "away"


@dataclass(frozen=True)
class Companion:
    """Somebody who comes along. key: unique among the companions.

    away: days on which they cannot. most: at how many auditions they play on one day; somebody
    with two auditions that day counts twice. The default is common practice, no source.
    """

    key: str
    name: str
    away: tuple[Closed, ...] = ()
    most: int = 6


@dataclass(frozen=True)
class Booking:
    """One audition to which a companion comes along.

    companion: key. day: by the clocks at the place. site: auditions of one site are at one place;
    site_name, student: for the sentences. starts, ends: aware; None where not stated.
    """

    companion: str
    day: date
    site: str
    site_name: str
    student: str
    starts: datetime | None = None
    ends: datetime | None = None


@dataclass(frozen=True)
class Clash:
    """What cannot be on one day. companion: key.

    kind: "two places", "too many", "at once" or "away". bookings: those that do not go together.
    """

    companion: str
    day: date
    kind: str
    bookings: tuple[Booking, ...]
    sentence: str


def clashes(
    bookings: Iterable[Booking],
    companions: Iterable[Companion],
    minutes: int | None = None,
) -> tuple[Clash, ...]:
    """Return all clashes, in order of time.

    minutes: how long it takes from one site to another. Two sites on one day are a clash unless it
    is given and all times are stated with so many minutes between. Raises ValueError for a
    companion that is not known and for a time without its offset from UTC.
    """
    known = {companion.key: companion for companion in companions}
    days = defaultdict(list)
    for booking in bookings:
        _check(booking, known)
        days[booking.day, booking.companion].append(booking)
    found = []
    for (day, key), group in sorted(days.items()):
        ordered = sorted(group, key=_order)
        found += _of_day(known[key], day, ordered, minutes)
    return tuple(found)


def _check(booking: Booking, known: dict[str, Companion]) -> None:
    if booking.companion not in known:
        raise ValueError(f'no companion "{booking.companion}"')
    for at in (booking.starts, booking.ends):
        if at is not None and at.utcoffset() is None:
            raise ValueError(f"{booking.student}, {booking.day}: a time needs its offset from UTC")


def _order(booking: Booking) -> tuple:
    starts = booking.starts
    return starts is None, starts.timestamp() if starts else 0, booking.site, booking.student


def _of_day(
    companion: Companion, day: date, bookings: Sequence[Booking], minutes: int | None
) -> list[Clash]:
    found = []
    name, when = companion.name, full_day(day)

    def clash(kind: str, some: Iterable[Booking], sentence: str) -> None:
        found.append(Clash(companion.key, day, kind, tuple(some), sentence))

    away = next((a for a in companion.away if a.first <= day <= a.last), None)
    if away:
        why = f" ({away.name})" if away.name else ""
        clash(AWAY, bookings, f"{name} is away on {when}{why}, but {_play(bookings)}.")
    apart = [pair for pair in combinations(bookings, 2) if _two_places(*pair, minutes)]
    if apart:
        some = [one for one in bookings if any(one is other for pair in apart for other in pair)]
        sites = list(dict.fromkeys(_at(one) for one in some))
        clash(TWO_PLACES, some, f"{name} cannot be {listed(sites)} on the same {when}.")
    for one, other in combinations(bookings, 2):
        if one.site == other.site and _overlap(one, other):
            both = f"{one.student} and {other.student}"
            clash(
                AT_ONCE,
                (one, other),
                f"{name} cannot play for {both} at once {_at(one)} on {when}.",
            )
    if len(bookings) > companion.most:
        clash(
            TOO_MANY,
            bookings,
            f"{name} would play at {len(bookings)} auditions on {when}; "
            f"{companion.most} a day is the most.",
        )
    return found


def _play(bookings: Sequence[Booking]) -> str:
    names = list(dict.fromkeys(booking.student for booking in bookings))
    return f"{listed(names)} {'plays' if len(names) == 1 else 'play'} then"


def _at(booking: Booking) -> str:
    return f"at {booking.site_name}"


def _timed(booking: Booking) -> bool:
    return booking.starts is not None and booking.ends is not None


def _two_places(one: Booking, other: Booking, minutes: int | None) -> bool:
    """Say whether nobody can be at both. They are in order of time, those without one last."""
    if one.site == other.site:
        return False
    if minutes is None or not (_timed(one) and _timed(other)):
        return True
    return minutes_between(one.ends, other.starts) < minutes


def _overlap(one: Booking, other: Booking) -> bool:
    if not (_timed(one) and _timed(other)):
        return False
    return overlap(one.starts, _minutes(one), other.starts, _minutes(other))


def _minutes(booking: Booking) -> int:
    return max(1, minutes_between(booking.starts, booking.ends))
