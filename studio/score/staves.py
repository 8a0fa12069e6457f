"""The drawing: where everything of the score stands, in units of a page 1080 wide.

Python decides every coordinate here and the template only prints them. Each student is a strip of
their own with its own y from 0; strips stand one below the other without a gap, so that brackets
and lines go through, the months can stay in sight and paper breaks between two students.
"""

from dataclasses import dataclass
from itertools import groupby

from studio.entries.hairpin import Hairpin, hairpin
from studio.score import lanes
from studio.score.notes import SPACE, Note, Ring, notes, rings
from studio.score.players import Player
from studio.score.span import Month, Span, span
from studio.score.widths import shorten, width, wrap

WIDTH = 1080.0
LEFT, RIGHT = 176.0, 948.0  # of the staves
NAMES_END, NAMES_ROOM = 154.0, 148.0
BRACKET = 163.0
TIP = 8.2  # height of a bracket's ends
FIGURES, FIGURES_ROOM = 960.0, 116.0
NAME_TYPE, INSTRUMENT_TYPE, SHORT_TYPE = 15.5, 15.0, 14.0
NAME_LINE, SHORT_LINE = 18.0, 16.0
STAFF = 4 * SPACE
HAIRPIN = 16.0
SEAM = 1.0  # lines run so far into the next strip, lest a gap shows
HEADER = 40.0  # of the months and today's word
FAMILY = 22.0  # of a family's name above its first staff
FAMILY_TYPE = 14.0
EDGE = 8.0  # how far words may stand out beyond the staves


@dataclass(frozen=True)
class Words:
    """Words at a place: the baseline's y, and x where they begin (or end, by the class)."""

    x: float
    y: float
    text: str


@dataclass(frozen=True)
class Sign:
    """A fermata or caesura above the staff with its word."""

    symbol: str
    x: float
    y: float
    text: Words
    ends: bool
    title: str
    url: str
    past: bool
    lead: tuple[float, float] | None
    left: float
    right: float

    @property
    def symbol_x(self):
        """The left edge of the symbol's square."""
        return round(self.x - lanes.SYMBOL / 2, 1)

    @property
    def symbol_y(self):
        """The top of the symbol's square."""
        return round(self.y - lanes.SYMBOL, 1)


@dataclass(frozen=True)
class Bracket:
    """A strip's part of what holds a family together; begins, ends: whether its ends are here."""

    top: float
    bottom: float
    begins: bool
    ends: bool
    name: Words | None

    x = BRACKET
    left = BRACKET - 1.8

    @property
    def tip(self):
        """The top of its upper end."""
        return round(self.top - TIP, 1)


@dataclass(frozen=True)
class StaffRow:
    """One student's strip. staff: y of the top line."""

    player: Player
    height: float
    staff: float
    bracket: Bracket
    instrument: Words
    names: tuple[Words, ...]
    figure: Words
    shorts: tuple[Words, ...]
    doubts: tuple[Words, ...]
    notes: tuple[Note, ...]
    rings: tuple[Ring, ...]
    signs: tuple[Sign, ...]
    gaps: tuple[tuple[float, float], ...]
    trips: tuple[tuple[float, float, str], ...]
    hairpin: Hairpin | None

    @property
    def bottom(self):
        """Where the staff ends."""
        return self.staff + STAFF

    @property
    def seam(self):
        """Where lines end that go on in the next strip."""
        return self.height + SEAM

    @property
    def hairpin_box(self):
        """The viewBox of the hairpin alone, for the list on a phone."""
        return f"{LEFT} {self.bottom + 4} {RIGHT - LEFT} {HAIRPIN + 2}"

    @property
    def trip_y(self):
        """The top of the bar of a trip, between the staff and the hairpin."""
        return round(self.bottom + 1.5, 1)

    @property
    def gap_y(self):
        """The top of what interrupts the staff."""
        return self.staff - 1


@dataclass(frozen=True)
class Score:
    """The whole drawing: the months on top, today through all, and the strips."""

    span: Span
    months: tuple[Month, ...]
    today: Words
    today_x: float
    rows: tuple[StaffRow, ...]

    left, right, breadth, width, header = LEFT, RIGHT, RIGHT - LEFT, WIDTH, HEADER

    @property
    def month_lines(self):
        """Where months begin, but for the first, which the drawing begins in."""
        return tuple(month.x for month in self.months[1:])


def draw(players, today, *, by_family=True):
    """Return the drawing of `players` (in their order); by_family: each under its name."""
    time = span(
        [audition.on for player in players for audition in player.auditions],
        [on for player in players for on in _heard(player)],
        today,
        LEFT,
        RIGHT,
    )
    x = time.x(today)
    strips = _Strips(time, x)
    families = groupby(players, lambda player: player.family if by_family else None)
    rows = [strips.family(name, list(members)) for name, members in families]
    return Score(time, time.months, _today(x), x, tuple(row for part in rows for row in part))


def _today(x):
    """The word beside the line of today."""
    room = width("today", SHORT_TYPE, "bold")
    return Words(x + 5 if x + 5 + room <= WIDTH else x - 5 - room, 34.0, "today")


