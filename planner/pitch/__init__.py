"""Written and sounding pitch, scales and ranges on an instrument.

Read `model` for what goes in and comes out, then `solve`. `notes` holds spelled pitches and
intervals, `transposing` leads from written to sounding and back. `asking` reads which scales a
demand (planner.scales) wants, `forms` says of which notes they are made, `placing` where on the
instrument they lie, `starting` which of several starts reads easiest, `patterns` in what order they
are played, `articulation` how they are slurred, `clefs` how they are written.
"""

from planner.pitch.example import example
from planner.pitch.model import Answer, Clef, Instrument, Problem, Scale, Sound
from planner.pitch.notes import Interval, Pitch, read_pitch, spoken, written
from planner.pitch.solve import answer
from planner.pitch.transposing import sounding_key, to_sounding, to_written, written_key

QUESTION = "Which notes are these scales on this instrument, as written and as they sound?"

__all__ = [
    "QUESTION",
    "Answer",
    "Clef",
    "Instrument",
    "Interval",
    "Pitch",
    "Problem",
    "Scale",
    "Sound",
    "answer",
    "example",
    "read_pitch",
    "sounding_key",
    "spoken",
    "to_sounding",
    "to_written",
    "written",
    "written_key",
]
