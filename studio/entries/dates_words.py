"""What a date costs and where a plan differs, in words."""

from planner.deadlines.wording import listed, short_day
from planner.travel import duration
from studio.accounts.words import money
from studio.entries.checklist import clock


def day_of(date):
    """Return "Sat 6 Feb" of an OfferedDate."""
    return f"{date.on:%a} {date.on.day} {date.on:%b}"


def hours_of(date):
    """Return "9:00 to 16:00", "from 9:00", or ""."""
    if date.starts and date.ends:
        return f"{clock(date.starts)} to {clock(date.ends)}"
    at, word = (date.starts, "from") if date.starts else (date.ends, "until")
    return f"{word} {clock(at)}" if at else ""


def more(burden, currency):
    """Return a difference of burdens: "3 h 20 min more, 1 night less"; "" for none."""
    found = (
        (burden.minutes, duration(abs(burden.minutes)) + " {} on the way"),
        (burden.nights, _of(burden.nights, "{} night")),
        (burden.school_days, _of(burden.school_days, "{} school day")),
        (burden.money, f"{money(abs(burden.money), currency)} {{}}"),
    )
    return ", ".join(
        text.format("more" if number > 0 else "less") for number, text in found if number
    )


def _of(number, thing):
    """ "2 more nights", as a text to be filled with more or less."""
    return f"{abs(number)} {thing}{'' if abs(number) == 1 else 's'}"


def points_of(number):
    """Return "1 point", "1,456 points"."""
    return f"{number:,} point{'' if number == 1 else 's'}"


def price(price, currency):
    """Return what an engine's Price says of a date."""
    if price.extra is None:
        return price.why or "not worked out in time"
    if price.extra == 0:
        return "costs no more than the plan"
    difference = more(price.more, currency) if price.more else ""
    points = f"{points_of(price.extra)} more"
    return f"{difference}: {points}" if difference else points


def moves(plan, other, named):
    """Return where `other` has another date than `plan`: "Fairmont on 13 instead of 6 February".

    named: what an audition is called, by key.
    """
    here = {choice.audition: choice.on for choice in plan.choices}
    offers = {choice.audition: choice.offer for choice in plan.choices}
    found = [
        f"{named[choice.audition]} on {short_day(choice.on)} instead of "
        f"{short_day(here[choice.audition])}"
        for choice in other.choices
        if offers.get(choice.audition) not in {None, choice.offer}
    ]
    return listed(found)
