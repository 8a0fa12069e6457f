"""What goes into the practice question and what comes out. Minutes are whole minutes."""

from dataclasses import dataclass
from datetime import date
from typing import Literal

Kind = Literal["piece", "run-through"]


@dataclass(frozen=True)
class Piece:
    """One piece and the practice it still asks for.

    minutes: still needed, an estimate. begin: first day it may be practised, None for today.
    due: the day by which it has to be ready, itself a day of practice. hard: 0 to 3.
    last_played: before today's practice, None if never.
    """

    key: str
    name: str
    minutes: int
    due: date
    begin: date | None = None
    hard: int = 0
    last_played: date | None = None


@dataclass(frozen=True)
class Away:
    """Days without practice, both ends included."""

    first: date
    last: date
    name: str = "away"


@dataclass(frozen=True)
class Extra:
    """Minutes more (or, below 0, fewer) than usual on one day."""

    on: date
    minutes: int


@dataclass(frozen=True)
class Audition:
    """One audition: its day, the pieces (keys) of its programme, the minutes to play it all."""

    key: str
    name: str
    on: date
    pieces: tuple[str, ...]
    minutes: int


@dataclass(frozen=True)
class Row:
    """Minutes on one piece on one day of an earlier plan."""

    on: date
    piece: str
    minutes: int


@dataclass(frozen=True)
class Settings:
    """What the teacher can set. All defaults are common practice, no source.

    rest_days: for so many days in a row a piece that was begun may rest.
    shortest, longest: minutes of a stretch on one piece; longest is twice shortest or more.
    spare_days: a piece is spread so that it is done so many days before its date.
    run_shares: run-throughs as percent of a week's minutes, the last week before an audition
    first; there is one in the last week at least, and never more than one a day.
    light_days, light_share: on the audition's own day and so many before it, only this percent of
    the minutes are used.
    """

    rest_days: int = 2
    shortest: int = 10
    longest: int = 40
    spare_days: int = 3
    run_shares: tuple[int, ...] = (30, 20, 10)
    light_days: int = 2
    light_share: int = 50


@dataclass(frozen=True)
class Problem:
    """One student's practice. weekdays: minutes available, Monday first, seven of them."""

    today: date
    weekdays: tuple[int, ...]
    pieces: tuple[Piece, ...]
    away: tuple[Away, ...] = ()
    extra: tuple[Extra, ...] = ()
    auditions: tuple[Audition, ...] = ()
    settings: Settings = Settings()
    previous: tuple[Row, ...] = ()


@dataclass(frozen=True)
class Stretch:
    """Minutes at one go. key: a piece's, or for a run-through an audition's."""

    key: str
    name: str
    minutes: int
    kind: Kind
    why: str


@dataclass(frozen=True)
class Day:
    """One day's practice in order. available: minutes there are; light: kept light on purpose."""

    on: date
    available: int
    minutes: int
    light: bool
    stretches: tuple[Stretch, ...]


@dataclass(frozen=True)
class PieceLine:
    """What the plan does for a piece.

    minutes: planned. missing: those that do not fit. days: on which it is worked on.
    finished_on: None if minutes are missing or none were needed. slack: days from then to due.
    """

    key: str
    name: str
    minutes: int
    missing: int
    days: int
    finished_on: date | None
    slack: int | None
    sentence: str


@dataclass(frozen=True)
class Short:
    """Days that hold too little: what must be done inside them, and what they hold.

    pieces: keys of those that may not begin before `first` and are due by `last`.
    """

    first: date
    last: date
    pieces: tuple[str, ...]
    need: int
    available: int
    minutes: int
    sentence: str


@dataclass(frozen=True)
class Change:
    """One change that alone would do. amount: minutes a day, minutes saved, or days."""

    kind: Literal["more minutes", "one piece fewer", "later date"]
    piece: str | None
    amount: int
    sentence: str


@dataclass(frozen=True)
class Rest:
    """A begun piece that rests longer than it may: `days` days between two days of playing."""

    piece: str
    after: date
    until: date
    days: int


@dataclass(frozen=True)
class Answer:
    """The plan. feasible: every piece gets its minutes by its date.

    missing: minutes that no plan can place, the sum of `short` (that is the proof). days: those
    with practice. pieces: in the problem's order. changes: each checked.
    moved: what differs from the previous plan, a sentence each.
    """

    feasible: bool
    missing: int
    days: tuple[Day, ...]
    pieces: tuple[PieceLine, ...]
    short: tuple[Short, ...]
    changes: tuple[Change, ...]
    rests: tuple[Rest, ...]
    moved: tuple[str, ...]
    sentence: str
    notes: tuple[str, ...]
