"""Time zones: one place where a name becomes a zone, from the pinned tzdata package only.

The system's own zone files are often older than the package (tests/outside checks three zones
where that changes the hour of a 2027 winter audition), so importing this module takes them off
the search path for the whole process.
"""

import difflib
import zoneinfo
from dataclasses import dataclass
from datetime import UTC, date, datetime, time, timedelta
from functools import cache
from zoneinfo import ZoneInfo

zoneinfo.reset_tzpath(to=())
# A zone that was read before this import may hold the system's older rules.
ZoneInfo.clear_cache()


class UnknownZone(ValueError):
    """No such zone name. The message names it and suggests close ones."""

    def __init__(self, name, suggestions=()):
        self.name = name
        self.suggestions = tuple(suggestions)
        hint = f"; did you mean {' or '.join(self.suggestions)}?" if self.suggestions else ""
        super().__init__(f'"{name}" is not a time zone name{hint or " (write America/Chicago)"}')


@cache
def names() -> tuple[str, ...]:
    """Every zone name of the pinned package, sorted."""
    return tuple(sorted(zoneinfo.available_timezones()))


def zone(name: str) -> ZoneInfo:
    """Return the zone called `name`, such as "America/Chicago"; raise UnknownZone."""
    # ZoneInfo itself answers some bad names with OSError or a half-read folder, so ask the list.
    if not isinstance(name, str) or name not in _known():
        raise UnknownZone(name, suggest(name))
    return ZoneInfo(name)


def spoken(name: str) -> str:
    """Return a zone's name as people say it: "New York time"; "UTC" and its like as they are."""
    _, slash, city = name.rpartition("/")
    if not slash or name.startswith("Etc/"):
        return city
    return f"{city.replace('_', ' ')} time"


@cache
def _known() -> frozenset[str]:
    return frozenset(names())


def suggest(name: object, count: int = 3) -> tuple[str, ...]:
    """Return up to `count` zone names close to what was written; a city alone is enough."""
    wanted = str(name or "").strip().lower().replace(" ", "_")
    if not wanted:
        return ()
    keys = {}
    for full in names():
        keys.setdefault(full.lower(), full)
        keys.setdefault(full.lower().rsplit("/", 1)[-1], full)
    city = wanted.rsplit("/", 1)[-1]
    exact = [key for key in (wanted, city) if key in keys]
    if exact:
        return (keys[exact[0]],)
    close = difflib.get_close_matches(wanted, keys, n=count, cutoff=0.7)
    close += difflib.get_close_matches(city, keys, n=count, cutoff=0.7)
    return tuple(dict.fromkeys(keys[key] for key in close))[:count]


@dataclass(frozen=True)
class Moment:
    """A wall time turned into one exact moment.

    at: aware datetime in the zone asked for.
    note: a sentence when the wall time occurs twice or not at all that day, else "".
    """

    at: datetime
    note: str = ""


def moment(day: date, clock: time, tz: ZoneInfo) -> Moment:
    """Return the moment at which the clocks of `tz` show `clock` on `day`.

    A time skipped in spring moves forward by the length of the gap; of a time that occurs twice
    in autumn the first is taken. Both are said in `note`.
    """
    naive = datetime.combine(day, clock.replace(tzinfo=None, fold=0))
    first, second = naive.replace(tzinfo=tz), naive.replace(tzinfo=tz, fold=1)
    if first.utcoffset() == second.utcoffset():
        return Moment(first)
    shown = f"{clock:%H:%M} on {day.isoformat()}"
    settled = first.astimezone(UTC).astimezone(tz)
    if settled.replace(tzinfo=None) != naive:
        return Moment(
            settled,
            f"{shown} does not exist in {tz.key}: the clocks go forward that day, "
            f"so it is read as {settled:%H:%M}.",
        )
    return Moment(
        first,
        f"{shown} occurs twice in {tz.key}: the clocks go back that day, "
        f"so it is read as the first one ({first.tzname()}).",
    )


def minutes_between(start: datetime, end: datetime) -> int:
    """Whole minutes that really pass between two aware datetimes, whatever the clocks do."""
    # Python subtracts wall times when both share a zone, hence the detour by UTC.
    return int((end.astimezone(UTC) - start.astimezone(UTC)).total_seconds() // 60)


def shift(start: datetime, minutes: int, tz: ZoneInfo | None = None) -> datetime:
    """Return the moment `minutes` of real time after `start`, as shown in `tz` (or start's own)."""
    moved = start.astimezone(UTC) + timedelta(minutes=minutes)
    return moved.astimezone(tz or start.tzinfo)


def offset_minutes(at: datetime, tz: ZoneInfo) -> int:
    """Minutes that the clocks of `tz` are ahead of UTC at the moment `at`."""
    return int(at.astimezone(tz).utcoffset().total_seconds() // 60)


def ahead_of(at: datetime, there: ZoneInfo, home: ZoneInfo) -> int:
    """Minutes that clocks `there` are ahead of those at `home` at this moment; west is negative."""
    return offset_minutes(at, there) - offset_minutes(at, home)


def clock_change(start: datetime, end: datetime, tz: ZoneInfo) -> int:
    """Minutes by which the clocks of `tz` go forward (back: negative) from `start` to `end`."""
    return offset_minutes(end, tz) - offset_minutes(start, tz)


def label(at: datetime, tz: ZoneInfo) -> str:
    """Short name of the time kept in `tz` at that moment: "EST", or the zone's city if none."""
    short = at.astimezone(tz).tzname()
    if short and short.isalpha():
        return short
    return spoken(tz.key)


def compared(minutes: int) -> str:
    """Say a difference of clocks in words: "one hour ahead of home", "the same time as home"."""
    if minutes == 0:
        return "the same time as home"
    return f"{span(abs(minutes))} {'ahead of' if minutes > 0 else 'behind'} home"


_WORDS = (
    *("one", "two", "three", "four", "five", "six"),
    *("seven", "eight", "nine", "ten", "eleven", "twelve"),
)


def span(minutes: int) -> str:
    """Say a length of time in words: "one hour", "five hours and 45 minutes"."""
    hours, rest = divmod(minutes, 60)
    parts = []
    if hours:
        word = _WORDS[hours - 1] if hours <= len(_WORDS) else str(hours)
        parts.append(f"{word} hour{'s' if hours > 1 else ''}")
    if rest or not hours:
        parts.append(f"{rest} minute{'' if rest == 1 else 's'}")
    return " and ".join(parts)


def overlap(start: datetime, minutes: int, other: datetime, other_minutes: int) -> bool:
    """Say whether two stretches of time share a moment, in whatever zones they are written.

    A stretch ends just before its end. One without length is a moment.
    """
    a, b = start.astimezone(UTC), other.astimezone(UTC)
    # A moment counts as the shortest stretch there is.
    a_end = a + max(timedelta(minutes=minutes), timedelta.resolution)
    b_end = b + max(timedelta(minutes=other_minutes), timedelta.resolution)
    return a < b_end and b < a_end
