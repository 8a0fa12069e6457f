"""The minutes of a fortnight as bars: open for what a day has, filled for what is planned."""

from dataclasses import dataclass

STEP, BAR, HIGH, EDGE = 24, 16, 56, 6  # px
HOUR = 60


@dataclass(frozen=True)
class Bar:
    """One day: where its bar stands and how high it is; None where the day has no minutes."""

    x: str
    middle: str
    letter: str
    there_y: str
    there: str
    plan_y: str
    plan: str
    is_today: bool


@dataclass(frozen=True)
class Strip:
    """The bars, and the lines of whole hours as (y, words)."""

    width: int
    height: int
    base: int
    bars: tuple
    hours: tuple


def strip(days):
    """Return the Strip of page.DayLines."""
    most = max([HOUR, *(max(day.available, day.minutes) for day in days)])
    left = 2 * STEP

    def y(minutes):
        return f"{EDGE + HIGH * (1 - minutes / most):.1f}"

    def high(minutes):
        return f"{HIGH * minutes / most:.1f}"

    bars = tuple(
        Bar(
            f"{left + n * STEP}",
            f"{left + n * STEP + BAR / 2:.1f}",
            f"{day.on:%a}"[0],
            y(day.available),
            high(day.available),
            y(day.minutes),
            high(day.minutes),
            n == 0,
        )
        for n, day in enumerate(days)
    )
    every = HOUR * (1 + most // (3 * HOUR))
    hours = tuple((y(m), f"{m // HOUR} h") for m in range(every, most + 1, every))
    base = HIGH + EDGE
    return Strip(left + len(days) * STEP, base + 20, base, bars, hours)
