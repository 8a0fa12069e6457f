"""MEI in, SVG out: verovio, loaded when first needed, one thread at a time.

A drawing is the same to the byte whenever the music is, and is kept: scales are nobody's secret.
"""

from functools import cache, lru_cache
from threading import Lock

from studio.entries.engraving.flat import Drawing, flat

STAFF = 18  # points: how high a staff is, room for a hand that writes
WIDTH = 490  # points: the text on the narrower paper
_UNIT = 9  # pixels of verovio in half the distance between two lines
_POINT = STAFF / (8 * _UNIT)  # points in a pixel
_FINGERS = 16  # points left free above all notes
_OPTIONS = {
    "pageWidth": round(WIDTH / _POINT),
    "pageHeight": 60000,
    "adjustPageHeight": True,
    "pageMarginTop": round(_FINGERS / _POINT),
    "pageMarginBottom": 8,
    "pageMarginLeft": 0,
    "pageMarginRight": 0,
    "spacingSystem": 12,
    "breaks": "encoded",
    "header": "none",
    "footer": "none",
    "measureMinWidth": 1,
    "font": "Leland",  # as our own music font
    "smuflTextFont": "none",
    "svgViewBox": True,
    "svgFormatRaw": True,
}
_turn = Lock()


@cache
def _toolkit():
    import verovio  # takes memory that most processes never need

    verovio.enableLog(verovio.LOG_ERROR)
    toolkit = verovio.toolkit()
    toolkit.setOptions(_OPTIONS)
    return toolkit


@lru_cache(maxsize=256)
def engraved(mei: str) -> Drawing:
    """Return the music drawn; raise ValueError if it cannot be read."""
    return flat(svg(mei), _POINT)


def svg(mei: str) -> str:
    """Return the music as verovio draws it."""
    with _turn:
        toolkit = _toolkit()
        if not toolkit.loadData(mei):
            raise ValueError("This music cannot be engraved.")
        return toolkit.renderToSVG(1)
