"""Refuse a problem that cannot be answered, and say what to do about it."""

from planner.pitch.model import Instrument, Problem
from planner.pitch.notes import read_pitch

_MOST = 36  # semitones: three octaves, as the site's instruments have it
_A4 = (380, 500)  # hertz: wider than any pitch that orchestras, old or new, have tuned to


def check(problem: Problem) -> None:
    """Raise ValueError, with what to do, unless `problem` can be answered."""
    _check_instrument(problem.instrument)
    if not _A4[0] <= problem.a4 <= _A4[1]:
        raise ValueError(f"A4 at {problem.a4:g} Hz: write it in hertz, as in 440 or 442.")


def _check_instrument(instrument: Instrument) -> None:
    name = instrument.name.strip()
    if not name:
        raise ValueError("Name the instrument.")
    if abs(instrument.semitones) > _MOST:
        raise ValueError(f"{name}: give the transposition in semitones, {-_MOST} to {_MOST}.")
    if not (instrument.lowest.strip() and instrument.highest.strip()):
        raise ValueError(f"{name}: give the lowest and the highest written note, as F#2 and C6.")
    if read_pitch(instrument.lowest).midi >= read_pitch(instrument.highest).midi:
        raise ValueError(
            f"{name}: {instrument.lowest} is not below {instrument.highest}. Correct the range."
        )
