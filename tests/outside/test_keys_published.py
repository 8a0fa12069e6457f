"""Keys and their signatures against the table that every book of rudiments prints.

Source: the circle of fifths of 15 major and 15 minor keys, C♯ major seven sharps to C♭ major seven
flats, A♯ minor seven sharps to A♭ minor seven flats (music theory handbooks; from memory, and the
same as music21's KeySignature).
"""

import pytest

from planner import keys

MAJOR = ["C♭", "G♭", "D♭", "A♭", "E♭", "B♭", "F", "C", "G", "D", "A", "E", "B", "F♯", "C♯"]
MINOR = ["A♭", "E♭", "B♭", "F", "C", "G", "D", "A", "E", "B", "F♯", "C♯", "G♯", "D♯", "A♯"]


@pytest.mark.parametrize("mode, table", [("major", MAJOR), ("minor", MINOR)])
def test_the_thirty_signatures(mode, table):
    assert list(keys.tonics(mode)) == table
    assert [keys.signature(tonic, mode) for tonic in table] == list(range(-7, 8))


def test_keys_to_four_sharps_and_flats():
    assert list(keys.tonics("major", 4)) == MAJOR[3:12]


# MIDI note numbers (from memory): C 60, B♯ 60, C♭ 59; here without the octave.
@pytest.mark.parametrize(
    "tonic, pitch", [("C", 0), ("B♯", 0), ("C♭", 11), ("F♯", 6), ("G♭", 6), ("E♯", 5), ("A", 9)]
)
def test_keys_that_sound_alike(tonic, pitch):
    assert keys.pitch(tonic) == pitch


@pytest.mark.parametrize(
    "text, tonic",
    [("B flat", "B♭"), ("Bb", "B♭"), ("b♭", "B♭"), ("F-sharp", "F♯"), ("f#", "F♯"), (" C ", "C")],
)
def test_keys_are_read_as_musicians_write_them(text, tonic):
    assert keys.read_tonic(text) == tonic
    assert keys.read_tonic(keys.written(tonic)) == tonic


@pytest.mark.parametrize("text", ["H", "", "B flatt", "B double flat", "Cis"])
def test_what_is_no_key_is_refused(text):
    with pytest.raises(ValueError, match="no key"):
        keys.read_tonic(text)
