"""Scales of a demand on an instrument: keys, reach, patterns, clefs, and what is said."""

from dataclasses import replace

import pytest
from hypothesis import given
from hypothesis import strategies as st

from planner import keys
from planner.pitch import Clef, Instrument, Pitch, Problem, answer, example, read_pitch, written
from planner.pitch.clefs import clef, clefs, ledgers
from planner.scales import Sort

HORN = Instrument("Horn", "F#2", "C6", -7)
CLARINET = Instrument("Clarinet", "E3", "C7", -2)
TUBA = Instrument("Tuba", "D1", "F4")


def one(scales, instrument=TUBA, **more):
    """Return the only scale of a demand."""
    (found,) = answer(Problem(instrument, scales, **more)).scales
    return found


def line(notes):
    return " ".join(map(written, notes))


# ---- keys


def test_written_keys_are_left_and_concert_keys_transposed():
    assert one("major: C", HORN).title == "C major, one octave"
    concert = one("major: C", HORN, at="concert")
    assert (concert.tonic, concert.signature, concert.sounding) == ("G", 1, "C major")


def test_the_concert_key_is_named_where_it_is_another():
    assert one("harmonic minor: A", CLARINET).sounding == "G harmonic minor"
    assert one("major: Db", CLARINET).sounding == "B major", "nobody says C flat"
    assert one("melodic minor: Bb", CLARINET).sounding == "A♭ melodic minor"
    assert one("major: A", Instrument("Piccolo", "D4", "C7", 12)).sounding == ""


def test_concert_f_sharp_is_written_as_a_flat_for_the_clarinet():
    found = one("major: F#; octaves: 1", CLARINET, at="concert")
    assert (found.tonic, found.signature) == ("A♭", -4)
    assert line(found.rising) == "Ab3 Bb3 C4 Db4 Eb4 F4 G4 Ab4"
    assert found.said == (
        "Concert F♯ major: G♯ major would have eight sharps, so it is written as A♭ major.",
    )


def test_a_written_key_without_a_signature_is_respelled_too():
    found = one("minor: D flat; octaves: 1")
    assert found.tonic == "C♯"
    assert "D♭ minor would have eight flats, so it is written as C♯ minor." in found.said


def test_keys_that_sound_alike_are_written_once_with_the_fewest_signs():
    every = answer(Problem(TUBA, "major: all; octaves: 1")).scales
    assert len(every) == 12
    assert {scale.tonic for scale in every} >= {"D♭", "B", "G♭"}
    said = {scale.tonic: scale.said for scale in every}
    assert said["D♭"] == ("C♯ major sounds the same.",)
    assert said["D"] == ()


def test_of_keys_that_sound_alike_the_longer_one_counts():
    found = one("major: C#, D flat; octaves: 1; octaves: 2 in C#")
    assert (found.tonic, found.octaves) == ("D♭", 2)


def test_any_form_of_the_minor_is_the_one_that_is_chosen():
    assert one("minor: A; octaves: 1").form == "harmonic minor"
    chosen = one("minor: A; octaves: 1", any_minor="melodic minor")
    assert chosen.form == "melodic minor"
    assert chosen.said == ("Any form of the minor will do: this is the melodic minor.",)


def test_any_form_and_the_same_form_are_one_scale():
    assert one("minor: A; harmonic minor: A; octaves: 1").said == ()
    both = one("minor: D#, E flat; harmonic minor: E flat; octaves: 1")
    assert (both.tonic, both.said) == ("E♭", ("D♯ minor sounds the same.",))


def test_the_order_goes_round_the_circle():
    asked = "major: to 2; octaves: 1; order: circle of "
    fourths = [scale.tonic for scale in answer(Problem(TUBA, asked + "fourths")).scales]
    fifths = [scale.tonic for scale in answer(Problem(TUBA, asked + "fifths")).scales]
    assert fourths == ["C", "F", "B♭", "D", "G"]
    assert fifths == ["C", "G", "D", "B♭", "F"]
    both = answer(Problem(TUBA, "major: C, G; arpeggios; order: circle of fifths")).scales
    assert [scale.form for scale in both] == ["major"] * 2 + ["major arpeggio"] * 2


# ---- reach


def test_the_lowest_start_that_fits_is_taken_and_the_others_named():
    found = one("major: C; octaves: 2", HORN)
    assert line(found.rising) == "C3 D3 E3 F3 G3 A3 B3 C4 D4 E4 F4 G4 A4 B4 C5"
    assert line(found.falling) == "B4 A4 G4 F4 E4 D4 C4 B3 A3 G3 F3 E3 D3 C3"
    assert (line(found.starts), found.fits, found.said) == ("C3 C4", True, ())


