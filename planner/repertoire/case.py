"""A problem made ready once, for the plan and for whatever is asked about it afterwards."""

from dataclasses import dataclass, field
from functools import cached_property

from planner.repertoire.fitting import fit
from planner.repertoire.model import Audition, Piece, Problem, Slot
from planner.repertoire.rows import Short
from planner.repertoire.signatures import Unit, unit, units
from planner.repertoire.validate import validate


@dataclass(frozen=True, eq=False)
class Case:
    """A problem, checked, with what fits where.

    pieces: those that are not banned, ordered by key, so that the order of the problem changes
    no plan; elsewhere a piece is its index here. fitting: by (audition, hearing, slot), the
    pieces that fit the slot by itself. units: of all auditions, ordered by audition. shorts: what
    is known of how far they fall short (cover.py).
    """

    problem: Problem
    pieces: tuple[Piece, ...]
    fitting: dict[tuple[str, str, str], frozenset[int]]
    units: tuple[Unit, ...]
    shorts: dict[Unit, Short] = field(default_factory=dict)

    @cached_property
    def kept(self) -> frozenset[str]:
        """The keys of the auditions that the problem keeps."""
        return frozenset(audition.key for audition in self.problem.auditions if audition.kept)

    @cached_property
    def auditions(self) -> dict[str, Audition]:
        """The auditions by key."""
        return {audition.key: audition for audition in self.problem.auditions}

    @cached_property
    def index(self) -> dict[str, int]:
        """The index in `pieces` by the key of the piece."""
        return {piece.key: p for p, piece in enumerate(self.pieces)}

    @cached_property
    def pinned(self) -> frozenset[int]:
        """The pieces that are prepared in any case."""
        return frozenset(self.index[key] for key in self.problem.pinned)

    @cached_property
    def slots(self) -> tuple[tuple[str, str, str], ...]:
        """Every (audition, hearing, slot) in the problem's order."""
        return tuple(
            (audition.key, hearing.key, slot.key)
            for audition in self.problem.auditions
            for hearing in audition.hearings
            for slot in hearing.slots
        )

    def of(self, kept: frozenset[str]) -> list[Unit]:
        """Return the units of the auditions `kept`."""
        return [unit for unit in self.units if unit.audition in kept]


def prepare(problem: Problem) -> Case:
    """Return the case of `problem`; raise ValueError as `validate` does."""
    validate(problem)
    banned = set(problem.banned)
    pieces = sorted((p for p in problem.pieces if p.key not in banned), key=lambda p: p.key)
    pieces = tuple(pieces)
    fits = _Fits(pieces)
    fitting, made = {}, []
    for audition in sorted(problem.auditions, key=lambda audition: audition.key):
        here = {
            (hearing.key, slot.key): fits.of(slot)
            for hearing in audition.hearings
            for slot in hearing.slots
        }
        fitting |= {(audition.key, *where): found for where, found in here.items()}
        for again, hearings in units(audition):
            made.append(unit(audition.key, again, hearings, pieces, here))
    return Case(problem, pieces, fitting, tuple(made))


class _Fits:
    """Which pieces fit a slot; slots that ask the same are tried once."""

    def __init__(self, pieces):
        self._pieces = pieces
        self._known = {}

    def of(self, slot: Slot) -> frozenset[int]:
        judged = frozenset((slot.judged or {}).items())
        asks = (slot.kind, slot.instrument, slot.piano, slot.rules, judged)
        if asks not in self._known:
            self._known[asks] = frozenset(
                p for p, piece in enumerate(self._pieces) if fit(piece, slot).verdict is True
            )
        return self._known[asks]
