"""Of which notes each sort of scale and arpeggio is made."""

from dataclasses import dataclass

from planner import keys
from planner.pitch.notes import FIFTH, OCTAVE, STEPS, Interval, Pitch
from planner.scales import Sort

Notes = tuple[Pitch, ...]
_OCTAVES = range(-2, 11)  # beyond the keyboard at both ends
_SEVEN = {
    Sort.MAJOR: (0, 2, 4, 5, 7, 9, 11),
    Sort.NATURAL: (0, 2, 3, 5, 7, 8, 10),
    Sort.HARMONIC: (0, 2, 3, 5, 7, 8, 11),
    Sort.MELODIC: (0, 2, 3, 5, 7, 9, 11),
}
# Sharps on the way up, flats on the way down (common practice, no source).
_SHARPS = ("C", "C♯", "D", "D♯", "E", "F", "F♯", "G", "G♯", "A", "A♯", "B")
_FLATS = ("C", "D♭", "D", "E♭", "E", "F", "G♭", "G", "A♭", "A", "B♭", "B")


@dataclass(frozen=True)
class Ladder:
    """All notes of a scale from below the keyboard to above it, upwards; `falling` if the way down
    has others. root: the name of the note it begins on. chord: so many notes make up its chord,
    None of a scale.
    """

    root: str
    rising: Notes
    falling: Notes
    chord: int | None = None


def ladder(sort: Sort, tonic: str) -> Ladder:
    """Return the notes of `sort` in the key of `tonic`; Sort.MINOR is not one form and has none."""
    if sort in _SEVEN:
        rising = _notes(tonic, _scale(_SEVEN[sort]))
        down = _notes(tonic, _scale(_SEVEN[Sort.NATURAL])) if sort is Sort.MELODIC else rising
        return Ladder(tonic, rising, down)
    if sort is Sort.DOMINANT_SEVENTHS:
        root = keys.at_fifths(keys.fifths(tonic) + FIFTH.fifths)
        notes = _notes(root, _chord((0, 4, 7, 10)))
    else:
        root = tonic
        notes = _notes(root, _chord((0, 4 if sort is Sort.MAJOR_ARPEGGIOS else 3, 7)))
    return Ladder(root, notes, notes, chord=4 if sort is Sort.DOMINANT_SEVENTHS else 3)


def chromatic(root: str) -> Ladder:
    """Return the chromatic scale; `root`: where it begins."""
    return Ladder(root, _named(_SHARPS), _named(_FLATS))


def _scale(semitones: tuple[int, ...]) -> list[Interval]:
    return [Interval(step, size) for step, size in enumerate(semitones)]


def _chord(semitones: tuple[int, ...]) -> list[Interval]:
    return [Interval(2 * third, size) for third, size in enumerate(semitones)]


def every(tonic: str) -> Notes:
    """Return the notes of this name in all octaves, upwards."""
    alter = tonic.count("♯") - tonic.count("♭")
    return tuple(Pitch(tonic[0], alter, octave) for octave in _OCTAVES)


def _notes(root: str, intervals: list[Interval]) -> Notes:
    return tuple(interval.above(start) for start in every(root) for interval in intervals)


def _named(names: tuple[str, ...]) -> Notes:
    found = (note for name in names for note in every(name))
    return tuple(sorted(found, key=lambda note: note.midi))


def octaves_up(note: Pitch, number: int) -> Pitch:
    """Return the note so many octaves higher."""
    return Pitch(note.step, note.alter, note.octave + number * OCTAVE.steps // len(STEPS))
