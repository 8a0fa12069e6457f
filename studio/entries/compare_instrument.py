"""One requirement set across the students of one instrument: who plays what in each slot.

Read from students loaded by `compare_queries.entered`; nothing here queries.
"""

from collections import defaultdict
from dataclasses import dataclass
from functools import cached_property

from planner.deadlines.wording import listed
from planner.readiness.words import number
from studio.entries.bridge import Season, asked
from studio.entries.checklist import Progress, progress
from studio.entries.compare import takes_pieces
from studio.requirements import wording
from studio.requirements.models import Piece
from studio.requirements.tree import Node, tree, walk

NAMED = 2  # so many others are named, more are counted


@dataclass(frozen=True)
class Chosen:
    """A piece in a slot. progress: how far it is. shared: who else plays it here, in words."""

    piece: Piece
    progress: Progress
    shared: str


@dataclass(frozen=True)
class Cell:
    """What one player has in one slot. missing: what is still to choose, "" if nothing is."""

    player: "Player"
    chosen: tuple[Chosen, ...]
    missing: str


@dataclass(frozen=True)
class Slot:
    """A row: a requirement with its rules in words, and a Cell for each player."""

    node: Node
    rules: str
    cells: tuple[Cell, ...]


class Player:
    """One entry under the set. name: no two of them look the same."""

    def __init__(self, season, entry):
        self.season, self.entry, self.student = season, entry, season.student
        lines, self.given = asked(entry)
        self.lines = {line.requirement.pk: line for line in lines}

    @property
    def audition(self):
        """The audition's name."""
        return self.entry.audition.name

    @property
    def note(self):
        """What came of it, "" while it is still to be played."""
        return "" if self.entry.is_live else self.entry.get_result_display()

    @property
    def on(self):
        """The date of the audition, "" while it is open."""
        return f"{self.entry.on:%-d %b}" if self.entry.on else ""

    def pieces(self, requirement):
        """Return the pieces that are chosen for it."""
        return [each.piece for each in self.given.get(requirement.pk, ())]

    def progress(self, piece):
        """Return its Progress."""
        return progress(piece, self.season.piece_answers.get(piece.pk))

    def missing(self, node):
        """Return what is still to choose there."""
        return wording.missing(self.lines[node.requirement.pk]) if takes_pieces(node) else ""


class InstrumentComparison:
    """A requirement set and those entered under it.

    requirement_set: with its requirements. students: those entered under it, and all others of
    its instrument.
    """

    def __init__(self, requirement_set, students):
        self.set = requirement_set
        self.students = students
        self.nodes = tree(requirement_set.requirements.all())

    @cached_property
    def players(self):
        """A Player for each entry under the set, in the order of their names and dates."""
        found = []
        for student in self.students:
            season = Season(student)
            entries = (each for each in season.entries if each.requirement_set_id == self.set.pk)
            found += [Player(season, entry) for entry in entries]
        return sorted(found, key=lambda player: (not player.entry.is_live, player.student.name))

    @cached_property
    def others(self):
        """The students of the instrument who are not entered under it."""
        entered = {player.student.pk for player in self.players}
        return [
            student
            for student in self.students
            if student.pk not in entered and student.instrument_id == self.set.instrument_id
        ]

    @cached_property
    def slots(self):
        """A Slot for each requirement that music is chosen for, groups as their headings."""
        return [self._slot(node) for node in walk(self.nodes) if node.is_music]

    @property
    def beside(self):
        """The requirements that no music is chosen for."""
        return [
            node.requirement for node in walk(self.nodes) if not node.is_music and not node.is_group
        ]

    def _slot(self, node):
        cells = tuple(self._cell(node, player) for player in self.players)
        return Slot(node, ", ".join(wording.rules(node.requirement)), cells)

    def _cell(self, node, player):
        chosen = tuple(
            Chosen(piece, player.progress(piece), self._shared(piece, player))
            for piece in player.pieces(node.requirement)
        )
        return Cell(player, chosen, player.missing(node))

    def _shared(self, piece, player):
        others = self.playing[piece] - {player.student}
        names = sorted(student.called for student in others)
        if len(names) > NAMED:
            return f"also {number(len(names))} others"
        return f"also {listed(names)}" if names else ""

    @cached_property
    def playing(self):
        """The students who play a piece under this set, by piece."""
        found = defaultdict(set)
        for player in self.players:
            for pk in player.lines:
                for each in player.given.get(pk, ()):
                    found[each.piece].add(player.student)
        return found

    @property
    def headline(self):
        """ "Four players, nine pieces, three of them shared." """
        shared = sum(len(students) > 1 for students in self.playing.values())
        players = len({player.student for player in self.players})
        said = [_count(players, "player"), _count(len(self.playing), "piece")]
        if shared:
            every = shared == len(self.playing)
            said.append(f"{'all' if every else number(shared)} of them shared")
        words = ", ".join(said)
        return f"{words[0].upper()}{words[1:]}."

    @property
    def lacking(self):
        """How many slots nothing covers yet, in words; "" if all are covered."""
        count = sum(bool(cell.missing) for slot in self.slots for cell in slot.cells)
        if not count:
            return ""
        words = f"{_count(count, 'slot')} {'is' if count == 1 else 'are'} not covered yet."
        return f"{words[0].upper()}{words[1:]}"


def _count(count, thing):
    return f"{number(count)} {thing}{'' if count == 1 else 's'}"


def chosen_set(sets, wanted):
    """Return the set with the key `wanted` (text), else the one with the most entries, or None."""
    asked_for = (each for each in sets if str(each.pk) == wanted)
    return next(asked_for, max(sets, key=lambda each: each.entered, default=None))
