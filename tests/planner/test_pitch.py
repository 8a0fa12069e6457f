"""Spelled pitches, transposition and what makes a scale, as properties."""

import pytest
from hypothesis import given
from hypothesis import strategies as st

from planner import keys
from planner.pitch import (
    Interval,
    Pitch,
    read_pitch,
    sounding_key,
    spoken,
    to_sounding,
    to_written,
    written,
    written_key,
)
from planner.pitch.forms import chromatic, ladder
from planner.pitch.notes import STEPS
from planner.pitch.transposing import sounding
from planner.scales import Sort

PITCHES = st.builds(Pitch, st.sampled_from(STEPS), st.integers(-2, 2), st.integers(-1, 9))
SEMITONES = st.integers(-36, 36)
MODES = st.sampled_from([keys.MAJOR, keys.MINOR])
SEVEN = (Sort.MAJOR, Sort.NATURAL, Sort.HARMONIC, Sort.MELODIC)


@given(PITCHES)
def test_a_pitch_is_read_back_as_it_is_written_and_spoken(pitch):
    assert read_pitch(written(pitch)) == pitch
    assert read_pitch(spoken(pitch)) == pitch


@pytest.mark.parametrize(
    "text, pitch",
    [
        ("F#2", Pitch("F", 1, 2)),
        ("bb4", Pitch("B", -1, 4)),
        (" B♭4 ", Pitch("B", -1, 4)),
        ("Bbb4", Pitch("B", -2, 4)),
        ("F𝄪5", Pitch("F", 2, 5)),
        ("E♭♭4", Pitch("E", -2, 4)),
        ("D𝄫4", Pitch("D", -2, 4)),
        ("G♯♯3", Pitch("G", 2, 3)),
        ("f double-sharp 5", Pitch("F", 2, 5)),
        ("E-flat 3", Pitch("E", -1, 3)),
        ("C-1", Pitch("C", 0, -1)),
        ("A flat 0", Pitch("A", -1, 0)),
    ],
)
def test_pitches_are_read_as_musicians_write_them(text, pitch):
    assert read_pitch(text) == pitch


@pytest.mark.parametrize("text", ["", "H4", "F#", "F###2", "4", "C10", "B flat", "Cis4"])
def test_what_is_no_pitch_is_refused(text):
    with pytest.raises(ValueError, match="Write it as in F#2 or Bb4"):
        read_pitch(text)


@pytest.mark.parametrize("step", ["H", "", "c", "CD"])
def test_a_pitch_has_one_of_seven_letters(step):
    with pytest.raises(ValueError, match="is no step"):
        Pitch(step, 0, 4)


@given(PITCHES)
def test_number_and_name_agree(pitch):
    assert pitch.midi % 12 == keys.pitch(pitch.tonic)
    assert Pitch(pitch.step, pitch.alter, pitch.octave + 1).midi == pitch.midi + 12
    assert Pitch(pitch.step, pitch.alter + 1, pitch.octave).midi == pitch.midi + 1


@given(PITCHES, st.floats(400, 480))
def test_an_octave_doubles_the_frequency(pitch, a4):
    higher = Pitch(pitch.step, pitch.alter, pitch.octave + 1)
    assert higher.hertz(a4) == pytest.approx(2 * pitch.hertz(a4))


# ---- transposing


@given(PITCHES, SEMITONES)
def test_there_and_back_is_the_same_pitch(pitch, semitones):
    assert to_written(to_sounding(pitch, semitones), semitones) == pitch
    assert to_sounding(pitch, semitones).midi == pitch.midi + semitones


@given(PITCHES, SEMITONES, SEMITONES)
def test_intervals_add_up(pitch, first, second):
    one, other = sounding(first), sounding(second)
    assert (one + other).above(pitch) == other.above(one.above(pitch))
    assert (one + -one) == Interval(0, 0)


@given(SEMITONES)
def test_no_instrument_moves_a_note_by_a_strange_interval(semitones):
    """Every interval but the tritone is a major, minor or perfect one: five fifths at most."""
    assert abs(sounding(semitones).fifths) <= (6 if semitones % 12 == 6 else 5)
    assert sounding(-semitones) == -sounding(semitones)


@given(PITCHES, SEMITONES)
def test_a_note_is_spelled_as_far_round_the_fifths_as_its_key(pitch, semitones):
    moved = to_sounding(pitch, semitones)
    assert keys.fifths(moved.tonic) - keys.fifths(pitch.tonic) == sounding(semitones).fifths


@given(st.integers(-7, 7), MODES, SEMITONES)
def test_keys_there_and_back(signs, mode, semitones):
    tonic = keys.tonics(mode)[signs + 7]
    there = written_key(tonic, mode, semitones)
    assert abs(keys.signature(there, mode)) <= 7
    assert keys.pitch(there) == (keys.pitch(tonic) - semitones) % 12
    assert keys.pitch(sounding_key(there, mode, semitones)) == keys.pitch(tonic)
    exact = signs - sounding(semitones).fifths
    if abs(exact) <= 7:
        assert keys.signature(there, mode) == exact
        assert sounding_key(there, mode, semitones) == tonic


@given(st.integers(-40, 40), MODES)
def test_a_key_with_too_many_signs_has_one_that_sounds_alike(number, mode):
    tonic = keys.at_fifths(number)
    found = keys.signed(tonic, mode)
    assert keys.pitch(found) == keys.pitch(tonic)
    signs = keys.signature(tonic, mode)
    assert found == tonic if abs(signs) <= 7 else abs(keys.signature(found, mode)) <= 7


# ---- forms


@given(st.sampled_from(SEVEN), st.integers(0, 14), st.integers(0, 60), st.booleans())
def test_a_scale_has_each_letter_once_an_octave(sort, key, start, up):
    found = ladder(sort, keys.tonics(sort.mode)[key])
    notes = (found.rising if up else found.falling)[start : start + 8]
    assert sorted(note.step for note in notes[:7]) == sorted(STEPS)
    assert all(high.place - low.place == 1 for low, high in zip(notes, notes[1:], strict=False))
    assert notes[7].midi - notes[0].midi == 12


@pytest.mark.parametrize("sort", SEVEN)
@given(key=st.integers(0, 14))
def test_the_notes_are_those_of_the_signature_but_for_raised_ones(sort, key):
    tonic = keys.tonics(sort.mode)[key]
    signs = keys.signature(tonic, sort.mode)
    in_signature = {keys.at_fifths(number) for number in range(signs - 1, signs + 6)}
    found = ladder(sort, tonic)
    raised = {note.tonic for note in found.rising} - in_signature
    assert len(raised) == {Sort.HARMONIC: 1, Sort.MELODIC: 2}.get(sort, 0)
    if sort is not Sort.HARMONIC:
        assert {note.tonic for note in found.falling} == in_signature


def test_the_chromatic_scale_rises_with_sharps_and_falls_with_flats():
    found = chromatic("C")
    for notes, way in ((found.rising, 1), (found.falling, -1)):
        assert all(high.midi - low.midi == 1 for low, high in zip(notes, notes[1:], strict=False))
        assert {note.alter for note in notes} == {0, way}
