"""What `planner.repertoire` is asked and what it answers: see the dataclasses.

An audition has hearings (screening, live, final); a hearing asks a tree: slots, each for so many
pieces, inside groups (all of, N of, any of); constraints bind the pieces of a slot, a group or a
whole hearing together. Times of preparation are whole minutes, lengths of pieces whole seconds:
the engine reckons in integers.
"""

from dataclasses import dataclass
from enum import StrEnum

from planner.repertoire.rules import Rule


@dataclass(frozen=True)
class Piece:
    """A movement or section of a work: the unit that is prepared.

    prep: minutes still to prepare. instrument: "" for any. character: words for how it goes
    (lyrical, slow), each by itself. seconds, year, level: None where not known; a text that is
    not known is "". piano: "with piano", "without piano" or "not stated".
    """

    key: str
    name: str
    prep: int
    kind: str = ""
    instrument: str = ""
    composer: str = ""
    work: str = ""
    section: str = ""
    book: str = ""
    genre: str = ""
    period: str = ""
    year: int | None = None
    character: tuple[str, ...] = ()
    seconds: int | None = None
    piano: str = "not stated"
    language: str = ""
    edition: str = ""
    bars: str = ""
    level: int | None = None


@dataclass(frozen=True)
class Slot:
    """A leaf of the tree: `least` to `most` different pieces (most None: exactly `least`).

    kind: "" takes any. instrument: the player's; only pieces for it or for any instrument fit,
    unless a rule names another; "" takes any. piano: as of a piece; "not stated" takes any.
    inside: the key of its group; None: asked for in any case. judged: the teacher's recorded
    word by piece key, True for fits, stronger than every rule.
    """

    key: str
    name: str
    kind: str = ""
    least: int = 1
    most: int | None = None
    inside: str | None = None
    instrument: str = ""
    piano: str = "not stated"
    rules: tuple[Rule, ...] = ()
    judged: dict[str, bool] | None = None


@dataclass(frozen=True)
class Group:
    """A knot of the tree: of its children, `least` to `most` are to be played.

    least None: all of them. most None: no more than `least`. inside: as of a slot.
    """

    key: str
    name: str
    least: int | None = None
    most: int | None = None
    inside: str | None = None


class Binding(StrEnum):
    """How a constraint binds pieces together."""

    AT_LEAST = "at least"
    AT_MOST = "at most"
    COMPOSERS = "different composers"
    WORKS = "different works"
    CONTRASTING = "contrasting"
    LENGTH = "length"


@dataclass(frozen=True)
class Together:
    """A constraint on all pieces of `scope` (key of a slot or group; None: the whole hearing).

    AT_LEAST, AT_MOST: so many (`least`, `most`) of the pieces obey `rules`.
    COMPOSERS, WORKS: no two pieces of one composer, of one work (composer and work).
    CONTRASTING: no two pieces share a word of character.
    LENGTH: seconds in all, from `least` to `most`, either None.
    A piece of which the needed fact is not known (no composer, no character, no seconds, a rule
    that cannot be judged) cannot be used in the scope. A scope that the tree leaves unplayed is
    bound to nothing. Names and words are compared as rules compare
    them. Where one piece
    fills two slots (`reuse`) it counts, and lasts, once for AT_LEAST, AT_MOST and LENGTH; for
    COMPOSERS, WORKS and CONTRASTING it clashes with itself.
    """

    name: str
    binding: Binding
    scope: str | None = None
    least: int | None = None
    most: int | None = None
    rules: tuple[Rule, ...] = ()


@dataclass(frozen=True)
class Hearing:
    """One round: what is asked in it. reuse: one piece may fill two of its slots."""

    key: str
    name: str
    slots: tuple[Slot, ...]
    groups: tuple[Group, ...] = ()
    together: tuple[Together, ...] = ()
    reuse: bool = False


class Again(StrEnum):
    """Whether the pieces of an audition's first hearing are played again in its later ones."""

    MAY = "may"
    MUST = "must"
    MUST_NOT = "must not"


@dataclass(frozen=True)
class Audition:
    """One target. worth: what it is worth to the student, for the frontier. kept: False leaves
    it out of the plan. again: how its hearings hang together: MUST: every piece of the first
    hearing is played in the second too, where there is one; MUST_NOT: no piece in two hearings.
    """

    key: str
    name: str
    hearings: tuple[Hearing, ...]
    again: Again = Again.MAY
    worth: int = 1
    kept: bool = True


