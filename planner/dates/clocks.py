"""Moments as whole minutes since 1970 UTC, days as ordinals: what the search reckons in."""

from datetime import UTC, date, datetime, time
from functools import cache

from planner import zones

DAY = 1440


class Clock:
    """The clocks of one place. zone: its IANA name."""

    def __init__(self, zone: str):
        self.zone = zones.zone(zone)
        self.at = cache(self._at)
        self.day = cache(self._day)
        self.ahead = cache(self._ahead)

    def _at(self, day: int, clock: time) -> int:
        """Return the minute at which the clocks show `clock` on the day (an ordinal)."""
        moment = zones.moment(date.fromordinal(day), clock, self.zone)
        return int(moment.at.timestamp()) // 60

    def _day(self, minute: int) -> int:
        """Return the day, an ordinal, that it is here."""
        return self.shown(minute).toordinal()

    def _ahead(self, minute: int) -> int:
        """Return how many minutes the clocks here are ahead of UTC."""
        return zones.offset_minutes(utc(minute), self.zone)

    def shown(self, minute: int) -> datetime:
        """Return the minute as an aware datetime by the clocks here."""
        return utc(minute).astimezone(self.zone)


def utc(minute: int) -> datetime:
    """Return the minute as an aware datetime."""
    return datetime.fromtimestamp(minute * 60, UTC)


def of_day(clock: time) -> int:
    """Return the minutes from midnight to `clock` on a day of 24 hours."""
    return clock.hour * 60 + clock.minute