def test_a_start_below_the_range_is_not_taken():
    assert line(one("major: F; octaves: 1", HORN).starts) == "F3 F4"
    assert line(one("major: F#; octaves: 1", HORN).starts) == "F#2 F#3 F#4"


def test_what_goes_too_high_is_said_and_as_much_as_fits_is_written():
    found = one("major: A; octaves: 3", Instrument("Oboe", "Bb3", "A6"))
    assert (found.octaves, found.fits, found.rising[-1]) == (2, False, Pitch("A", 0, 6))
    assert found.said == (
        "Three octaves of A major would go above A 6: from A 4 up to A 7. Two octaves are written.",
    )


def test_what_does_not_fit_at_all_is_left_empty():
    found = one("major arpeggios: A; octaves: 1", Instrument("Whistle", "Bb4", "G5"))
    assert (found.rising, found.falling, found.octaves, found.fits) == ((), (), None, False)
    assert found.title == "A major arpeggio"
    assert found.said == (
        "One octave of the A major arpeggio would go above G 5: from A 5 up to A 6. "
        "Nothing is written.",
    )


def test_octaves_of_one_key_and_octaves_not_stated():
    assert one("major: D; octaves: 1; octaves: 3 in D").octaves == 3
    found = one("major: D")
    assert (found.octaves, found.fits) == (1, True)
    assert found.said == ("How far is not stated: one octave is written.",)


def test_the_full_range_goes_from_the_lowest_to_the_highest_note_of_the_key():
    found = one("major: B flat; full range", Instrument("Fife", "C#4", "E5"))
    assert line(found.rising) == "D4 Eb4 F4 G4 A4 Bb4 C5 D5 Eb5"
    assert line(found.falling) == "D5 C5 Bb4 A4 G4 F4 Eb4 D4"
    assert (found.title, found.octaves, found.fits) == ("B♭ major, full range", None, True)


def test_the_melodic_minor_turns_on_notes_of_both_ways():
    """In A melodic minor G sharp rises and G falls: neither is a turning note."""
    found = one("melodic minor: A; full range", Instrument("Fife", "F4", "G#5"))
    assert line(found.rising) == "A4 B4 C5 D5 E5"
    assert line(one("melodic minor: A; octaves: 1").falling) == "G2 F2 E2 D2 C2 B1 A1"


def test_a_range_without_two_notes_of_a_chord_is_said():
    found = one("major arpeggios: C; full range", Instrument("Whistle", "C4", "D4"))
    assert (found.fits, found.rising) == (False, ())
    assert "fewer than two notes of the C major arpeggio" in found.said[0]


# ---- chromatic


def test_the_chromatic_scale_over_the_full_range_keeps_the_spelling_of_its_ends():
    found = one("chromatic: full range", Instrument("Whistle", "F#4", "Bb4"))
    assert line(found.rising) == "F#4 G4 G#4 A4 Bb4"
    assert line(found.falling) == "A4 Ab4 G4 F#4"
    assert (found.title, found.signature) == ("Chromatic scale from F♯, full range", 0)


def test_a_chromatic_scale_from_a_note():
    found = one("chromatic: 2 octaves from G")
    assert (found.rising[0], found.octaves, len(found.rising)) == (Pitch("G", 0, 1), 2, 25)
    clarinet = one("chromatic: 1 octave from F", CLARINET, at="concert")
    assert clarinet.rising[0] == Pitch("G", 0, 3)


def test_a_chromatic_scale_begins_on_a_note_that_can_be_read():
    """Concert C sharp is D sharp on the clarinet, whose major key has no signature."""
    found = one("chromatic: 1 octave from C sharp", CLARINET, at="concert")
    assert found.title == "Chromatic scale from E♭, one octave"


def test_octaves_of_the_chromatic_scale_come_before_the_full_range():
    assert one("chromatic: 1 octave; full range").octaves == 1


def test_a_chromatic_scale_begins_on_the_lowest_note_if_none_is_named():
    found = one("chromatic: two octaves", HORN)
    assert (found.rising[0], found.octaves, found.said) == (Pitch("F", 1, 2), 2, ())


@pytest.mark.parametrize("asked", ["chromatic; full range", "chromatic: full range"])
def test_the_full_range_of_a_demand_holds_for_the_chromatic_scale(asked):
    assert one(asked).rising[-1] == Pitch("F", 0, 4)


def test_how_far_the_chromatic_scale_goes_may_not_be_stated():
    assert one("chromatic").said == ("How far is not stated: one octave is written.",)
    assert one("chromatic; octaves: 2").octaves == 2


