"""Reads engraved scales back, without a line of what wrote them: MEI as text, and as verovio sounds
and draws it.
"""

import re
from xml.etree import ElementTree

import verovio

MEI = "{http://www.music-encoding.org/ns/mei}"
XML_ID = "{http://www.w3.org/XML/1998/namespace}id"
_ALTERS = {"ff": -2, "f": -1, "n": 0, "s": 1, "x": 2}


def notes(mei):
    """Return the note elements of a text in order."""
    return list(ElementTree.fromstring(mei).iter(f"{MEI}note"))


def pitches(mei):
    """Return (step, alter, octave) of each note as it sounds where no instrument transposes."""
    found = []
    for note in notes(mei):
        sign = note.get("accid", note.get("accid.ges", "n"))
        octave = note.get("oct.ges", note.get("oct"))
        found.append((note.get("pname").upper(), _ALTERS[sign], int(octave)))
    return found


def signs(mei):
    """Return the accidental that is shown before each note, "" for none."""
    return [note.get("accid", "") for note in notes(mei)]


def sounded(mei):
    """Return the MIDI number of each note as verovio plays the text."""
    toolkit = verovio.toolkit()
    toolkit.loadData(mei)
    toolkit.renderToMIDI()
    return [toolkit.getMIDIValuesForElement(note.get(XML_ID))["pitch"] for note in notes(mei)]


def drawn(svg, kind):
    """Return how often verovio drew a class of things."""
    return len(re.findall(rf'class="{kind}"', svg))


def lines(svg):
    """Return, for each line of music, where its noteheads stand: (x, y) from left to right."""
    systems = re.split(r'class="system"', svg)[1:]
    head = r'class="notehead"><use [^>]*translate\((\d+), (-?\d+)\)'
    return [[(int(x), int(y)) for x, y in re.findall(head, system)] for system in systems]


def steps(svg):
    """Return how many steps above the lowest line of its staff each notehead stands."""
    found = []
    for system, heads in zip(re.split(r'class="system"', svg)[1:], lines(svg), strict=True):
        staff = re.findall(r'd="M\d+ (\d+) L\d+ \1" stroke-width="13"', system)[:5]
        low, space = max(map(int, staff)), int(staff[1]) - int(staff[0])
        found += [(low - y) * 2 // space for _, y in heads]
    return found
