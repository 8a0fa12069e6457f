"""Scales on the staff: what is written is what planner.pitch answers, read back by verovio too."""

import re
import threading

import pytest

from planner.pitch import Clef, Instrument, Problem, answer
from planner.pitch.articulation import PLAIN, Manner, articulation
from planner.pitch.clefs import clefs
from studio.entries.engraving import engrave
from studio.entries.engraving.engrave import engraved, svg
from studio.entries.engraving.flat import flat
from studio.entries.engraving.mei import LINE, write
from studio.entries.engraving.staff import ABOVE, BELOW, MOST, MOST_BELOW_BASS, groups
from tests.studio.engravings import drawn, lines, notes, pitches, signs, sounded, steps

HORN = Instrument("Horn", "F#2", "C6", -7)
TUBA = Instrument("Tuba", "D1", "F4")
PIANO = Instrument("Piano", "A0", "C8")
VIOLA = Instrument("Viola", "C3", "E6")
PICCOLO = Instrument("Piccolo", "D4", "C7", 12)
TENOR = Instrument("Tenor", "C3", "B4")
TROMBONE = Instrument("Trombone", "E2", "F5")
CELLO = Instrument("Cello", "C2", "A5")
EVERY_SORT = (
    "major: all; natural minor: all; harmonic minor: all; melodic minor: all; arpeggios; "
    "dominant sevenths: all; chromatic: full range; "
)
WIDE = [
    (HORN, EVERY_SORT + "octaves: 2"),
    (TUBA, EVERY_SORT + "octaves: 2; pattern: thirds"),
    (VIOLA, EVERY_SORT + "octaves: 3; pattern: broken"),
    (PICCOLO, EVERY_SORT + "full range"),
    (PIANO, EVERY_SORT + "full range"),
    (TENOR, EVERY_SORT + "octaves: 1; pattern: ascending only"),
    (TROMBONE, EVERY_SORT + "full range; pattern: only down"),
    (CELLO, EVERY_SORT + "octaves: 3"),
]


def scales(instrument, text):
    return [each for each in answer(Problem(instrument, text)).scales if each.rising + each.falling]


def one(instrument, text):
    return scales(instrument, text)[0]


def plain(instrument, text, **more):
    return write(one(instrument, text), clefs(instrument), **more)


@pytest.mark.parametrize("instrument, text", WIDE, ids=lambda value: getattr(value, "name", ""))
def test_the_text_and_its_sound_are_the_scale(instrument, text):
    found = scales(instrument, text)
    assert len(found) > 60
    for n, scale in enumerate(found):
        mei = write(scale, clefs(instrument))
        asked = scale.rising + scale.falling
        assert pitches(mei) == [(note.step, note.alter, note.octave) for note in asked]
        if n % 5 == 0:
            assert sounded(mei) == [note.midi for note in asked]


@pytest.mark.parametrize("instrument, text", WIDE, ids=lambda value: getattr(value, "name", ""))
def test_each_note_is_drawn_once_and_legibly(instrument, text):
    for scale in scales(instrument, text)[::5]:
        image = svg(write(scale, clefs(instrument)))
        rows = lines(image)
        assert drawn(image, "note") == sum(map(len, rows)) == len(scale.rising + scale.falling)
        for row in rows:
            apart = [after[0] - before[0] for before, after in zip(row, row[1:], strict=False)]
            assert min(apart, default=400) >= 300, "a notehead is 230 wide"
            assert len(row) <= LINE + 2


# Ledger lines and octave lines


def test_no_note_needs_more_ledger_lines_than_can_be_read():
    for instrument, text in WIDE:
        for scale in scales(instrument, text):
            for stand in (each for beam in groups(scale, clefs(instrument)) for each in beam):
                low = MOST_BELOW_BASS if stand.clef is Clef.BASS else MOST
                assert stand.lines[BELOW] <= low
                assert stand.lines[ABOVE] <= MOST


