"""A demand for scales, as an institution makes it."""

from dataclasses import dataclass
from enum import StrEnum

from planner import keys


class Sort(StrEnum):
    """A sort of scale or arpeggio; MINOR is any one form, as the player likes.

    A dominant seventh is that of a key: in C it stands on G.
    """

    MAJOR = "major"
    MINOR = "minor"
    NATURAL = "natural minor"
    HARMONIC = "harmonic minor"
    MELODIC = "melodic minor"
    MAJOR_ARPEGGIOS = "major arpeggios"
    MINOR_ARPEGGIOS = "minor arpeggios"
    DOMINANT_SEVENTHS = "dominant sevenths"

    @property
    def mode(self) -> str:
        """Whether its keys are major or minor ones."""
        return keys.MAJOR if self in _OF_MAJOR else keys.MINOR


_OF_MAJOR = (Sort.MAJOR, Sort.MAJOR_ARPEGGIOS, Sort.DOMINANT_SEVENTHS)
FORMS = (Sort.NATURAL, Sort.HARMONIC, Sort.MELODIC)


@dataclass(frozen=True)
class Keys:
    """The keys that are asked in one sort.

    most: all with at most so many sharps or flats; 7: all there are. None: those of `tonics`, in
    the order of the line of fifths.
    """

    sort: Sort
    most: int | None = None
    tonics: tuple[str, ...] = ()

    @property
    def every(self) -> tuple[str, ...]:
        """The tonics, spelled out."""
        return self.tonics if self.most is None else keys.tonics(self.sort.mode, self.most)

    @property
    def pitches(self) -> frozenset[int]:
        """The tonics as semitones above C: keys that sound alike are one scale to play."""
        return frozenset(map(keys.pitch, self.every))


@dataclass(frozen=True)
class ScaleDemand:
    """What is asked of scales.

    octaves: in every key, None where not stated; octaves_in: (tonic, octaves) of the keys that
    differ. chromatic: "" if not asked, else how far ("full range", "2 octaves") or "asked".
    full_range: as far as the instrument goes. tempo: beats a minute, beat: what one beat is.
    memory: "yes", "no" or "not stated". chooser: "panel", "student" or "not stated". enough: with
    so many clean ones the player goes on, None where not stated.
    """

    keys: tuple[Keys, ...] = ()
    octaves: int | None = None
    octaves_in: tuple[tuple[str, int], ...] = ()
    chromatic: str = ""
    full_range: bool = False
    tempo: int | None = None
    beat: str = ""
    articulation: str = ""
    memory: str = "not stated"
    pattern: str = ""
    order: str = ""
    chooser: str = "not stated"
    enough: int | None = None

    def octaves_of(self, tonic: str) -> int | None:
        """Return the octaves that are asked in one key."""
        return dict(self.octaves_in).get(tonic, self.octaves)
