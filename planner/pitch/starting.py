"""From which of the notes on which a scale fits it is written."""

from dataclasses import replace

from planner.pitch.clefs import clef, ledgers
from planner.pitch.forms import octaves_up
from planner.pitch.model import Instrument, Scale
from planner.pitch.notes import Pitch


def easiest(scale: Scale, instrument: Instrument) -> Scale:
    """Return the scale from the start that takes the fewest ledger lines; of two alike the lower.

    A scale is answered from its lowest start, which may be far from where one likes to read.
    """
    found = [_from(scale, start, instrument) for start in scale.starts] or [scale]
    return min(found, key=lambda one: ledgers(one.rising + one.falling, one.clef))


def _from(scale: Scale, start: Pitch, instrument: Instrument) -> Scale:
    up = start.octave - scale.starts[0].octave
    rising, falling = (
        tuple(octaves_up(note, up) for note in notes) for notes in (scale.rising, scale.falling)
    )
    return replace(scale, rising=rising, falling=falling, clef=clef(instrument, rising or falling))
