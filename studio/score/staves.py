"""The drawing: where everything of the score stands, in units of a page 1080 wide.

Python decides every coordinate here and the template only prints them. A drawing is a stack of
systems, as on a conductor's page: each keeps its families together, repeats the months on top and
fits on a sheet of paper.
"""

from dataclasses import dataclass
from datetime import date
from itertools import groupby

from studio.entries.hairpin import Hairpin, hairpin
from studio.score import lanes
from studio.score.notes import SPACE, Note, notes
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
HEADER = 44.0  # the months and today's word above a system
FAMILY = 22.0  # a family's name above its first staff
FOOT = 6.0
ROWS_MOST = 14  # of a system
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
class StaffRow:
    """One student's staff. y, height: the whole row; staff: y of the top line."""

    player: object
    y: float
    height: float
    staff: float
    instrument: Words
    names: tuple[Words, ...]
    figure: Words
    shorts: tuple[Words, ...]
    notes: tuple[Note, ...]
    signs: tuple[Sign, ...]
    gaps: tuple[tuple[float, float], ...]
    hairpin: Hairpin | None

    @property
    def bottom(self):
        """Where the staff ends."""
        return self.staff + STAFF

    @property
    def hairpin_box(self):
        """The viewBox of the hairpin alone, for the list on a phone."""
        return f"{LEFT} {self.bottom + 4} {RIGHT - LEFT} {HAIRPIN + 2}"

    @property
    def gap_y(self):
        """The top of what interrupts the staff."""
        return self.staff - 1


@dataclass(frozen=True)
class Bracket:
    """What holds the staves of a family together; `name` may be None."""

    x: float
    top: float
    bottom: float
    name: Words | None

    @property
    def left(self):
        """The left edge of its ends."""
        return self.x - 1.8

    @property
    def tip(self):
        """The top of its upper end."""
        return round(self.top - TIP, 1)


@dataclass(frozen=True)
class System:
    """Some staves under one line of months. today: x and the words, or None."""

    height: float
    months: tuple[Month, ...]
    rows: tuple[StaffRow, ...]
    brackets: tuple[Bracket, ...]
    today: Words | None
    today_x: float | None

    width = WIDTH

    @property
    def foot(self):
        """Where lines from the top end."""
        return self.height - FOOT

    @property
    def label(self):
        """What part of the score it is, read aloud."""
        first, last = self.rows[0].player.name, self.rows[-1].player.name
        return first if first == last else f"{first} to {last}"


@dataclass(frozen=True)
class Score:
    """The whole drawing."""

    span: Span
    today_x: float
    systems: tuple[System, ...]

    left, right, breadth = LEFT, RIGHT, RIGHT - LEFT

    @property
    def rows(self):
        """All rows, from the top."""
        return tuple(row for system in self.systems for row in system.rows)


def draw(players, today, *, by_family=True):
    """Return the drawing of `players` (in their order); by_family: each under its name."""
    time = span(
        [audition.on for player in players for audition in player.auditions],
        [on for player in players for on in _heard(player)],
        today,
        LEFT,
        RIGHT,
    )
    draft = _Draft(time, today)
    return Score(
        time, time.x(today), tuple(draft.system(part) for part in _systems(players, by_family))
    )


def _heard(player):
    """The days before today that the drawing should reach back to."""
    yield from (due.on for due in player.dues if due.state == "overdue")
    if player.answer:
        yield from (on for on, _ in player.answer.history[:1])


def _systems(players, by_family):
    """Share the players out over systems: lists of (family or None, players)."""
    groups = groupby(players, lambda player: player.family if by_family else None)
    systems, room = [], 0
    for family, members in groups:
        for part in _parts(list(members)):
            if len(part) > room:
                systems.append([])
                room = ROWS_MOST
            systems[-1].append((family, part))
            room -= len(part)
    return systems


def _parts(members):
    """Cut a family too large for one system into even parts."""
    count = -(-len(members) // ROWS_MOST)
    size = -(-len(members) // count)
    return [members[start : start + size] for start in range(0, len(members), size)]


@dataclass(frozen=True)
class _Draft:
    span: Span
    today: date

    def system(self, families):
        y, rows, brackets = HEADER, [], []
        for family, players in families:
            name = None
            if family:
                name = Words(NAMES_END, y + FAMILY - 6, family)
                y += FAMILY
            first = len(rows)
            for player in players:
                rows.append(self.row(player, y))
                y += rows[-1].height
            brackets.append(Bracket(BRACKET, rows[first].staff, rows[-1].bottom, name))
        x, words = self.now()
        return System(y + FOOT, self.span.months, tuple(rows), tuple(brackets), words, x)

    def now(self):
        """Where the line of today stands, and its word beside it."""
        x, room = self.span.x(self.today), width("today", SHORT_TYPE)
        after = x + 5
        return x, Words(after if after + room <= WIDTH else x - 5 - room, 34.0, "today")

    def row(self, player, y):
        """Return the row that begins at `y`, as high as its words need."""
        flags = lanes.place(self.flags(player), LEFT - EDGE, RIGHT + EDGE)
        staff = y + 6 + lanes.LANE * max(lanes.lanes(flags), 0.4)
        names = wrap(player.name, NAMES_ROOM, NAME_TYPE, "bold", lines=3)
        shorts = wrap(player.short, FIGURES_ROOM, SHORT_TYPE, "bold")
        ends = (
            staff + STAFF + 5 + HAIRPIN,
            staff + 21 + NAME_LINE * (len(names) - 1) + 5,
            staff + 34 + SHORT_LINE * (len(shorts) - 1) + 5,
        )
        middle = staff + STAFF + 5 + HAIRPIN / 2
        instrument = shorten(player.instrument, NAMES_ROOM, INSTRUMENT_TYPE, "italic")
        return StaffRow(
            player=player,
            y=y,
            height=round(max(ends) + 8 - y, 1),
            staff=staff,
            instrument=Words(NAMES_END, staff + 3, instrument),
            names=_column(NAMES_END, staff + 21, NAME_LINE, names),
            figure=Words(FIGURES, staff + 15, player.figure),
            shorts=_column(FIGURES, staff + 34, SHORT_LINE, shorts),
            notes=notes(player, self.span, staff),
            signs=tuple(self.sign(flag, staff) for flag in flags),
            gaps=tuple(self.gaps(player)),
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
            start = max(self.span.edge(away.first), LEFT)
            end = min(self.span.edge(away.last) + self.span.per_day, RIGHT)
            if start < end:
                yield start, round(end - start, 1)


def _column(x, y, step, lines):
    return tuple(Words(x, y + step * n, line) for n, line in enumerate(lines))
