"""The trips of a part as bars over its weeks: how far they are, how long, how close together.

Python decides every coordinate, in units of a strip 360 wide, so that a phone shows it in true
size; the template only prints them. The list below the strip says the same in words.
"""

from dataclasses import dataclass
from datetime import date, timedelta

from planner.deadlines.wording import MONTHS

WIDTH, LEFT, RIGHT = 360.0, 4.0, 356.0
LEAST = timedelta(weeks=6)
BAR = 5.0  # the shortest bar that can be seen
SIDE = 8.0  # a number keeps so far from the next one, else it stands in the upper row
LETTER = 7.0  # of a month's name, at most


@dataclass(frozen=True)
class Bar:
    """A trip drawn. y: of its number. sure: whether all its dates are confirmed."""

    number: int
    x: float
    width: float
    middle: float
    y: float
    sure: bool


class TripBars:
    """The TripLines of a student from `today` on."""

    def __init__(self, lines, today):
        self.lines, self.today = lines, today
        self.first = today - timedelta(today.weekday())
        end = max([self.first + LEAST, *(line.last + timedelta(1) for line in lines)])
        self.weeks = -(-(end - self.first).days // 7)

    def x(self, day: date):
        """Where a day begins."""
        share = (day - self.first).days / (7 * self.weeks)
        return round(LEFT + share * (RIGHT - LEFT), 1)

    @property
    def barlines(self):
        """The x of each Monday, and of the end."""
        return [self.x(self.first + timedelta(weeks=week)) for week in range(self.weeks + 1)]

    @property
    def now(self):
        """The x of today."""
        return self.x(self.today)

    @property
    def months(self):
        """(x, name) of each month that begins here, and of the one under way if there is room."""
        days = [self.first + timedelta(n) for n in range(7 * self.weeks)]
        begun = [(self.x(day), MONTHS[day.month - 1]) for day in days if day.day == 1]
        under_way = (LEFT, MONTHS[self.first.month - 1])
        room = begun[0][0] - LEFT if begun else WIDTH
        if self.first.day > 1 and room > LETTER * len(under_way[1]):
            begun.insert(0, under_way)
        return [(x, name) for x, name in begun if x + LETTER * len(name) < WIDTH]

    @property
    def bars(self):
        """A Bar for each trip."""
        drawn, before = [], -WIDTH
        for line in self.lines:
            x = self.x(line.first)
            width = max(BAR, round(self.x(line.last + timedelta(1)) - x, 1))
            middle = round(x + width / 2, 1)
            crowded = middle - before < SIDE * len(str(line.number)) and not drawn[-1].y < 20
            drawn.append(
                Bar(line.number, x, width, middle, 18.0 if crowded else 28.0, not line.unsure)
            )
            before = middle
        return drawn
