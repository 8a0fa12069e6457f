"""The day of a deadline, of its own or counted back from the student's date, and in words."""

from datetime import date
from operator import itemgetter

from planner.deadlines import Lead, Unit, Workdays
from planner.deadlines.wording import dated, lead_words
from studio.entries.network import days_off


def day_of(deadline, entry, season):
    """Return the day of a deadline; None where it hangs on a date that is not chosen yet."""
    if deadline.on or deadline.before is None or entry.on is None:
        return deadline.on
    return Workdays(days_off(season)).back(entry.on, _lead(deadline))


def spoken_day(deadline, on: date | None, today: date) -> str:
    """Return "1 December", "30 January, 7 days before the audition"."""
    words = dated(on, today, full=False) if on else ""
    if deadline.on or deadline.before is None:
        return words
    before = f"{lead_words(_lead(deadline))} before the audition"
    return f"{words}, {before}" if words else before


def nearest(deadlines, round, day, today: date):
    """Return the deadline of a round's recording and its day; (None, None) if no day is known.

    Of several deadlines those that name the round, else those that do not name the other; of
    these the first that is not over, else the last. round: of Requirement.Round; day: a function
    of a deadline.
    """
    own, other = ("screening", "final") if round == "screening" else ("final", "screening")
    named = [row for row in deadlines if own in row.name.casefold()]
    rest = [row for row in deadlines if other not in row.name.casefold()]
    days = sorted(((on, row) for row in named or rest if (on := day(row))), key=itemgetter(0))
    ahead = [pair for pair in days if pair[0] >= today]
    on, row = ahead[0] if ahead else days[-1] if days else (None, None)
    return row, on


def _lead(deadline):
    return Lead(deadline.before, Unit(deadline.before_unit))