def test_words_about_the_chromatic_scale_that_are_not_understood_are_shown():
    found = one("chromatic: 1 octave, slurred in twos")
    assert found.said == ("It is asked in the words “1 octave, slurred in twos”.",)


# ---- arpeggios, patterns, directions


def test_the_arpeggio_and_the_dominant_seventh_of_a_key():
    assert line(one("minor arpeggios: C; octaves: 1").rising) == "C2 Eb2 G2 C3"
    found = one("dominant sevenths: B flat; octaves: 1")
    assert line(found.rising) == "F1 A1 C2 Eb2 F2"
    assert (found.title, found.signature) == ("Dominant seventh in B♭, one octave", -2)


def test_arpeggios_alone_take_no_dominant_seventh_for_a_scale():
    found = answer(Problem(TUBA, "major: G; dominant sevenths: C; arpeggios; octaves: 1")).scales
    assert [scale.form for scale in found] == ["major", "major arpeggio", "dominant seventh"]
    assert [scale.tonic for scale in found] == ["G", "G", "C"]


def test_thirds():
    found = one("major: C; octaves: 1; pattern: broken thirds")
    assert line(found.rising) == "C2 E2 D2 F2 E2 G2 F2 A2 G2 B2 A2 C3"
    assert line(found.falling) == "A2 B2 G2 A2 F2 G2 E2 F2 D2 E2 C2"
    assert (found.title, found.pattern) == ("C major, one octave, in thirds", "thirds")


def test_broken_arpeggios():
    found = one("major arpeggios: C; octaves: 1; pattern: broken, in triplets")
    assert line(found.rising) == "C2 E2 G2 E2 G2 C3"
    assert line(found.falling) == "G2 E2 G2 E2 C2"
    seventh = one("dominant sevenths: F; octaves: 1; pattern: broken")
    assert line(seventh.rising) == "C2 E2 G2 Bb2 E2 G2 Bb2 C3"


def test_what_is_too_short_for_a_pattern_is_played_as_it_is():
    two = one("major: C; full range; pattern: thirds", Instrument("Whistle", "C4", "D4"))
    assert (line(two.rising), line(two.falling)) == ("C4 D4", "C4")
    asked = "dominant sevenths: C; full range; pattern: broken"
    three = one(asked, Instrument("Whistle", "G4", "D5"))
    assert (line(three.rising), line(three.falling)) == ("G4 B4 D5", "B4 G4")


def test_patterns_are_drawn_only_where_they_belong():
    assert one("major: C; octaves: 1; pattern: broken").pattern == ""
    assert one("major arpeggios: C; octaves: 1; pattern: broken thirds").pattern == ""
    assert one("chromatic: 1 octave; pattern: thirds").pattern == ""


@pytest.mark.parametrize(
    "words, direction, rising, falling",
    [
        ("pattern: ascending only", "up", "C2 E2 G2 C3", ""),
        ("articulation: only down, slurred", "down", "", "C3 G2 E2 C2"),
        ("articulation: slurred up, tongued down", "up and down", "C2 E2 G2 C3", "G2 E2 C2"),
    ],
)
def test_one_way_only_if_the_demand_says_so(words, direction, rising, falling):
    found = one(f"major arpeggios: C; octaves: 1; {words}")
    assert found.direction == direction
    assert (line(found.rising), line(found.falling)) == (rising, falling)


# ---- clefs


def test_the_clef_takes_the_fewest_ledger_lines():
    cello = Instrument("Cello", "C2", "C6")
    low, high = one("major: C; octaves: 1", cello), one("major: C; octaves: 4", cello)
    assert (low.clef, high.clef) == (Clef.BASS, Clef.TENOR)
    notes = tuple(map(read_pitch, ("C5", "G5", "C6")))
    assert clef(cello, notes) is Clef.TREBLE


@pytest.mark.parametrize(
    "name, usual",
    [
        ("Trombone", Clef.BASS),
        ("Tenor trombone", Clef.BASS),
        ("Viola d'amore", Clef.ALTO),
        ("Tenor", Clef.TREBLE_8),
        ("Tenor saxophone", Clef.TREBLE),
    ],
)
def test_the_usual_clef_goes_by_the_name(name, usual):
    """All of these have a range that suggests the treble clef."""
    assert clefs(Instrument(name, "C4", "F5"))[0] is usual


def test_an_instruments_own_clefs_come_first():
    assert one("major: C", replace(TUBA, clefs=(Clef.TREBLE,))).clef is Clef.TREBLE


