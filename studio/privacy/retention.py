"""Who has had nothing to play for so long that they are put down for erasure: a pure rule."""

from calendar import monthrange
from dataclasses import dataclass
from datetime import date


@dataclass(frozen=True)
class Known:
    """What is known of a student's time here.

    last: the last of their dates, checks and logs, since, and the day somebody kept them; None
    where nothing of it is written down. playing: whether something of this season is still theirs.
    """

    last: date | None
    playing: bool


def latest(*days):
    """Return the last of some days, of which any may be None."""
    return max(filter(None, days), default=None)


def months_before(today, months):
    """Return the same day so many months earlier; the month's last where it has no such day."""
    year, month = divmod(today.year * 12 + today.month - 1 - months, 12)
    return date(year, month + 1, min(today.day, monthrange(year, month + 1)[1]))


def is_over(known, today, months):
    """Whether a student is to be put down for erasure.

    They are, once the last that is known of them lies `months` whole months back or more, and
    nothing of this season is theirs. Of whom nothing is known, nobody can say it: they stay.
    months: None, they all stay.
    """
    if not months or known.last is None or known.playing:
        return False
    return known.last <= months_before(today, months)
