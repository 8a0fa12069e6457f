"""Calendar months."""

from calendar import monthrange
from datetime import date


def usable_until(made_on: date, months: int) -> date:
    """Return the last day on which a take is no older than so many calendar months.

    The same day of a later month, or its last day where it has no such day: made on 31 August and
    6 months: 28 February. Raises ValueError past the year 9999.
    """
    count = made_on.year * 12 + made_on.month - 1 + months
    year, month = divmod(count, 12)
    if year > date.max.year:
        raise ValueError(f"{months} months after {made_on.isoformat()}: give fewer months.")
    return date(year, month + 1, min(made_on.day, monthrange(year, month + 1)[1]))
