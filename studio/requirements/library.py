"""Which pieces of the studio fit a requirement: by its rules, or by the teacher's word."""

from collections import defaultdict
from dataclasses import dataclass
from functools import cached_property

from planner.repertoire.fitting import Fit, fit
from studio.accounts.words import counted
from studio.requirements import bridge
from studio.requirements.models import Judgement, Piece


@dataclass(frozen=True)
class Candidate:
    """A piece beside one requirement: what the planner says of it, and the teacher."""

    piece: Piece
    fit: Fit
    judgement: Judgement | None

    @property
    def words(self):
        """What speaks against it, or is not recorded: "with piano; its year is not recorded"."""
        return "; ".join((*self.fit.against, *self.fit.unknown))


class Library:
    """The pieces of a studio, for players of one instrument. Nothing here queries."""

    def __init__(self, pieces, instrument):
        self.instrument = instrument
        self.pieces = list(pieces)

    @cached_property
    def _known(self):
        return {row.pk: bridge.piece(row, 0) for row in self.pieces}

    @cached_property
    def _near(self):
        """Pieces by kind, those for another instrument left out."""
        found = defaultdict(list)
        for row in self.pieces:
            if row.instrument is None or row.instrument.name == self.instrument:
                found[row.kind].append(row)
        return found

    def candidates(self, requirement, every=False):
        """Return a Candidate for each piece of its kind for the instrument, and each judged one.

        every: for each piece that there is. A rule about the instrument lets in others as well.
        """
        said = {row.piece_id: row for row in requirement.judgements.all()}
        slot = bridge.slot(requirement, self.instrument, bridge.judged(requirement))
        near = self._near[requirement.kind]
        if every or bridge.names_instrument(slot):
            near = self.pieces
        judged = [row for row in self.pieces if row.pk in said]
        rows = {row.pk: row for row in (*near, *judged)}
        return [
            Candidate(row, fit(self._known[pk], slot), said.get(pk)) for pk, row in rows.items()
        ]

    def told(self, requirement):
        """Return how many fit in words: "3 pieces fit, 2 may"; "" where none does."""
        verdicts = [each.fit.verdict for each in self.candidates(requirement)]
        fitting, may = verdicts.count(True), verdicts.count(None)
        if not fitting:
            return f"{counted(may, 'piece')} may fit" if may else ""
        return f"{counted(fitting, 'piece')} {'fits' if fitting == 1 else 'fit'}" + (
            f", {may} may" if may else ""
        )
