"""What a finished piece tells of the usual pace: its points, week by week, up to ready."""

from . import measures
from .model import Piece, Settings


def way(piece: Piece, settings: Settings) -> tuple[tuple[float, float], ...]:
    """Return (weeks since the first check, points) up to the first check at which it was ready.

    Empty where it never was. What came later is left out: a piece that is kept up gains nothing,
    and says nothing of the pace of one that is still learned.
    """
    found = measures.readings(piece, piece.checks, settings)
    for n, reading in enumerate(found, start=1):
        if _ready(reading, piece, settings):
            heard = found[:n]
            points = [measures.points(each, settings) for each in measures.evened(heard)]
            weeks = [(each.on - heard[0].on).days / 7 for each in heard]
            return tuple(zip(weeks, points, strict=True))
    return ()


def _ready(reading: measures.Reading, piece: Piece, settings: Settings) -> bool:
    if piece.from_memory and reading.memory is None:
        return False
    enough = measures.points(reading.shares, settings) >= settings.ready_at
    return enough and measures.held_back(reading.shares, settings) is None
