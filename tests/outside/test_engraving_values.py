"""What is engraved against published tables: signatures on the staff, the lines of the clefs.

Sources beside each; verovio, which draws, is another program than the one that spells.
"""

import re

import pytest

from planner import keys
from planner.pitch import Instrument, Problem, answer
from planner.pitch.clefs import clefs
from studio.entries.engraving.engrave import svg
from studio.entries.engraving.mei import write
from tests.studio.engravings import drawn, lines

TUBA = Instrument("Tuba", "D1", "F4")
SHARP, FLAT = "E262", "E260"  # SMuFL 1.4: accidentalSharp, accidentalFlat
# The circle of fifths of 15 major and 15 minor keys (books of rudiments, from memory; the same as
# music21's KeySignature): C♯ major seven sharps to C♭ major seven flats, A♯ and A♭ minor.
MAJOR = ["C♭", "G♭", "D♭", "A♭", "E♭", "B♭", "F", "C", "G", "D", "A", "E", "B", "F♯", "C♯"]
MINOR = ["A♭", "E♭", "B♭", "F", "C", "G", "D", "A", "E", "B", "F♯", "C♯", "G♯", "D♯", "A♯"]
TABLE = [
    (f"{sort}: {keys.written(tonic)}; octaves: 1", signs)
    for sort, row in (("major", MAJOR), ("natural minor", MINOR))
    for signs, tonic in enumerate(row, -7)
]


@pytest.mark.parametrize("text, signs", TABLE)
def test_the_thirty_signatures_on_the_staff(text, signs):
    (scale,) = answer(Problem(TUBA, text)).scales
    image = svg(write(scale))
    assert drawn(image, "keyAccid") == abs(signs)
    used = re.findall(r'class="keyAccid"><use xlink:href="#(E\d+)', image)
    assert set(used) <= {SHARP if signs > 0 else FLAT}
    assert drawn(image, "accid") <= 15
    assert not re.search(r'class="accid"><use', image), "a scale of the key needs no other sign"


# The note on the line that each clef names (books of rudiments, from memory): G4 on the second
# line of the treble staff, F3 on the fourth of the bass, C4 on the third and on the fourth.
@pytest.mark.parametrize(
    "instrument, note, line",
    [
        (Instrument("Flute", "C4", "C7"), "G", 2),
        (Instrument("Viola", "C3", "E6"), "C", 3),
        (Instrument("Cello", "C2", "A5"), "F", 4),
    ],
)
def test_the_line_of_a_clef(instrument, note, line):
    text = f"natural minor: {note}; octaves: 1"
    scale = next(each for each in answer(Problem(instrument, text)).scales if each.tonic == note)
    octave = {"G": 4, "C": 4, "F": 3}[note]
    up = octave - scale.rising[0].octave
    image = svg(write(scale, clefs(instrument)))
    staff = [int(y) for y in re.findall(r'<path d="M0 (\d+) L\d+ \1" stroke-width="13"', image)]
    bottom, space = max(staff[:5]), staff[1] - staff[0]
    heads = [y for row in lines(image) for _, y in row]
    assert heads[7 * up] == bottom - space * (line - 1)


# Steinberg's and W3C's SMuFL 1.4, "Accidentals for standard notation" (from memory): E263 is the
# double sharp, E261 the natural. G♯ harmonic minor has F𝄪, A♭ harmonic minor G♮ (music21, tonal).
@pytest.mark.parametrize("tonic, glyph", [("G sharp", "E263"), ("A flat", "E261")])
def test_the_sign_of_a_leading_note(tonic, glyph):
    (scale,) = answer(Problem(TUBA, f"harmonic minor: {tonic}; octaves: 1")).scales
    image = svg(write(scale))
    assert re.findall(r'class="accid"><use xlink:href="#(E\d+)', image) == [glyph] * 2
