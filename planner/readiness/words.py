"""Numbers and dates as a teacher would say them."""

from datetime import date

_NUMBERS = (
    "no", "one", "two", "three", "four", "five", "six",
    "seven", "eight", "nine", "ten", "eleven", "twelve",
)  # fmt: skip
_MONTHS = (
    "January", "February", "March", "April", "May", "June", "July",
    "August", "September", "October", "November", "December",
)  # fmt: skip
# In the other half of a year the bare day could be read as last year's.
_YEAR_NEEDED_AFTER = 180


def number(count: int) -> str:
    """`count` as a word up to twelve, in figures above."""
    return _NUMBERS[count] if 0 <= count <= 12 else str(count)


def days(count: int) -> str:
    """ "five days", "one day"."""
    return f"{number(count)} {'day' if count == 1 else 'days'}"


def day(on: date, today: date) -> str:
    """ "1 February", with the year when it is far away."""
    plain = f"{on.day} {_MONTHS[on.month - 1]}"
    return f"{plain} {on.year}" if abs((on - today).days) > _YEAR_NEEDED_AFTER else plain


def points(value: float) -> str:
    """Whole points, rounded down, so that 94.9 never reads as a ready 95."""
    return str(int(value + 1e-9))


def figure(value: float) -> str:
    """A tempo as it is written: 96, not 96.0."""
    return f"{value:.1f}".removesuffix(".0")


def in_hand(count: int) -> str:
    """For a margin: "5 days in hand", "7 days short"."""
    if count == 0:
        return "no days in hand"
    unit = "day" if abs(count) == 1 else "days"
    return f"{abs(count)} {unit} {'in hand' if count > 0 else 'short'}"
