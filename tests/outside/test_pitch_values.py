"""Pitch, transposition, spelling and clefs against published values.

music21 10.5.1 was asked once, outside this environment (it would bring a plotting library along):
the notes of every scale, arpeggio and dominant seventh in all keys, numbers and frequencies of 315
spelled pitches, the intervals of ten instruments and the lines of five clefs were the same.
"""

import csv
from pathlib import Path

import pytest

from planner import keys
from planner.pitch import (
    Clef,
    Instrument,
    Pitch,
    Problem,
    answer,
    read_pitch,
    sounding_key,
    to_sounding,
    to_written,
    written,
    written_key,
)
from planner.pitch.clefs import clefs
from planner.pitch.forms import ladder
from planner.pitch.transposing import named
from planner.scales import Sort


# Written and sounding notes of published tables: R studystack 697185,
# orchestralibrary.com/reftables/rang.html; the intervals also as MusicXML's <transpose> has them
# (w3c.github.io). The last three: from memory, the same as music21's.
@pytest.mark.parametrize(
    "semitones, note, sounds",
    [
        (-2, "F#5", "E5"),  # clarinet
        (-7, "Eb4", "Ab3"),  # horn
        (-9, "C5", "Eb4"),  # alto saxophone
        (-14, "C5", "Bb3"),  # tenor saxophone
        (-7, "G4", "C4"),  # English horn
        (12, "D5", "D6"),  # piccolo
        (3, "C5", "Eb5"),  # clarinet in E flat
        (-3, "C5", "A4"),  # clarinet in A
        (-21, "C5", "Eb3"),  # baritone saxophone
    ],
)
def test_written_to_sounding(semitones, note, sounds):
    assert written(to_sounding(read_pitch(note), semitones)) == sounds
    assert written(to_written(read_pitch(sounds), semitones)) == note


# The names of the intervals: handbooks of orchestration (from memory).
@pytest.mark.parametrize(
    "semitones, words",
    [
        (-2, "a major second lower than written"),
        (-7, "a perfect fifth lower than written"),
        (-9, "a major sixth lower than written"),
        (-14, "an octave and a major second lower than written"),
        (12, "an octave higher than written"),
        (3, "a minor third higher than written"),
        (-24, "two octaves lower than written"),
        (0, "as written"),
    ],
)
def test_intervals_of_instruments_are_named(semitones, words):
    assert named(semitones) == words


# ISO 16: A4 is 440 Hz. MIDI numbers (from memory): 60 is C4; the piano goes from 21 to 108.
@pytest.mark.parametrize(
    "note, number, hertz",
    [("A4", 69, 440.0), ("C4", 60, 261.626), ("A0", 21, 27.5), ("C8", 108, 4186.009)],
)
def test_numbers_and_frequencies(note, number, hertz):
    pitch = read_pitch(note)
    assert pitch.midi == number
    assert round(pitch.hertz(), 3) == hertz


@pytest.mark.parametrize("note, number", [("B#3", 60), ("Cb4", 59), ("Fx4", 67), ("Ebb4", 62)])
def test_the_octave_goes_with_the_letter(note, number):
    assert read_pitch(note).midi == number


def names(sort, tonic, way="rising"):
    found = ladder(sort, tonic)
    notes = getattr(found, way)
    start = next(place for place, note in enumerate(notes) if note.tonic == found.root)
    return " ".join(note.tonic for note in notes[start : start + (found.chord or 7)])


