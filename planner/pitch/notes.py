"""Spelled pitches and intervals, and how pitches are read and written.

Middle C is C4 and number 60; A4 is number 69 (MIDI; 440 Hz by ISO 16).
"""

import re
from dataclasses import dataclass

from planner import keys

STEPS = "CDEFGAB"
_WORDS = {-2: " double flat", -1: " flat", 0: "", 1: " sharp", 2: " double sharp"}
_ALTERS = {
    **{word.strip(): alter for alter, word in _WORDS.items()},
    "bb": -2,
    "♭♭": -2,
    "𝄫": -2,
    "b": -1,
    "♭": -1,
    "##": 2,
    "♯♯": 2,
    "𝄪": 2,
    "x": 2,
    "#": 1,
    "♯": 1,
}
_PITCH = re.compile(
    r"([A-Ga-g])(?:[ -]?((?:double[ -])?(?:sharp|flat))|(##|bb|♯♯|♭♭|𝄪|𝄫|[#b♯♭x]))? ?(-?\d)",
    re.IGNORECASE,
)


@dataclass(frozen=True)
class Pitch:
    """A pitch as it is spelled. step: C to B; alter: sharps, flats negative; octave: 4 from
    middle C up. The octave is that of the letter: B♯3 sounds as C4.
    """

    step: str
    alter: int
    octave: int

    def __post_init__(self):
        if len(self.step) != 1 or self.step not in STEPS:
            raise ValueError(f"“{self.step}” is no step: write one of C, D, E, F, G, A and B")

    @property
    def tonic(self) -> str:
        """The key of this name, as planner.keys writes it: "B♭"."""
        return self.step + ("♯" * self.alter if self.alter > 0 else "♭" * -self.alter)

    @property
    def midi(self) -> int:
        """The number of the key on a keyboard, 60 for middle C."""
        return 12 * (self.octave + 1) + keys.pitch(self.step) + self.alter

    @property
    def place(self) -> int:
        """The place on the staff, counted in steps: 28 for middle C."""
        return 7 * self.octave + STEPS.index(self.step)

    def hertz(self, a4: float = 440.0) -> float:
        """Return the frequency in equal temperament, where A4 has `a4` Hz."""
        return a4 * 2 ** ((self.midi - 69) / 12)


@dataclass(frozen=True)
class Interval:
    """An interval: steps on the staff and semitones, both negative downwards. (-1, -2): a major
    second down.
    """

    steps: int
    semitones: int

    @property
    def fifths(self) -> int:
        """How many fifths the note at its end lies from the first, octaves aside."""
        return 7 * self.semitones - 12 * self.steps

    def __neg__(self) -> "Interval":
        return Interval(-self.steps, -self.semitones)

    def __add__(self, other: "Interval") -> "Interval":
        return Interval(self.steps + other.steps, self.semitones + other.semitones)

    def above(self, pitch: Pitch) -> Pitch:
        """Return the pitch this interval above `pitch`, spelled."""
        octave, step = divmod(pitch.place + self.steps, 7)
        natural = Pitch(STEPS[step], 0, octave)
        return Pitch(STEPS[step], pitch.midi + self.semitones - natural.midi, octave)


OCTAVE = Interval(7, 12)
FIFTH = Interval(4, 7)


def read_pitch(text: str) -> Pitch:
    """Return the pitch of "F#2", "B♭4", "B flat 4" or "Fx5"; raise ValueError if it is none."""
    found = _PITCH.fullmatch(text.strip())
    if not found:
        raise ValueError(f"“{text.strip()}” is no pitch. Write it as in F#2 or Bb4.")
    sign = (found[2] or found[3] or "").casefold().replace("-", " ")
    return Pitch(found[1].upper(), _ALTERS[sign], int(found[4]))


def written(pitch: Pitch) -> str:
    """Return "Bb4", as the site's instruments have it; `read_pitch` reads it back the same."""
    sign = "#" * pitch.alter if pitch.alter > 0 else "b" * -pitch.alter
    return f"{pitch.step}{sign}{pitch.octave}"


def spoken(pitch: Pitch) -> str:
    """Return "B flat 4"."""
    name = pitch.step + _WORDS[pitch.alter] if pitch.alter in _WORDS else keys.written(pitch.tonic)
    return f"{name} {pitch.octave}"
