"""A drawing of verovio as a few paths: the PDF engine neither follows an SVG inside an SVG, nor is
quick with thousands of elements. What comes out is black alone, without style, text or addresses.
"""

import re
from collections import defaultdict
from collections.abc import Iterator
from dataclasses import dataclass
from xml.etree.ElementTree import Element, fromstring

Move = tuple[float, float]
Look = tuple[tuple[str, str], ...]

_NUMBER = r"-?\d+(?:\.\d+)?"
_STEP = re.compile(rf"([A-Za-z])|({_NUMBER})")
_PLACED = re.compile(rf"translate\(({_NUMBER}), ({_NUMBER})\)(?: scale\(({_NUMBER}), \3\))?")
_SVG = "{http://www.w3.org/2000/svg}"
_HREF = "{http://www.w3.org/1999/xlink}href"
_STROKE = (("stroke", "#000"),)
_LOOKS = ("fill", "stroke-width", "stroke-dasharray", "stroke-linecap", "stroke-linejoin")


@dataclass(frozen=True)
class Drawing:
    """An engraving. width, height: points; view: its own system of coordinates, a viewBox.

    paths: how it looks, as (attribute, value), and the path, of each.
    """

    width: float
    height: float
    view: str
    paths: tuple[tuple[Look, str], ...]


def flat(svg: str, point: float) -> Drawing:
    """Return the drawing that an SVG shows. point: so many points are a pixel of verovio."""
    root = fromstring(svg)
    page = root.find(f"{_SVG}svg")
    width, height = root.get("viewBox").split()[2:]
    glyphs = {f"#{each.get('id')}": each[0].get("d") for each in root.find(f"{_SVG}defs")}
    found: dict[Look, list[str]] = defaultdict(list)
    for look, path in _paths(page, glyphs, (0, 0)):
        found[look].append(path)
    paths = tuple((look, "".join(each)) for look, each in found.items())
    return Drawing(int(width) * point, int(height) * point, page.get("viewBox"), paths)


def _paths(element: Element, glyphs: dict[str, str], moved: Move) -> Iterator[tuple[Look, str]]:
    """Yield how each path below an element looks, and the path. moved: by the elements above."""
    for each in element:
        kind = each.tag.removeprefix(_SVG)
        place = _PLACED.fullmatch(each.get("transform", "translate(0, 0)"))
        x, y = moved[0] + float(place[1]), moved[1] + float(place[2])
        if kind == "g":
            yield from _paths(each, glyphs, (x, y))
        elif kind == "use":
            yield (), _moved(glyphs[each.get(_HREF)], x, y, float(place[3]), -float(place[3]))
        elif kind == "path":
            yield _look(each), _moved(each.get("d"), x, y, 1, 1)
        elif kind in ("polygon", "polyline"):
            end = "z" if kind == "polygon" else ""
            yield _look(each), _moved(f"M{each.get('points')}", x, y, 1, 1) + end
        elif kind != "ellipse":  # which stands for what is not printed
            raise ValueError(f"“{kind}” is not known in a drawing of verovio.")


def _look(element: Element) -> Look:
    """Return its attributes of line and filling; a straight line has nothing to fill."""
    straight = {} if "C" in element.get("d", "C") else {"fill": "none"}
    kept = {name: value for name, value in element.attrib.items() if name in _LOOKS}
    return _STROKE + tuple(sorted((straight | kept).items()))


def _moved(path: str, x: float, y: float, across: float, down: float) -> str:
    """Return a path scaled and then moved; small letters are relative and are only scaled."""
    return "".join(
        f"{command}{_numbers(command, numbers, x, y, across, down)}"
        for command, numbers in _steps(path)
    )


def _steps(path: str) -> tuple[tuple[str, tuple[float, ...]], ...]:
    """Return the commands of a path with their numbers: "M1 2l3 4" as ("M", (1, 2)), …"""
    found: list[tuple[str, list[float]]] = []
    for letter, number in _STEP.findall(path):
        if letter:
            found.append((letter, []))
        else:
            found[-1][1].append(float(number))
    return tuple((letter, tuple(numbers)) for letter, numbers in found)


def _numbers(command, numbers, x, y, across, down) -> str:
    """Return the numbers of one command, moved; they go across and down in turns."""
    turns = {"h": (0,), "v": (1,)}.get(command.lower(), (0, 1))
    by, scale = ((x, y) if command.isupper() else (0, 0)), (across, down)
    moved = []
    for n, number in enumerate(numbers):
        axis = turns[n % len(turns)]
        moved.append(f"{round(number * scale[axis] + by[axis], 1):g}")
    return " ".join(moved)
