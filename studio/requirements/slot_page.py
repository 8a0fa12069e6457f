"""The page of one requirement: its rules, and which pieces fit, may fit or do not, and why."""

from functools import cached_property

from studio.accounts.words import counted
from studio.requirements import bridge, wording
from studio.requirements.library import Library
from studio.requirements.notation import NOTATION_FIELDS, NOTATIONS, is_unread
from studio.requirements.tree import choice, tree, walk


class SlotPage:
    """A requirement of `queries.whole_requirements`. pieces: the studio's; every: show all."""

    def __init__(self, row, pieces, every=False):
        self.requirement, self.every = row, every
        self.set = row.requirement_set
        self.pieces = list(pieces)
        self.asks_for_pieces = row.is_music
        self.is_planned = bridge.is_planned(row)
        self.kind = "" if row.is_group else row.get_kind_display()
        self.rules = wording.rules(row)

    @property
    def unread(self):
        """The names of the fields whose text cannot be read by the program."""
        return [
            NOTATIONS[name].title
            for name in NOTATION_FIELDS
            if is_unread(name, getattr(self.requirement, name))
        ]

    @property
    def holds(self):
        """A group in words: "any one of: Solo, Excerpts"."""
        nodes = walk(tree(self.set.requirements.all()))
        return next(choice(node) for node in nodes if node.requirement.pk == self.requirement.pk)

    @cached_property
    def candidates(self):
        """Every piece that comes into question, beside the requirement."""
        if not self.asks_for_pieces:
            return []
        library = Library(self.pieces, self.set.instrument.name)
        return library.candidates(self.requirement, self.every)

    @property
    def judged(self):
        """Those that the teacher has judged."""
        return [each for each in self.candidates if each.judgement]

    def _by_verdict(self, verdict):
        rest = (each for each in self.candidates if not each.judgement)
        return [each for each in rest if each.fit.verdict is verdict]

    @property
    def fitting(self):
        """Those that fit by the rules."""
        return self._by_verdict(True)

    @property
    def may_fit(self):
        """Those of which a fact is not recorded."""
        return self._by_verdict(None)

    @property
    def not_fitting(self):
        """Those that do not, with what speaks against them."""
        return self._by_verdict(False)

    @property
    def left_out(self):
        """How many pieces are of another kind or for another instrument: "12 pieces"."""
        return counted(len(self.pieces) - len(self.candidates), "piece")
