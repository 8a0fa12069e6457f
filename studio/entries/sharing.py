"""A student’s music against their auditions, drawn as a table: a notehead where a piece is played.

Ties join the auditions that share a piece. Only words and geometry: the caller says what is played
where, page, plan and handout draw the same with templates/entries/sharing.html. Nothing here
queries.
"""

from collections.abc import Hashable, Iterable, Mapping, Sequence
from dataclasses import dataclass
from enum import StrEnum
from itertools import pairwise

SPAN = 100  # a column is so many units wide in a cell's drawing, however wide it stands on the page
CLEAR = 13  # how far beside a notehead's middle its tie begins and ends, in the same units
TIE_TOP, TIE_OUTER, TIE_INNER = 6, 21, 18  # down from the middle of a cell, in pixels
APART = 9  # how far two noteheads of one audition stand from the middle, in pixels
# How wide columns can stand, by how many there are at most.
SIZES = ((5, "few"), (8, "some"), (11, "many"), (14, "most"))


class Mark(StrEnum):
    """What a plan does to a piece, or to its place in an audition."""

    KEPT = "kept"
    NEW = "new"
    DROPPED = "dropped"


@dataclass(frozen=True)
class Column:
    """An audition. key: what `played` calls it by. name: short; date: "6 Feb", "" while open.

    full: its name in full. detail: what tells it from another column of the same name.
    instrument: its name, where it is another than the student's. note: a word of warning, "left
    out of the plan". url: where it leads, "" for nowhere.
    """

    key: Hashable
    name: str
    date: str = ""
    full: str = ""
    detail: str = ""
    instrument: str = ""
    note: str = ""
    url: str = ""


@dataclass(frozen=True)
class Played:
    """A piece in one slot of an audition. round: "" live, else its name, as for a recording."""

    slot: str
    round: str = ""
    memory: bool = False
    mark: Mark = Mark.KEPT

    @property
    def words(self):
        """ "Solo, screening recording, from memory"."""
        said = (
            self.slot,
            self.round.lower(),
            "from memory" if self.memory else "",
            "" if self.mark is Mark.KEPT else self.mark.value,
        )
        return ", ".join(filter(None, said))


@dataclass(frozen=True)
class Head:
    """A sign in a cell: `sign` of templates/partials/symbols.html, x pixels beside the middle."""

    sign: str
    x: int = 0
    mark: Mark = Mark.KEPT


@dataclass(frozen=True)
class Tie:
    """A cell's slice of a tie; `path` in a box of SPAN units by 24, below the middle."""

    path: str
    mark: Mark = Mark.KEPT


@dataclass(frozen=True)
class Cell:
    """What stands where a row and an audition cross. words: the same for those who hear it."""

    words: str = ""
    heads: tuple[Head, ...] = ()
    ties: tuple[Tie, ...] = ()
    memory: bool = False


@dataclass(frozen=True)
class Row:
    """A piece. title, under: composer and minutes; hours: still to prepare, in words; about: how
    they are known, "" by the teacher's estimate. cells: one a column. A row that is `open` is no
    piece but a slot that nothing covers yet, under: why.
    """

    title: str
    cells: tuple[Cell, ...]
    under: str = ""
    hours: str = ""
    about: str = ""
    url: str = ""
    mark: Mark = Mark.KEPT
    open: bool = False


@dataclass(frozen=True)
class Band:
    """Rows under a heading: Solo, Studies, Excerpts."""

    title: str
    rows: tuple[Row, ...]


@dataclass(frozen=True)
class Foot:
    """A row of figures below the music. figures: words by column; total: in the column of hours."""

    title: str
    figures: tuple[str, ...]
    total: str = ""


@dataclass(frozen=True)
class Sharing:
    """The whole drawing. title: what it shows, for those who hear it."""

    title: str
    columns: tuple[Column, ...]
    bands: tuple[Band, ...]
    feet: tuple[Foot, ...] = ()

    @property
    def lines(self):
        """How many lines it has, headings among them."""
        return sum(1 + len(band.rows) for band in self.bands)

    @property
    def size(self):
        """How wide its columns can stand: "few", "some", "many", "most" or "all"."""
        return next((name for most, name in SIZES if len(self.columns) <= most), "all")


def piece_row(
    title: str,
    played: Mapping[Hashable, Sequence[Played]],
    columns: Sequence[Column],
    **words,
) -> Row:
    """Return the Row of a piece, tied from audition to audition; words: other fields of Row.

    played: by the key of its column, in any order. Places that are dropped are not tied.
    """
    places = [tuple(played.get(column.key, ())) for column in columns]
    ties = _ties(places)
    cells = tuple(_cell(place, ties[index]) for index, place in enumerate(places))
    return Row(title, cells, **words)


def open_row(
    title: str, lacking: Mapping[Hashable, str], columns: Sequence[Column], why: str
) -> Row:
    """Return the Row of a slot that nothing covers yet.

    lacking: what is to be said, by the key of each column that asks for it.
    """
    sign = (Head("notehead-whole"),)
    cells = (
        Cell(lacking[column.key], sign) if column.key in lacking else Cell() for column in columns
    )
    return Row(title, tuple(cells), under=why, open=True)


def bands(groups: Iterable[tuple[str, Iterable[Row]]]) -> tuple[Band, ...]:
    """Return Bands of (title, rows), those without rows left out."""
    made = (Band(title, tuple(rows)) for title, rows in groups)
    return tuple(band for band in made if band.rows)


def _cell(place, ties):
    recordings = [each for each in place if each.round]
    live = [each for each in place if not each.round]
    groups = [group for group in (recordings, live) if group]
    side = APART if len(groups) > 1 else 0
    heads = tuple(
        Head(
            "notehead-triangle" if group is recordings else "notehead",
            x,
            _mark(group),
        )
        for group, x in zip(groups, (-side, side), strict=False)
    )
    words = "; ".join(each.words for each in place)
    memory = any(each.memory and each.mark is not Mark.DROPPED for each in place)
    return Cell(words, heads, ties, memory)


def _mark(place):
    """The mark of a sign that stands for several slots: dropped only if all of them are."""
    marks = {each.mark for each in place}
    return next(mark for mark in (Mark.KEPT, Mark.NEW, Mark.DROPPED) if mark in marks)


def _ties(places):
    """Return each column's slices of the ties from one audition that keeps the piece to the next.

    A tie passes through the columns between that do without it.
    """
    slices = [[] for _ in places]
    marks = {index: _mark(place) for index, place in enumerate(places) if place}
    stays = [index for index, mark in marks.items() if mark is not Mark.DROPPED]
    for first, last in pairwise(stays):
        new = Mark.NEW in (marks[first], marks[last])
        for index in range(first, last + 1):
            path = _path(first - index, last - index)
            slices[index].append(Tie(path, Mark.NEW if new else Mark.KEPT))
    return [tuple(each) for each in slices]


def _path(first, last):
    """A tie from one column's notehead to another's, thin at its ends; both counted from a cell."""
    left, right = first * SPAN + SPAN // 2 + CLEAR, last * SPAN + SPAN // 2 - CLEAR
    middle = (left + right) // 2
    return (
        f"M{left} {TIE_TOP}Q{middle} {TIE_OUTER} {right} {TIE_TOP}"
        f"Q{middle} {TIE_INNER} {left} {TIE_TOP}Z"
    )
