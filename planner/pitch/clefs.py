"""In which clef a scale is written: the one that takes the fewest ledger lines."""

from planner.pitch.model import Clef, Instrument
from planner.pitch.notes import Pitch, read_pitch

# Clefs that the range alone would not tell (common practice, no source).
_CLEFS = {
    "viola": (Clef.ALTO, Clef.TREBLE),
    "cello": (Clef.BASS, Clef.TENOR, Clef.TREBLE),
    "bassoon": (Clef.BASS, Clef.TENOR),
    "trombone": (Clef.BASS, Clef.TENOR),
    "bass trombone": (Clef.BASS,),
    "double bass": (Clef.BASS, Clef.TENOR, Clef.TREBLE),
    "tenor": (Clef.TREBLE_8,),
    "piano": (Clef.TREBLE, Clef.BASS),
    "organ": (Clef.TREBLE, Clef.BASS),
    "harp": (Clef.TREBLE, Clef.BASS),
}
_LOWEST_LINE = {  # its place on the staff: E4, E3, F3, D3, G2
    Clef.TREBLE: 30,
    Clef.TREBLE_8: 23,
    Clef.ALTO: 24,
    Clef.TENOR: 22,
    Clef.BASS: 18,
}


def clef(instrument: Instrument, notes: tuple[Pitch, ...]) -> Clef:
    """Return the clef for these notes; of two that serve alike, the first, more usual one."""
    return min(clefs(instrument), key=lambda one: ledgers(notes, one))


def clefs(instrument: Instrument) -> tuple[Clef, ...]:
    """Return the clefs of an instrument, the usual one first."""
    known = instrument.clefs or _by_name(instrument.name.strip().casefold())
    if known:
        return known
    ends = (read_pitch(instrument.lowest), read_pitch(instrument.highest))
    return (min((Clef.TREBLE, Clef.BASS), key=lambda one: ledgers(ends, one)),)


def _by_name(name: str) -> tuple[Clef, ...]:
    """Return the clefs of an instrument that is called so, or so and more: "tenor trombone"."""
    words = name.split()
    parts = (one for one in _CLEFS if one != "tenor" and one in words)
    return _CLEFS.get(name) or _CLEFS.get(next(parts, ""), ())


def ledgers(notes: tuple[Pitch, ...], one: Clef) -> int:
    """Return how many ledger lines the notes need in a clef, counted note by note."""
    return sum(sum(beyond(note, one)) for note in notes)


def beyond(note: Pitch, one: Clef) -> tuple[int, int]:
    """Return the ledger lines that one note needs below the staff, and above it."""
    low = _LOWEST_LINE[one]
    return max(low - note.place, 0) // 2, max(note.place - low - 8, 0) // 2
