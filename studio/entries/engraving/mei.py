"""A scale as a text in the open format of the Music Encoding Initiative (MEI 5).

Each group of notes under a beam is a measure without a barline, so that a line may break after it.
Every note that is not in the signature carries its sign, however often it comes, because no
barline says where a sign ends; the sign that takes one back stands once.
"""

from itertools import groupby
from xml.etree.ElementTree import Element, SubElement, tostring

from planner.pitch import Clef, Scale
from planner.pitch.articulation import PLAIN, Manners
from studio.entries.engraving.staff import Group, Stand, groups

NAMESPACE = "http://www.music-encoding.org/ns/mei"
LINE = 32  # notes in one line of music at most, for the page of engrave
EIGHTH, LAST = "8", "2"
_CLEFS = {
    Clef.TREBLE: {"shape": "G", "line": "2"},
    Clef.TREBLE_8: {"shape": "G", "line": "2", "dis": "8", "dis.place": "below"},
    Clef.ALTO: {"shape": "C", "line": "3"},
    Clef.TENOR: {"shape": "C", "line": "4"},
    Clef.BASS: {"shape": "F", "line": "4"},
}
_SIGNS = {-2: "ff", -1: "f", 0: "n", 1: "s", 2: "x"}
_SHARPS = "FCGDAEB"
_OCTAVES = {1: "8", 2: "15"}


def write(scale: Scale, clefs: tuple[Clef, ...] = (), manners: Manners = (PLAIN, PLAIN)) -> str:
    """Return the scale, which has notes, as MEI.

    clefs: those of the instrument, the usual one first. manners: how it is played up, and down.
    """
    beams = groups(scale, clefs)
    root = Element("mei", {"xmlns": NAMESPACE, "meiversion": "5.0"})
    _head(root, scale.title)
    score = _nested(root, "music", "body", "mdiv", "score")
    definition = SubElement(score, "scoreDef", {"mnum.visible": "false"})
    staff = _nested(definition, "staffGrp", "staffDef")
    staff.attrib |= {"n": "1", "lines": "5", "keysig": _signature(scale.signature)}
    staff.attrib |= {f"clef.{name}": value for name, value in _CLEFS[beams[0][0].clef].items()}
    section = SubElement(score, "section")
    layers = _measures(section, beams)
    notes = _notes(layers, beams, scale)
    _marks(section, notes, beams)
    _played(section, notes, len(scale.rising), manners)
    return '<?xml version="1.0" encoding="UTF-8"?>\n' + tostring(root, encoding="unicode")


def _nested(parent, *names):
    for name in names:
        parent = SubElement(parent, name)
    return parent


def _head(root, title):
    described = _nested(root, "meiHead", "fileDesc")
    _nested(described, "titleStmt", "title").text = title
    SubElement(described, "pubStmt")


def _signature(sharps: int) -> str:
    return f"{abs(sharps)}{'s' if sharps > 0 else 'f'}" if sharps else "0"


def _measures(section, beams: tuple[Group, ...]) -> list[Element]:
    """Add a measure for each beam, and a new line where one begins; return their layers."""
    starts = _lines([len(beam) for beam in beams])
    found = []
    for n, _ in enumerate(beams):
        if n in starts:
            SubElement(section, "sb")
        right = "end" if n == len(beams) - 1 else "invis"
        measure = SubElement(section, "measure", {"n": str(n + 1), "right": right})
        found.append(SubElement(SubElement(measure, "staff", {"n": "1"}), "layer", {"n": "1"}))
    return found


def _lines(sizes: list[int]) -> set[int]:
    """Return which beams begin a line: lines of even length, none longer than LINE if it can be."""
    total = sum(sizes)
    most = total / -(-total // LINE)
    starts, filled = set(), 0
    for n, size in enumerate(sizes[:-1]):
        if filled + size / 2 > most * (len(starts) + 1):
            starts.add(n)
        filled += size
    return starts


def _notes(layers: list[Element], beams: tuple[Group, ...], scale: Scale) -> list[Element]:
    """Write the notes into the measures' layers; return them in order."""
    found, signs, clef = [], _Signs(scale.signature), beams[0][0].clef
    for layer, beam in zip(layers, beams, strict=True):
        if beam[0].clef is not clef:
            clef = beam[0].clef
            SubElement(layer, "clef", _CLEFS[clef])
        last = layer is layers[-1]
        place = SubElement(layer, "beam") if len(beam) > 1 else layer
        for stand in beam:
            note = SubElement(place, "note", _pitch(stand) | signs.of(stand))
            note.attrib |= {"xml:id": f"n{len(found)}", "dur": LAST if last else EIGHTH}
            found.append(note)
    return found


def _pitch(stand: Stand) -> dict[str, str]:
    """Return the pitch as it is shown, and where it is in another octave, as it is."""
    pitch = stand.pitch
    shown = {"pname": pitch.step.lower(), "oct": str(pitch.octave - stand.octaves)}
    return shown | ({"oct.ges": str(pitch.octave)} if stand.octaves else {})


class _Signs:
    """Which accidental each note needs, one after the other."""

    def __init__(self, sharps: int):
        names = _SHARPS[:sharps] if sharps > 0 else _SHARPS[sharps:] if sharps else ""
        self.signature = dict.fromkeys(names, 1 if sharps > 0 else -1)
        self.heard: dict[tuple[str, int], int] = {}

    def of(self, stand: Stand) -> dict[str, str]:
        """Return the attributes that tell the note's accidental, shown or from the signature."""
        pitch = stand.pitch
        usual = self.signature.get(pitch.step, 0)
        place = pitch.step, pitch.octave
        before = self.heard.get(place, usual)
        self.heard[place] = pitch.alter
        if pitch.alter != usual or before != usual:
            return {"accid": _SIGNS[pitch.alter]}
        return {"accid.ges": _SIGNS[pitch.alter]} if pitch.alter else {}


def _marks(section, notes: list[Element], beams: tuple[Group, ...]) -> None:
    """Add the octave lines, each at the measure in which it begins."""
    first = 0
    measures = zip(section.findall("measure"), beams, strict=True)
    for octaves, run in groupby(measures, key=lambda each: each[1][0].octaves):
        held = list(run)
        last = first + sum(len(beam) for _, beam in held) - 1
        if octaves:
            line = {"dis": _OCTAVES[abs(octaves)], "dis.place": "above" if octaves > 0 else "below"}
            _span(held[0][0], "octave", notes[first], notes[last], line)
        first = last + 1


def _span(measure, name, first, last, more):
    ends = {"startid": f"#{first.get('xml:id')}", "endid": f"#{last.get('xml:id')}"}
    SubElement(measure, name, {"staff": "1", **ends, **more})


def _played(section, notes: list[Element], turn: int, manners: Manners) -> None:
    """Add slurs and dots to the way up, which has `turn` notes, and to the way down."""
    holders = {note: measure for measure in section.findall("measure") for note in measure.iter()}
    up, down = manners
    parts = [(up, notes[:turn]), (down, notes[turn:])]
    if up == down and 0 not in up.slurs:
        parts = [(up, notes[:-1])]
    for manner, way in parts:
        for note in way if manner.dots else ():
            note.set("artic", "stacc")
        for first, last in _slurs(manner.slurs, len(way)):
            _span(holders[way[first]], "slur", way[first], way[last], {})


def _slurs(sizes: tuple[int, ...], number: int):
    """Yield the first and the last note of each slur over so many notes."""
    start = turn = 0
    while sizes and start < number:
        size = sizes[turn % len(sizes)] or number
        last = min(start + size, number) - 1
        if last > start:
            yield start, last
        start, turn = start + size, turn + 1