@dataclass(frozen=True)
class Problem:
    """The library of one student and their auditions.

    pinned: pieces (keys) that are prepared in any case. banned: never. preferred: of two plans
    of the same hours and as many pieces, the one with more of these. marginals, frontier:
    whether the hours that each audition adds, and the trade of hours against auditions, are
    wanted too. seconds: for the plan, and as much again for all that is wanted besides.
    """

    pieces: tuple[Piece, ...]
    auditions: tuple[Audition, ...]
    pinned: tuple[str, ...] = ()
    banned: tuple[str, ...] = ()
    preferred: tuple[str, ...] = ()
    marginals: bool = True
    frontier: bool = False
    seconds: float = 10.0


@dataclass(frozen=True)
class Placed:
    """What is played in one slot. lacking: how many pieces it is short of."""

    audition: str
    hearing: str
    slot: str
    pieces: tuple[str, ...]
    lacking: int = 0


@dataclass(frozen=True)
class Plan:
    """The least music. pieces: keys, in the problem's order, pins among them.

    placed: every slot that is played, in the problem's order. minutes: still to prepare in all.
    bound: no plan takes fewer minutes than this. proven: minutes equal bound, and no plan of as
    many minutes has fewer pieces. settled: among equals, the preferences were proven to be kept
    best. complete: nothing is lacking.
    """

    pieces: tuple[str, ...]
    placed: tuple[Placed, ...]
    minutes: int
    bound: int
    proven: bool
    settled: bool
    complete: bool


@dataclass(frozen=True)
class Added:
    """What one kept audition adds: minutes of the plan less the minutes without it.

    least, most: the range that is proven; equal when both optima are.
    """

    audition: str
    least: int
    most: int


@dataclass(frozen=True)
class Point:
    """A point of the frontier: no fewer minutes give auditions worth as much.

    auditions: keys, in the problem's order. proven: False where the time ran out.
    """

    minutes: int
    worth: int
    auditions: tuple[str, ...]
    proven: bool


@dataclass(frozen=True)
class Lack:
    """A slot with too few pieces that fit. fitting: how many do; wanted: how many it takes."""

    slot: str
    name: str
    fitting: int
    wanted: int


@dataclass(frozen=True)
class Candidate:
    """A piece of the library that does not fit a slot, or may: `reasons` in words."""

    piece: str
    may: bool
    reasons: tuple[str, ...]


@dataclass(frozen=True)
class WayOut:
    """The cheapest way out at one slot: `missing` more pieces of the kind that `asks` says.

    nearest: what is in the library and comes closest: first the pieces of which only a fact is
    not recorded, then those with the fewest reasons against them; at most five.
    """

    slot: str
    name: str
    missing: int
    asks: str
    nearest: tuple[Candidate, ...]


@dataclass(frozen=True)
class Impossible:
    """Why one audition cannot be covered.

    lacks: slots with too few pieces of their own. conflict: the names of the smallest set of
    slots and constraints that cannot be met together (empty when `lacks` says it all).
    ways_out: where pieces are missing, fewest in all. over: seconds by which a limit of length
    is missed even then.
    """

    audition: str
    hearing: str
    lacks: tuple[Lack, ...]
    conflict: tuple[str, ...]
    ways_out: tuple[WayOut, ...]
    over: int
    sentence: str


@dataclass(frozen=True)
class Unknown:
    """A fact that is not recorded: with it `piece` might fit the slots (keys) named."""

    piece: str
    fact: str
    slots: tuple[str, ...]


@dataclass(frozen=True)
class Answer:
    """The plan, and what there is to say about it.

    Where an audition cannot be covered, the plan covers as much of it as can be, and
    `impossible` says why. apart: minutes when each audition is planned by itself and all that
    comes out is prepared. greedy: minutes of the usual way, always taking the piece that covers
    most for its time, with what turns out to be superfluous taken away; both None where not
    everything can be covered. added: in the problem's order; () unless asked for. frontier: by
    rising minutes; () unless asked for. notes: what was assumed. sentence: the answer in words.
    """

    plan: Plan
    added: tuple[Added, ...]
    apart: int | None
    greedy: int | None
    impossible: tuple[Impossible, ...]
    frontier: tuple[Point, ...]
    unknown: tuple[Unknown, ...]
    notes: tuple[str, ...]
    sentence: str
