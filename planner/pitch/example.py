"""A worked problem: what an invented institution asks of a horn."""

from planner.pitch.model import Instrument, Problem


def example() -> Problem:
    """Return the problem: concert keys for the horn in F, one of them an octave too long."""
    return Problem(
        instrument=Instrument("Horn", "F#2", "C6", -7),
        scales="major: to 2; harmonic minor: G, F sharp; dominant sevenths: E flat; octaves: 2; "
        "octaves: 3 in B flat; chromatic: full range; tempo: 96 to the quarter; from memory",
        at="concert",
    )
