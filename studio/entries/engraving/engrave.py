"""MEI in, SVG out: verovio, loaded when first needed, one thread at a time.

A drawing is the same to the byte whenever the music is, and is kept: scales are nobody's secret.
"""

import re
from functools import cache, lru_cache
from threading import Lock

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
    "smuflTextFont": "none",
    "svgViewBox": True,
    "svgFormatRaw": True,
    "xmlIdSeed": 1,
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
def engraved(mei: str) -> str:
    """Return the music as an SVG of its own size, in points; ValueError if it cannot be read."""
    with _turn:
        toolkit = _toolkit()
        toolkit.setOptions({"xmlIdSeed": 1})
        if not toolkit.loadData(mei):
            raise ValueError("This music cannot be engraved.")
        svg = toolkit.renderToSVG(1)
    return _sized(svg)


def _sized(svg: str) -> str:
    width, height = (float(n) * _POINT for n in re.search(r'viewBox="0 0 (\d+) (\d+)"', svg).groups())
    return svg.replace("<svg ", f'<svg width="{width:g}pt" height="{height:g}pt" ', 1)
