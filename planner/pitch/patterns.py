"""Patterns that a demand asks for in words: which are drawn, and which notes they make."""

import re

from planner.pitch.forms import Notes
from planner.pitch.model import Direction

_ONLY = r"\b(?:{0}) only\b|\bonly (?:{0})\b"
_UP = re.compile(_ONLY.format("up|rising|ascending"), re.IGNORECASE)
_DOWN = re.compile(_ONLY.format("down|falling|descending"), re.IGNORECASE)


def direction(words: str) -> Direction:
    """Return which way is asked; both, unless the words say "ascending only" or the like."""
    up, down = _UP.search(words), _DOWN.search(words)
    if bool(up) == bool(down):
        return "up and down"
    return "up" if up else "down"


def one_way(words: str) -> str:
    """Return the words without those that `direction` reads."""
    return _DOWN.sub("", _UP.sub("", words))


def pattern(words: str, chord: int | None) -> str:
    """Return "thirds" of a scale, "broken" of an arpeggio (`chord`: its notes), or ""."""
    if chord is None:
        return "thirds" if re.search(r"\bthirds\b", words, re.IGNORECASE) else ""
    return "broken" if re.search(r"\bbroken\b(?! thirds)", words, re.IGNORECASE) else ""


def turned(notes: Notes, name: str, chord: int | None) -> Notes:
    """Return the notes of one way in the pattern, between its first and last note.

    thirds: C E D F E G …; broken: C E G, E G C, … (common practice, no source).
    """
    if not name or len(notes) < 3:
        return notes
    if name == "thirds":
        return tuple(one for pair in zip(notes, notes[2:], strict=False) for one in pair)
    size = min(chord or 3, len(notes))
    return tuple(
        note for start in range(len(notes) - size + 1) for note in notes[start : start + size]
    )