# Books of rudiments (from memory), the same as music21's and tonal's.
@pytest.mark.parametrize(
    "sort, tonic, notes",
    [
        (Sort.MAJOR, "F♯", "F♯ G♯ A♯ B C♯ D♯ E♯"),
        (Sort.MAJOR, "C♭", "C♭ D♭ E♭ F♭ G♭ A♭ B♭"),
        (Sort.NATURAL, "D", "D E F G A B♭ C"),
        (Sort.HARMONIC, "G♯", "G♯ A♯ B C♯ D♯ E F♯♯"),
        (Sort.HARMONIC, "A♭", "A♭ B♭ C♭ D♭ E♭ F♭ G"),
        (Sort.MELODIC, "C", "C D E♭ F G A B"),
        (Sort.MAJOR_ARPEGGIOS, "E", "E G♯ B"),
        (Sort.MINOR_ARPEGGIOS, "B♭", "B♭ D♭ F"),
        (Sort.DOMINANT_SEVENTHS, "C", "G B D F"),
        (Sort.DOMINANT_SEVENTHS, "B", "F♯ A♯ C♯ E"),
    ],
)
def test_spelling(sort, tonic, notes):
    assert names(sort, tonic) == notes


def test_the_melodic_minor_falls_as_the_natural_one():
    assert names(Sort.MELODIC, "C", "falling") == "C D E♭ F G A♭ B♭"


# The table of transposed keys (handbooks of band writing, from memory): concert B flat major.
@pytest.mark.parametrize("semitones, tonic", [(-2, "C"), (-7, "F"), (-9, "G"), (3, "G"), (0, "B♭")])
def test_concert_b_flat_is_written(semitones, tonic):
    assert written_key("B♭", keys.MAJOR, semitones) == tonic
    assert sounding_key(tonic, keys.MAJOR, semitones) == "B♭"


# Eight sharps and more are not written: their enharmonic key is (common practice, no source).
@pytest.mark.parametrize(
    "concert, mode, semitones, tonic",
    [
        ("F♯", "major", -2, "A♭"),
        ("B", "major", -9, "A♭"),
        ("C♯", "major", -2, "E♭"),
        ("G♭", "major", -2, "A♭"),
        ("C♭", "major", -2, "D♭"),
        ("D♯", "minor", -2, "F"),
        ("A♭", "minor", 3, "F"),
        ("C♭", "major", 3, "A♭"),
    ],
)
def test_no_key_has_more_than_seven_signs(concert, mode, semitones, tonic):
    assert written_key(concert, mode, semitones) == tonic


# Sounding ranges that follow from the written ones of orchestralibrary.com/reftables/rang.html
# (clarinet E3 to C7, English horn B3 to G6); the violin's open G string: 196 Hz (from memory).
@pytest.mark.parametrize(
    "instrument, lowest, highest, hertz",
    [
        (Instrument("Clarinet", "E3", "C7", -2), "D3", "Bb6", 146.832),
        (Instrument("English horn", "B3", "G6", -7), "E3", "C6", 164.814),
        (Instrument("Violin", "G3", "A7"), "G3", "A7", 195.998),
    ],
)
def test_sounding_ranges(instrument, lowest, highest, hertz):
    found = answer(Problem(instrument))
    assert (written(found.lowest.sounds), written(found.highest.sounds)) == (lowest, highest)
    assert (found.lowest.number, found.lowest.hertz) == (read_pitch(lowest).midi, hertz)


# Clefs of published parts (common practice, no source), for the instruments of the site's list.
FIRST = {
    Clef.BASS: "Bassoon, Contrabassoon, Trombone, Bass trombone, Euphonium, Tuba, Timpani, "
    "Baritone, Bass, Cello, Double bass",
    Clef.ALTO: "Viola",
    Clef.TREBLE_8: "Tenor",
}


def test_every_instrument_of_the_list_has_its_clef():
    (path,) = Path(__file__).parents[2].joinpath("studio").rglob("instruments.csv")
    with path.open(encoding="utf-8") as file:
        rows = [row for row in csv.DictReader(file) if row["lowest"]]
    assert len(rows) > 30
    usual = {name: clef for clef, names in FIRST.items() for name in names.split(", ")}
    for row in rows:
        one = Instrument(row["name"], row["lowest"], row["highest"], int(row["semitones"]))
        assert clefs(one)[0] == usual.get(row["name"], Clef.TREBLE), row["name"]


def test_the_hertz_of_another_tuning():
    """A4 at 415 Hz, a usual baroque pitch (from memory): the A below is half of that."""
    assert Pitch("A", 0, 3).hertz(415) == pytest.approx(207.5)