@pytest.mark.parametrize(
    "instrument, text, stands",
    [
        # horn: low notes in the bass clef; viola: high ones in treble; trombone: in tenor
        (HORN, "major: B flat; octaves: 3", {(Clef.BASS, 0), (Clef.TREBLE, 0)}),
        (HORN, "major: C; octaves: 2", {(Clef.TREBLE, 0)}),
        (VIOLA, "major: C; octaves: 3", {(Clef.ALTO, 0), (Clef.TREBLE, 0)}),
        (VIOLA, "major: C; octaves: 1", {(Clef.ALTO, 0)}),
        (TROMBONE, "major: F; full range", {(Clef.BASS, 0), (Clef.TENOR, 0)}),
        (CELLO, "major: C; full range", {(Clef.BASS, 0), (Clef.TREBLE, 0)}),
        (TUBA, "major: D; octaves: 2", {(Clef.BASS, 0)}),
        (PICCOLO, "major: C; full range", {(Clef.TREBLE, 0), (Clef.TREBLE, 1)}),
        (TENOR, "major: C; octaves: 1", {(Clef.TREBLE_8, 0)}),
        (
            PIANO,
            "major: C; full range",
            {(Clef.BASS, -1), (Clef.BASS, 0), (Clef.TREBLE, 0), (Clef.TREBLE, 2)},
        ),
    ],
)
def test_clefs_and_octave_lines(instrument, text, stands):
    beams = groups(one(instrument, text), clefs(instrument))
    assert {(each.clef, each.octaves) for beam in beams for each in beam} == stands


def test_an_octave_line_is_drawn_over_both_ways_of_the_top():
    image = svg(plain(PICCOLO, "major: C; full range"))
    assert image.count('class="octave') == 2  # one, drawn on two lines of music


# The notes on the lowest lines of the five staves (books of rudiments, from memory), as steps above
# C0: E4, E3, F3, D3, G2.
LOWEST = {
    Clef.TREBLE: 30,
    Clef.TREBLE_8: 23,
    Clef.ALTO: 24,
    Clef.TENOR: 22,
    Clef.BASS: 18,
}


@pytest.mark.parametrize("instrument, text", WIDE, ids=lambda value: getattr(value, "name", ""))
def test_noteheads_stand_on_their_lines(instrument, text):
    for scale in scales(instrument, text)[::7]:
        beams = groups(scale, clefs(instrument))
        stands = [stand for beam in beams for stand in beam]
        expected = [one.pitch.place - 7 * one.octaves - LOWEST[one.clef] for one in stands]
        assert steps(svg(write(scale, clefs(instrument)))) == expected


# Beams, lines, bars


def sizes(instrument, text):
    return [len(beam) for beam in groups(one(instrument, text))]


def test_scales_are_beamed_by_four_and_chords_by_their_notes():
    assert sizes(TUBA, "major: F; octaves: 2") == [4] * 7 + [1]
    assert sizes(TUBA, "minor arpeggios: F; octaves: 2") == [3] * 4 + [1]
    assert sizes(TUBA, "dominant sevenths: B flat; octaves: 2") == [4] * 4 + [1]


def test_a_pattern_is_beamed_anew_from_the_top():
    assert sizes(TUBA, "major: F; octaves: 1; pattern: thirds") == [4, 4, 4, 3, 4, 3, 1]
    assert sizes(TUBA, "major arpeggios: F; octaves: 1; pattern: broken") == [3, 3, 2, 2, 1]


@pytest.mark.parametrize("way, many", [("ascending only", 8), ("descending only", 8)])
def test_one_way_ends_with_a_long_note(way, many):
    mei = plain(TUBA, f"major: F; octaves: 1; pattern: {way}")
    assert [note.get("dur") for note in notes(mei)] == ["8"] * (many - 1) + ["2"]


def test_long_scales_take_lines_of_even_length():
    rows = lines(svg(plain(PIANO, "chromatic: full range")))
    lengths = [len(row) for row in rows]
    assert sum(lengths) == 175
    assert len(lengths) == 6
    assert max(lengths) - min(lengths[:-1]) <= 4


def test_there_is_no_barline_but_the_last_and_no_metre():
    image = svg(plain(HORN, "major: C; octaves: 2"))
    bars = re.findall(r'class="barLine"[^>]*>(.*?)</g>', image)
    assert sum(bool(bar) for bar in bars) == 1
    assert drawn(image, "meterSig") == 0
    assert drawn(image, "fing") == 0, "fingerings are the student's"


# Accidentals


def test_signs_stand_at_every_altered_note_and_are_taken_back_once():
    shown = signs(plain(TUBA, "melodic minor: A; octaves: 1"))
    assert shown == [""] * 5 + ["s", "s", ""] + ["n", "n"] + [""] * 5
    assert signs(plain(TUBA, "harmonic minor: G sharp; octaves: 1"))[6] == "x"
    assert signs(plain(TUBA, "harmonic minor: A flat; octaves: 1"))[6] == "n"


def test_a_chromatic_scale_takes_its_sharps_back_on_the_way_down():
    names = [note.tonic for note in sum(_ways(one(TUBA, "chromatic: 1 octave from C")), ())]
    shown = signs(plain(TUBA, "chromatic: 1 octave from C"))
    told = [f"{name}{sign}" for name, sign in zip(names, shown, strict=True)]
    assert " ".join(told[:13]) == "C C♯s D D♯s E F F♯s G G♯s A A♯s B C"
    assert " ".join(told[13:]) == "B B♭f An A♭f Gn G♭f Fn E E♭f Dn D♭f Cn"


