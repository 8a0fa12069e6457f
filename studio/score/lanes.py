"""Where the words above a staff go: neighbours never touch, and nothing leaves the drawing.

Each flag is a symbol at its day with a word beside it. Flags stand in lanes, the lowest just above
the staff. The last day is placed first, so that earlier ones climb over it and a thin line can lead
from each symbol straight down to its day without crossing a word.
"""

from dataclasses import dataclass, replace

from studio.score.widths import shorten, width

LANE = 15.0  # height of a lane
SYMBOL = 14.0  # width of a symbol
GAP = 2.0  # between a symbol and its word
AIR = 5.0  # between two flags of a lane
TYPE = 13.0
LONGEST = 150.0  # of a word


@dataclass(frozen=True)
class Flag:
    """What is to be placed. key: told back; x: its day; text: the word beside it."""

    key: object
    x: float
    text: str


@dataclass(frozen=True)
class Placed:
    """A flag in its lane (0 is the lowest). left, right: the edges of symbol and word together.

    text: the word, shortened if need be; text_x: where it begins, or ends if `ends` is True.
    led: whether a line can lead down to the staff without crossing another flag.
    """

    key: object
    x: float
    lane: int
    text: str
    text_x: float
    ends: bool
    left: float
    right: float
    led: bool

    def meets(self, left, right):
        """Whether it comes too near to what lies between `left` and `right`."""
        return self.left < right + AIR and left < self.right + AIR


def place(flags, left, right, line=None):
    """Return the flags placed between `left` and `right`, by x; the symbols' days lie between.

    line: the x of a line through all lanes that no word should cross if there is another way.
    """
    placed = []
    for flag in sorted(flags, key=lambda flag: -flag.x):
        placed.append(_place(flag, placed, left, right, line))
    return tuple(reversed(placed))


def lanes(placed):
    """Return how many lanes the placed flags take."""
    return 1 + max((flag.lane for flag in placed), default=-1)


def _place(flag, placed, left, right, line):
    sides = [side for side in _sides(flag) if left <= side.left and side.right <= right]
    if not sides:
        raise ValueError(f"{flag.text}: there is no room between {left} and {right}")
    choices = [replace(side, lane=lane) for lane in range(lanes(placed) + 1) for side in sides]
    clear = [choice for choice in choices if not _crosses(choice, line)]
    choices = sorted(clear, key=_cost) or sorted(choices, key=_cost)
    led = (choice for choice in choices if _fits(choice, placed))
    alone = (replace(choice, led=False) for choice in choices)
    return next(led, None) or next(choice for choice in alone if _fits(choice, placed))


def _crosses(choice, line):
    """Whether its word stands on the line; the symbol may, for its day is what it is."""
    if line is None or not choice.text:
        return False
    half = SYMBOL / 2
    start = choice.left if choice.ends else choice.x + half
    end = choice.x - half if choice.ends else choice.right
    return start - 2 < line < end + 2


def _cost(choice):
    """Low lanes are better, and words at the right, as they are read."""
    return choice.lane + (1.5 if choice.ends else 0)


def _sides(flag):
    """The word at the right of the symbol, or at its left."""
    text, half = shorten(flag.text, LONGEST, TYPE), SYMBOL / 2
    long = width(text, TYPE) + (GAP if text else 0)
    for ends in (False, True):
        yield Placed(
            key=flag.key,
            x=flag.x,
            lane=0,
            text=text,
            text_x=flag.x - half - GAP if ends else flag.x + half + GAP,
            ends=ends,
            left=flag.x - half - (long if ends else 0),
            right=flag.x + half + (0 if ends else long),
            led=True,
        )


def _fits(flag, placed):
    for other in placed:
        if other.lane == flag.lane and other.meets(flag.left, flag.right):
            return False
        lower, upper = (flag, other) if flag.lane < other.lane else (other, flag)
        crossed = lower.lane < upper.lane and upper.led
        if crossed and lower.left - 1 < upper.x < lower.right + 1:
            return False
    return True
