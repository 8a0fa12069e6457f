"""The picture of one piece: what was heard, how ready it made the piece, and where that leads.

Only geometry: the engine's answer and a student's tempos in, coordinates out, the same for page
and paper. Noteheads are the checks, joined by the line so far; dashes with a band are the forecast
and its range. What a student heard alone has no points: it stands in a strip of clean tempos
below, under the same days.
"""

from studio.entries.forecast.frame import OVERRUN, USUAL, Heard, Size
from studio.entries.forecast.picture import Picture, picture

__all__ = ["OVERRUN", "USUAL", "Heard", "Picture", "Size", "picture"]