@pytest.mark.parametrize(
    "note, one, lines",
    [
        ("C4", Clef.TREBLE, 1),
        ("D4", Clef.TREBLE, 0),
        ("A5", Clef.TREBLE, 1),
        ("C4", Clef.BASS, 1),
        ("C4", Clef.ALTO, 0),
        ("E2", Clef.BASS, 1),
        ("C3", Clef.TREBLE_8, 1),
        ("B4", Clef.TENOR, 2),
    ],
)
def test_ledger_lines(note, one, lines):
    assert ledgers((read_pitch(note),), one) == lines


# ---- the whole answer


def test_the_example_of_the_horn():
    found = answer(example())
    assert found.said == (
        "Horn sounds a perfect fifth lower than written; the keys are asked in concert pitch and "
        "written transposed. 9 scales; 1 does not fit as asked."
    )
    assert found.in_words == "at 96 to the quarter, from memory"
    assert written(found.lowest.sounds) == "B1"
    assert [scale.title for scale in found.scales if not scale.fits] == ["F major, two octaves"]


def test_what_is_said_of_the_keys_and_of_none():
    assert answer(Problem(TUBA)).said == "Tuba sounds as written. No scales are asked."
    said = answer(Problem(HORN, "major: C; octaves: 1")).said
    assert said.endswith("the keys are written keys. 1 scale; all fit.")


def test_frequencies_follow_the_pitch_of_a():
    violin = Instrument("Violin", "A3", "A7")
    assert answer(Problem(violin, a4=442.0)).lowest.hertz == 221.0


@pytest.mark.parametrize(
    "change, message",
    [
        ({"lowest": ""}, "Horn: give the lowest and the highest written note"),
        ({"highest": " "}, "Horn: give the lowest and the highest written note"),
        ({"lowest": "H2"}, "no pitch"),
        ({"lowest": "C6"}, "C6 is not below C6"),
        ({"semitones": -37}, "in semitones, -36 to 36"),
        ({"name": " "}, "Name the instrument"),
    ],
)
def test_an_instrument_that_cannot_be_is_refused(change, message):
    with pytest.raises(ValueError, match=message):
        answer(Problem(replace(HORN, **change), "major: C"))


@pytest.mark.parametrize("a4", [0.0, 44.0, 4400.0])
def test_a_pitch_of_a_that_cannot_be_is_refused(a4):
    with pytest.raises(ValueError, match="in hertz, as in 440 or 442"):
        answer(Problem(HORN, a4=a4))


def test_a_demand_that_cannot_be_read_is_refused():
    with pytest.raises(ValueError, match="majr"):
        answer(Problem(HORN, "majr: C"))


SORTS = st.sampled_from([sort for sort in Sort if sort is not Sort.MINOR])


@given(
    sort=SORTS,
    key=st.integers(0, 14),
    octaves=st.integers(1, 4),
    full=st.booleans(),
    low=st.integers(0, 29),
    size=st.integers(1, 40),
    semitones=st.integers(-24, 24),
    at=st.sampled_from(["written", "concert"]),
)
def test_no_scale_leaves_the_range_and_every_longer_one_would(
    sort, key, octaves, full, low, size, semitones, at
):
    lowest, highest = (f"{'CDEFGAB'[place % 7]}{place // 7}" for place in (low, low + size))
    tonic = keys.tonics(sort.mode)[key]
    asked = f"{sort.value}: {keys.written(tonic)}; " + (
        "full range" if full else f"octaves: {octaves}"
    )
    scale = one(asked, Instrument("Any", lowest, highest, semitones), at=at)
    inside = range(read_pitch(lowest).midi, read_pitch(highest).midi + 1)
    played = scale.rising + scale.falling
    assert all(note.midi in inside for note in played)
    assert abs(scale.signature) <= 7
    if at == "concert":
        assert keys.pitch(scale.tonic) == (keys.pitch(tonic) - semitones) % 12
    if full:
        return
    root = (
        scale.tonic
        if sort is not Sort.DOMINANT_SEVENTHS
        else keys.at_fifths(keys.fifths(scale.tonic) + 1)
    )
    fitting = [
        number
        for number in range(1, octaves + 1)
        for start in inside
        if start % 12 == keys.pitch(root) and start + 12 * number in inside
    ]
    assert (scale.octaves or 0) == max(fitting, default=0)
    assert scale.fits == (scale.octaves == octaves)
    if scale.rising:
        assert scale.rising[-1].midi - scale.rising[0].midi == 12 * scale.octaves
        assert scale.falling[-1] == scale.rising[0]
