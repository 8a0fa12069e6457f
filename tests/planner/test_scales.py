"""Demands for scales: written, read back, spoken, and several of them together."""

import pytest
from hypothesis import given
from hypothesis import strategies as st

from planner import keys
from planner.clauses import Unclear
from planner.scales import Keys, ScaleDemand, Sort, read_scales, spoken_scales, union, write_scales

WORDS = st.from_regex(r"[a-z]{2,8}( [a-z]{2,8})?", fullmatch=True)


def asked_keys(sort):
    chosen = st.sets(st.sampled_from(keys.tonics(sort.mode)), min_size=1)
    return st.integers(0, 7).map(lambda most: Keys(sort, most)) | chosen.map(
        lambda some: Keys(sort, None, tuple(sorted(some, key=keys.fifths)))
    )


DEMANDS = st.builds(
    ScaleDemand,
    keys=st.tuples(*(st.none() | asked_keys(sort) for sort in Sort)).map(
        lambda some: tuple(filter(None, some))
    ),
    octaves=st.none() | st.integers(1, 8),
    octaves_in=st.dictionaries(st.sampled_from(keys.tonics("major")), st.integers(1, 8)).map(
        lambda some: tuple(sorted(some.items(), key=lambda pair: keys.fifths(pair[0])))
    ),
    chromatic=st.just("") | st.just("asked") | WORDS,
    full_range=st.booleans(),
    articulation=st.just("") | WORDS,
    memory=st.sampled_from(["yes", "no", "not stated"]),
    pattern=st.just("") | WORDS,
    order=st.just("") | WORDS,
    chooser=st.sampled_from(["panel", "student", "not stated"]),
    enough=st.none() | st.integers(1, 100),
) | st.builds(ScaleDemand, tempo=st.integers(1, 400), beat=st.just("") | WORDS)


@given(DEMANDS)
def test_what_is_written_is_read_back_the_same(demand):
    assert read_scales(write_scales(demand)) == demand


def test_a_demand_is_read_as_a_teacher_types_it():
    demand = read_scales(
        "Major: to 4; Harmonic minor: to three; octaves: 2; octaves: 3 in C, Db; "
        "chromatic: full range; tempo: 96 to the quarter; from memory; panel chooses"
    )
    assert demand.keys == (Keys(Sort.MAJOR, 4), Keys(Sort.HARMONIC, 3))
    assert (demand.octaves, demand.octaves_of("G"), demand.octaves_of("D♭")) == (2, 2, 3)
    assert (demand.tempo, demand.beat, demand.chromatic) == (96, "quarter", "full range")
    assert (demand.memory, demand.chooser) == ("yes", "panel")


def test_arpeggios_alone_are_those_of_the_scales_asked():
    demand = read_scales("arpeggios; major: to 2; melodic minor: A, E")
    assert demand.keys[-2:] == (
        Keys(Sort.MAJOR_ARPEGGIOS, 2),
        Keys(Sort.MINOR_ARPEGGIOS, None, ("A", "E")),
    )


@pytest.mark.parametrize(
    "asked, tonics",
    [
        ("natural minor: A; harmonic minor: E; arpeggios", ("A", "E")),
        ("natural minor: A, E; harmonic minor: E; arpeggios", ("A", "E")),
        ("natural minor: A; harmonic minor: A, E; arpeggios", ("A", "E")),
        ("minor arpeggios: D; minor: E; arpeggios", ("D", "E")),
    ],
)
def test_arpeggios_alone_lose_no_key(asked, tonics):
    (found,) = (one for one in read_scales(asked).keys if one.sort is Sort.MINOR_ARPEGGIOS)
    assert found.tonics == tonics


@pytest.mark.parametrize(
    "first", ["harmonic minor: E; minor: to 3", "minor: to 3; harmonic minor: E"]
)
def test_arpeggios_alone_keep_the_words_of_the_wider_demand(first):
    assert "minor arpeggios: to 3" in write_scales(read_scales(f"{first}; arpeggios"))


@pytest.mark.parametrize(
    "text, told",
    [
        ("majr: all", "Did you mean “major”?"),
        ("octaves: 2 in H", "“H” is no key"),
        ("tempo: fast", "Write it as in “tempo: 96 to the quarter”"),
        ("arpeggios", "say of which keys"),
        ("major: all; major: to 2", "“major” stands twice"),
        ("octaves: 2; octaves: 3", "“octaves” stands twice"),
        ("major: to 9", "No key has more than 7 sharps or flats"),
        ("major:", "Something is missing after “major:”"),
        ("octaves: 0", "Write it as in “octaves: 2”"),
    ],
)
def test_what_cannot_be_read_is_told_with_what_to_write(text, told):
    with pytest.raises(Unclear, match=told):
        read_scales(text)


def test_it_is_spoken_as_musicians_do():
    demand = read_scales("major: to 4; natural minor: A; octaves: 2; tempo: 80; from memory")
    assert spoken_scales(demand) == (
        "major to four sharps and flats, natural minor in A, two octaves, at 80, from memory"
    )


def together(*texts):
    return union(tuple((f"place {n}", read_scales(text)) for n, text in enumerate(texts)))


def test_the_union_takes_each_key_at_its_most_demanding():
    row = together("major: to 2; octaves: 1", "major: C, G; octaves: 3").rows[0]
    assert row.scales == "to two sharps and flats, one octave, three in C and G"
    assert [who for who, _ in row.asked_by] == ["place 0", "place 1"]


def test_keys_that_sound_alike_are_learned_once():
    assert together("major: to 6", "major: C flat").rows[0].scales == "to six sharps and flats"
    assert together("major: to 5", "major: F sharp").rows[0].scales == "in all keys"


def test_a_minor_in_any_form_needs_none_of_its_own():
    rows = together("minor: to 3", "harmonic minor: to 4").rows
    assert "the harmonic minor will do" in rows[0].scales


def test_the_fastest_tempo_of_a_beat_counts():
    found = together(
        "tempo: 80 to the quarter", "tempo: 92 to the quarter", "tempo: 60 to the half"
    )
    assert found.demands == (
        "At 92 to the quarter or faster: place 1",
        "At 60 to the half or faster: place 2",
    )


def test_where_they_disagree_is_said():
    found = together(
        "melodic minor: all; articulation: slurred", "harmonic minor: all; articulation: tongued"
    )
    assert found.differences == (
        "Articulation differs: slurred at place 0; tongued at place 1.",
        "The form of the minor differs: melodic minor at place 0; harmonic minor at place 1.",
    )


def test_those_who_agree_are_no_difference():
    assert together("articulation: slurred", "articulation: Slurred").differences == ()


def test_the_chromatic_scale_has_a_row_of_its_own():
    row = together("chromatic", "chromatic: full range").rows[-1]
    assert (row.title, row.scales) == ("Chromatic", "full range")
    assert row.asked_by == (("place 0", ""), ("place 1", "full range"))


def test_how_many_clean_ones_are_enough():
    demand = read_scales("major: to 5; panel chooses; seven to continue")
    assert demand.enough == 7
    assert spoken_scales(demand).endswith("the panel chooses, seven to continue")
    assert union((("Hollins Bay", demand),)).demands[-1] == "Seven to continue: Hollins Bay"


@pytest.mark.parametrize("text", ["0 to continue", "101 to continue"])
def test_a_number_of_clean_ones_that_cannot_be(text):
    with pytest.raises(Unclear, match="as in “7 to continue”"):
        read_scales(text)