def _heard(player):
    """The days before today that the drawing should reach back to."""
    yield from (due.on for due in player.dues if due.state == "overdue")
    if player.answer:
        yield from (on for on, _ in player.answer.history[:1])


@dataclass(frozen=True)
class _Strips:
    span: Span
    today_x: float

    def family(self, name, players):
        """Return the strips of one family; `name` may be None."""
        last = len(players) - 1
        return [
            self.row(player, name, begins=n == 0, ends=n == last)
            for n, player in enumerate(players)
        ]

    @staticmethod
    def bracket(staff, height, family, begins, ends):
        """Return the part of the family's bracket in a strip."""
        return Bracket(
            top=staff if begins else 0.0,
            bottom=staff + STAFF if ends else height + SEAM,
            begins=begins,
            ends=ends,
            name=Words(NAMES_END, FAMILY - 6, family) if family and begins else None,
        )

    def row(self, player, family, begins, ends):
        """Return a strip, as high as its words need."""
        flags = lanes.place(self.flags(player), LEFT - EDGE, RIGHT + EDGE, self.today_x)
        top = FAMILY if family and begins else 0.0
        staff = top + 6 + lanes.LANE * max(lanes.lanes(flags), 0.4)
        names = wrap(player.name, NAMES_ROOM, NAME_TYPE, "bold", lines=3)
        shorts = wrap(player.short, FIGURES_ROOM, SHORT_TYPE, "bold")
        doubts = wrap(player.doubt, FIGURES_ROOM, SHORT_TYPE, "bold", lines=3)
        below = staff + 34 + SHORT_LINE * len(shorts)
        needs = (
            staff + STAFF + 5 + HAIRPIN,
            staff + 21 + NAME_LINE * (len(names) - 1) + 5,
            below + SHORT_LINE * (len(doubts) - 1) + 5,
        )
        height = round(max(needs) + 8, 1)
        middle = staff + STAFF + 5 + HAIRPIN / 2
        marks = notes(player, self.span, staff)
        instrument = shorten(player.instrument, NAMES_ROOM, INSTRUMENT_TYPE, "italic")
        return StaffRow(
            player=player,
            height=height,
            staff=staff,
            bracket=self.bracket(staff, height, family, begins, ends),
            instrument=Words(NAMES_END, staff + 3, instrument),
            names=_column(NAMES_END, staff + 21, NAME_LINE, names),
            figure=Words(FIGURES, staff + 15, player.figure),
            shorts=_column(FIGURES, staff + 34, SHORT_LINE, shorts),
            doubts=_column(FIGURES, below, SHORT_LINE, doubts),
            notes=marks,
            rings=rings(marks),
            signs=tuple(self.sign(flag, staff) for flag in flags),
            gaps=tuple(self.gaps(player)),
            trips=tuple(self.trips(player)),
            hairpin=player.answer and hairpin(player.answer, self.span.x, middle, HAIRPIN),
        )

    def flags(self, player):
        """The auditions (those of a day together) and the days away, as flags to place."""
        auditions = [a for a in player.auditions if a.on in self.span]
        for on, same in groupby(auditions, lambda audition: audition.on):
            held = tuple(same)
            more = f" +{len(held) - 1}" if len(held) > 1 else ""
            yield lanes.Flag(held, self.span.x(on), f"{held[0].place}{more}")
        for away in player.away:
            if away.first in self.span:
                yield lanes.Flag((away,), self.span.x(away.first), "away")

    def sign(self, flag, staff):
        """Return a placed flag as it is drawn."""
        first, is_away = flag.key[0], not hasattr(flag.key[0], "place")
        base = staff - 4 - lanes.LANE * flag.lane
        lead = (base, staff) if flag.led and flag.lane else None
        return Sign(
            symbol="caesura" if is_away else "fermata",
            x=flag.x,
            y=base,
            text=Words(round(flag.text_x, 1), base - 1.5, flag.text),
            ends=flag.ends,
            title="\n".join(item.words for item in flag.key),
            url="" if is_away else first.url,
            past=not is_away and first.past,
            lead=lead,
            left=flag.left,
            right=flag.right,
        )

    def gaps(self, player):
        """Where the staff is interrupted, as (x, width)."""
        for away in player.away:
            start, breadth = self._days(away)
            if breadth > 0:
                yield start, breadth

    def trips(self, player):
        """Where a bar below the staff tells of a journey, as (x, width, words)."""
        for trip in player.trips:
            start, breadth = self._days(trip)
            if breadth > 0:
                yield start, breadth, trip.words

    def _days(self, stretch):
        """Where days from first to last begin, and how wide they are within the staves."""
        start = max(self.span.edge(stretch.first), LEFT)
        end = min(self.span.edge(stretch.last) + self.span.per_day, RIGHT)
        return start, round(end - start, 1)


def _column(x, y, step, lines):
    return tuple(Words(x, y + step * n, line) for n, line in enumerate(lines))
