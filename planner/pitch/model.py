"""What goes in and what comes out. Pitches are written ones unless their field says otherwise."""

from dataclasses import dataclass
from enum import StrEnum
from typing import Literal

from planner.pitch.notes import Pitch

Direction = Literal["up and down", "up", "down"]


class Clef(StrEnum):
    """A clef; treble 8 below sounds an octave lower than treble."""

    TREBLE = "treble"
    TREBLE_8 = "treble 8 below"
    ALTO = "alto"
    TENOR = "tenor"
    BASS = "bass"


@dataclass(frozen=True)
class Instrument:
    """An instrument of the studio, or one student's reach on it.

    semitones: it sounds so much higher than written (horn in F: -7). lowest, highest: written
    notes as "F#2". clefs: those it is written in, the usual one first; none: those of its name, or
    what its range suggests.
    """

    name: str
    lowest: str
    highest: str
    semitones: int = 0
    clefs: tuple[Clef, ...] = ()


@dataclass(frozen=True)
class Problem:
    """Scales that are asked on an instrument.

    scales: the demand, in the notation of planner.scales. at: whether its keys are written keys
    or concert keys. any_minor: the form to write where any will do. a4: hertz.
    """

    instrument: Instrument
    scales: str = ""
    at: Literal["written", "concert"] = "written"
    any_minor: Literal["natural minor", "harmonic minor", "melodic minor"] = "harmonic minor"
    a4: float = 440.0


@dataclass(frozen=True)
class Scale:
    """One scale, ready to be engraved.

    title: "A♭ major, two octaves". sounding: the concert key, "" where it is the written one.
    signature: sharps, flats negative. octaves: those written; None: the full range, or nothing
    fits. rising: with the top note. falling: from the note after it; with the direction "down"
    from the top note itself. starts: the notes on which as many octaves fit, the lowest of
    which is taken. pattern: "", "thirds" or "broken". fits: all that is asked is written; if
    not, `said` begins with why.
    """

    title: str
    tonic: str
    form: str
    sounding: str
    signature: int
    clef: Clef
    octaves: int | None
    direction: Direction
    pattern: str
    rising: tuple[Pitch, ...]
    falling: tuple[Pitch, ...]
    starts: tuple[Pitch, ...]
    fits: bool
    said: tuple[str, ...]


@dataclass(frozen=True)
class Sound:
    """A written note of the instrument and what sounds. hertz: in equal temperament."""

    written: Pitch
    sounds: Pitch
    number: int
    hertz: float


@dataclass(frozen=True)
class Answer:
    """What is played. said: what holds for all of it. in_words: how it is to be played, as the
    demand has it; show it beside the scales, for only known patterns are drawn.
    """

    said: str
    lowest: Sound
    highest: Sound
    scales: tuple[Scale, ...]
    in_words: str