def _ways(scale):
    return scale.rising, scale.falling


# Slurs and dots


def slurs(text, words):
    mei = plain(TUBA, text, manners=articulation(words))
    found = re.findall(r'<slur [^>]*startid="#n(\d+)" endid="#n(\d+)"', mei)
    return [(int(first), int(last)) for first, last in found]


def test_slurs_go_up_and_down_apart():
    octave = "major: F; octaves: 1"
    assert slurs(octave, "slurred") == [(0, 7), (8, 14)]
    assert slurs(octave, "slurred up, tongued down") == [(0, 7)]
    assert slurs(octave, "slurred in twos") == [(n, n + 1) for n in range(0, 14, 2)]
    assert slurs(octave, "two slurred, two tongued") == [(0, 1), (4, 5), (8, 9), (12, 13)]
    assert slurs(octave, "in one breath") == []


def test_slurs_are_drawn():
    mei = plain(TUBA, "major: F; octaves: 1", manners=(Manner((0,)), PLAIN))
    assert drawn(svg(mei), "slur") == 1


def test_dots_stand_at_the_notes_they_are_asked_for():
    mei = plain(TUBA, "major: F; octaves: 1", manners=articulation("staccato up, slurred down"))
    assert [bool(note.get("artic")) for note in notes(mei)] == [True] * 8 + [False] * 7


# Drawing


def test_what_a_title_says_is_text(monkeypatch):
    scale = one(TUBA, "major: F")
    object.__setattr__(scale, "title", "F <major> & “more”")
    assert "F &lt;major&gt; &amp; “more”" in write(scale)


def test_the_same_music_is_the_same_drawing():
    mei = plain(HORN, "harmonic minor: F sharp; octaves: 2")
    draw = engraved.__wrapped__
    first = draw(mei)
    assert draw(plain(TUBA, "major: C")) != first
    assert draw(mei) == first
    assert engraved(mei) is engraved(mei), "and drawn once"


def test_threads_draw_the_same():
    texts = [plain(HORN, f"major: {key}; octaves: 2") for key in "CDF"]
    alone = [engraved(mei) for mei in texts]
    found = {}

    def draw(n):
        found[n] = [engraved.__wrapped__(mei) for mei in texts[n:] + texts[:n]]

    threads = [threading.Thread(target=draw, args=(n,)) for n in range(3)]
    for thread in threads:
        thread.start()
    for thread in threads:
        thread.join()
    assert all(found[n] == alone[n:] + alone[:n] for n in range(3))


def test_what_is_no_music_is_refused():
    with pytest.raises(ValueError, match="cannot be engraved"):
        svg("<mei/>")


def test_a_drawing_is_a_few_black_paths_of_the_same_size():
    mei = plain(PICCOLO, "major: C; full range", manners=articulation("slurred in twos"))
    drawing = engraved(mei)
    assert drawing.width == engrave.WIDTH
    assert len(drawing.paths) < 12
    looks = {name for look, _ in drawing.paths for name, _ in look}
    assert looks <= {"stroke", "stroke-width", "stroke-dasharray", "stroke-linecap", "fill"} | {
        "stroke-linejoin"
    }
    values = {value for look, _ in drawing.paths for name, value in look if name == "stroke"}
    assert values == {"#000"}
    assert all(re.fullmatch(r"[MLCHVSclhvsz\d. -]*", path) for _, path in drawing.paths)


def test_every_notehead_keeps_its_place_in_the_drawing():
    """The outlines of all noteheads begin as far from where verovio puts them."""
    mei = plain(TUBA, "major: F; octaves: 1")
    heads = [place for row in lines(svg(mei)) for place in row][:-1]  # the last is a half note
    glyphs = next(path for look, path in engraved(mei).paths if not look)
    begun = [(float(x), float(y)) for x, y in re.findall(r"M([\d.]+) ([\d.]+)", glyphs)]
    margin = 10 * engrave._OPTIONS["pageMarginTop"]
    offsets = [
        {(round(x - to[0], 1), round(y - to[1] - margin, 1)) for x, y in begun} for to in heads
    ]
    common = set.intersection(*offsets)
    assert any(abs(x) < 50 and abs(y) < 50 for x, y in common), common


def test_another_kind_of_element_is_not_left_out_in_silence():
    with pytest.raises(ValueError, match="image"):
        flat(
            '<svg xmlns="http://www.w3.org/2000/svg" viewBox="0 0 1 1"><defs/>'
            '<svg viewBox="0 0 10 10"><image/></svg></svg>',
            1,
        )
