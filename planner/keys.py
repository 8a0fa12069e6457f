"""Keys: their tonics, their signatures, and how musicians write them.

A tonic is a letter with its accidental ("C", "F♯", "B♭"). The line of fifths does the reckoning:
C is 0, each fifth up adds a sharp to the signature, each fifth down a flat; a minor key has the
signature of the major key three fifths below its tonic.
"""

import re

_LETTERS = "FCGDAEB"
_SEMITONES = {"C": 0, "D": 2, "E": 4, "F": 5, "G": 7, "A": 9, "B": 11}
_ACCIDENTALS = {"": "", "b": "♭", "♭": "♭", "flat": "♭", "#": "♯", "♯": "♯", "sharp": "♯"}
_TONIC = re.compile(r"([A-Ga-g])[ -]?(♭|♯|b|#|flat|sharp)?", re.IGNORECASE)
MOST = 7  # sharps or flats in a signature
MAJOR, MINOR = "major", "minor"


def fifths(tonic: str) -> int:
    """Return how many fifths `tonic` lies above C (below: negative)."""
    return _LETTERS.index(tonic[0]) - 1 + 7 * (tonic.count("♯") - tonic.count("♭"))


def at_fifths(number: int) -> str:
    """Return the tonic so many fifths above C."""
    turns, letter = divmod(number + 1, 7)
    return _LETTERS[letter] + ("♯" * turns if turns > 0 else "♭" * -turns)


def signature(tonic: str, mode: str) -> int:
    """Return the sharps (flats: negative) of a key; `mode`: "major" or "minor"."""
    return fifths(tonic) - (3 if mode == MINOR else 0)


def tonics(mode: str, most: int = MOST) -> tuple[str, ...]:
    """Return the tonics of all keys with at most so many sharps or flats, from most flats on."""
    shift = 3 if mode == MINOR else 0
    return tuple(at_fifths(number + shift) for number in range(-most, most + 1))


def signed(tonic: str, mode: str) -> str:
    """Return the tonic of the key that sounds alike and has a signature: A♭ for G♯ major."""
    number, signs = fifths(tonic), signature(tonic, mode)
    # Twelve fifths up or down come to the same sound.
    turns = -((MOST - abs(signs)) // 12)
    return at_fifths(number - 12 * (turns if signs > 0 else -turns))


def pitch(tonic: str) -> int:
    """Return the semitones above C, 0 to 11: the same for keys that sound alike."""
    return (_SEMITONES[tonic[0]] + tonic.count("♯") - tonic.count("♭")) % 12


def read_tonic(text: str) -> str:
    """Return the tonic of "B flat", "Bb", "b♭" or "B-flat"; raise ValueError if it is none."""
    found = _TONIC.fullmatch(text.strip())
    if not found:
        raise ValueError(f"“{text.strip()}” is no key. Write it as in C, F sharp or B flat.")
    return found[1].upper() + _ACCIDENTALS[(found[2] or "").casefold()]


def written(tonic: str) -> str:
    """Return "B flat" for "B♭"."""
    return tonic.replace("♭", " flat").replace("♯", " sharp")
