"""How the notes of a scale stand on the staff: under which beams, in which clef, and where an
octave line keeps them legible. All of it is common practice, no source.
"""

from collections.abc import Iterator
from dataclasses import dataclass, replace

from planner.pitch import Clef, Pitch, Scale
from planner.pitch.clefs import beyond

BEAM = 4  # eighths under one beam
CHORDS = {"major arpeggio": 3, "minor arpeggio": 3, "dominant seventh": 4}  # as many under one
MOST = 4  # ledger lines up to which a note stays where it is,
MOST_BELOW_BASS = 5  # which the lowest brass is used to
FEW = 2  # ledger lines up to which nothing helps, because nothing needs to
BELOW, ABOVE = 0, 1
# What helps notes too far below or above the staff where the instrument has no clef of its own.
_CLEFS = {
    (Clef.TREBLE, BELOW): Clef.BASS,
    (Clef.TREBLE_8, BELOW): Clef.BASS,
    (Clef.ALTO, BELOW): Clef.BASS,
    (Clef.ALTO, ABOVE): Clef.TREBLE,
    (Clef.TENOR, BELOW): Clef.BASS,
    (Clef.TENOR, ABOVE): Clef.TREBLE,
    (Clef.BASS, ABOVE): Clef.TREBLE,
}
_SIDES = (BELOW, ABOVE)


@dataclass(frozen=True)
class Stand:
    """One note as it is shown. octaves: so many lower than it is: 1 under an 8va line, -1 over an
    8vb line.
    """

    pitch: Pitch
    clef: Clef
    octaves: int = 0

    @property
    def lines(self) -> tuple[int, int]:
        """Its ledger lines below and above the staff."""
        return beyond(replace(self.pitch, octave=self.pitch.octave - self.octaves), self.clef)


Group = tuple[Stand, ...]


def groups(scale: Scale, usual: tuple[Clef, ...] = ()) -> tuple[Group, ...]:
    """Return the notes as they are beamed, up and down; the last group is the final note alone.

    usual: the clefs of the instrument, the usual one first.
    """
    beams = _beams(scale)
    first = scale.clef
    if usual and max(_lines(beam, first, side) for beam in beams for side in _SIDES) > FEW:
        first = usual[0]
    clefs = [first] * len(beams)
    for side in _SIDES:
        for run in _too_far(beams, clefs, side):
            better = _better(_notes(beams, run), first, side, usual)
            for n in run:
                clefs[n] = better
    octaves = [0] * len(beams)
    for side in _SIDES:
        for run in _too_far(beams, clefs, side):
            many = _octaves(_notes(beams, run), clefs[run[0]], side)
            for n in run:
                octaves[n] = many
    return tuple(
        tuple(Stand(pitch, clef, many) for pitch in beam)
        for beam, clef, many in zip(beams, clefs, octaves, strict=True)
    )


def _notes(beams: list, run: range) -> tuple[Pitch, ...]:
    return tuple(note for n in run for note in beams[n])


def _better(notes: tuple[Pitch, ...], clef: Clef, side: int, usual: tuple[Clef, ...]) -> Clef:
    """Return the clef for notes that are too far from the staff in `clef`."""
    most = {one: _lines(notes, one, side) for one in usual}
    best = min(most, key=most.get, default=clef)
    helps = best is not clef and most[best] < _lines(notes, clef, side)
    return best if helps else _CLEFS.get((clef, side), clef)


def _octaves(notes: tuple[Pitch, ...], clef: Clef, side: int) -> int:
    """Return by how many octaves notes are shown lower, as few as will do; negative: higher."""
    down = 1 if side == ABOVE else -1
    shown = tuple(Stand(note, clef, down).lines[side] for note in notes)
    return down if max(shown) <= MOST else 2 * down


def _beams(scale: Scale) -> list[tuple[Pitch, ...]]:
    """Return the pitches beam by beam, the last one alone.

    A pattern is beamed anew from the top, which it has only once.
    """
    size = CHORDS.get(scale.form, BEAM)
    *notes, last = *scale.rising, *scale.falling
    turn = min(len(scale.rising), len(notes)) if scale.pattern else 0
    first = turn + size - 1 if turn and scale.falling else turn
    parts = notes[:turn], notes[turn:first], notes[first:]
    return [*(beam for part in parts for beam in _chunks(part, size)), (last,)]


def _chunks(notes: list, size: int) -> Iterator[tuple]:
    for start in range(0, len(notes), size):
        yield tuple(notes[start : start + size])


def _lines(beam: tuple[Pitch, ...], clef: Clef, side: int) -> int:
    return max(beyond(pitch, clef)[side] for pitch in beam)


def _too_far(beams: list, clefs: list[Clef], side: int) -> Iterator[range]:
    """Yield the groups, those that follow each other together, that need help on one side of the
    staff: from where notes are far from it, if one of them is too far.
    """
    lines = [_lines(beam, clef, side) for beam, clef in zip(beams, clefs, strict=True)]
    for run in _runs([n for n, many in enumerate(lines) if many > FEW]):
        if any(lines[n] > _most(clefs[n], side) for n in run):
            yield run


def _most(clef: Clef, side: int) -> int:
    return MOST_BELOW_BASS if (clef, side) == (Clef.BASS, BELOW) else MOST


def _runs(numbers: list[int]) -> Iterator[range]:
    """Yield the numbers that follow each other; one that is missing in between is let in."""
    run: list[int] = []
    for n in numbers:
        if run and n > run[-1] + 2:
            yield range(run[0], run[-1] + 1)
            run = []
        run.append(n)
    if run:
        yield range(run[0], run[-1] + 1)
