"""Which scales a student's auditions ask, written for the instrument."""

from datetime import date

import pytest
import time_machine

from planner.scales import Sort
from studio.entries.bridge import Season
from studio.entries.compare_queries import compared
from studio.entries.drill.asked import Asked, place, united
from tests.factories import (
    AuditionFactory,
    EntryFactory,
    InstrumentFactory,
    OfferedDateFactory,
    RequirementFactory,
)

pytestmark = pytest.mark.django_db
FEBRUARY = date(2027, 2, 6)


@pytest.fixture
def sam(ranged_sam):
    return ranged_sam


@pytest.fixture(autouse=True)
def in_january():
    with time_machine.travel("2027-01-12T18:00:00Z", tick=False):
        yield


@pytest.fixture
def asked(people, sam):
    """What is asked of Sam as it stands when it is called."""
    return lambda: Asked(Season(compared(people.ines).get(pk=sam.pk)))


def asks(student, name, scales, on=FEBRUARY, instrument=None, **fields):
    """Enter `student` at a place called so that asks these scales."""
    audition = AuditionFactory(
        institution__studio=student.studio, institution__name=name, institution__short_name=name
    )
    entry = EntryFactory(
        student=student,
        audition=audition,
        instrument=instrument or student.instrument,
        chosen_date=OfferedDateFactory(audition=audition, on=on),
    )
    RequirementFactory(
        requirement_set=entry.requirement_set, name="Scales", kind="scales", scales=scales, **fields
    )
    return entry


def names(found):
    """Return the titles of some keys' scales."""
    return [key.scale.title for key in found]


def test_the_demands_of_the_auditions_ahead(sam, asked):
    asks(sam, "Carrow", "major: C, F; octaves: 2", keys_at="written")
    asks(sam, "Gone", "major: A", on=date(2027, 1, 11))
    only = asked().demands[0]
    assert [each.who for each in asked().demands] == ["Carrow"]
    assert names(united([only])) == ["F major, two octaves", "C major, two octaves"]
    assert not only.assumes


def test_the_same_words_are_one_demand(sam, asked):
    asks(sam, "Carrow", "major: C; octaves: 2")
    asks(sam, "Fairmont", "major: C; octaves: 2")
    assert [each.who for each in asked().demands] == ["Carrow and Fairmont"]


def test_a_concert_key_is_written_a_fifth_higher_for_the_horn(sam, asked):
    # The horn in F sounds a perfect fifth lower than written: common practice, no source.
    asks(sam, "Carrow", "major: C; octaves: 1", keys_at="concert")
    (key,) = united(asked().written)
    assert (key.scale.tonic, key.scale.sounding) == ("G", "C major")


def test_what_is_not_stated_is_taken_as_written_and_said(sam, asked):
    asks(sam, "Carrow", "major: C; octaves: 1")
    (demand,) = asked().written
    (key,) = united([demand])
    assert key.scale.tonic == "C"
    assert "taken as written" in demand.assumes


def test_nothing_is_assumed_of_an_instrument_in_concert_pitch(sam, asked):
    tuba = InstrumentFactory(studio=sam.studio, name="Tuba", semitones=0, lowest="D1", highest="F4")
    asks(sam, "Carrow", "major: C; octaves: 1", instrument=tuba)
    (demand,) = asked().written
    assert (demand.instrument, demand.assumes) == (tuba, "")


def test_no_range_is_said(sam, asked):
    bare = InstrumentFactory(studio=sam.studio, name="Cornet", semitones=-2)
    asks(sam, "Carrow", "major: C", instrument=bare)
    assert not asked().written
    assert "lowest and the highest written note" in asked().troubles[0].trouble


def test_words_alone_are_said_as_they_stand(sam, asked):
    asks(sam, "Carrow", "", details="All major scales, from memory.")
    (demand,) = asked().troubles
    assert demand.trouble.startswith("“All major scales, from memory.”: stated in words only")


def test_what_cannot_be_read_is_said(sam, asked):
    asks(sam, "Carrow", "major: H")
    assert asked().troubles[0].trouble.startswith("“major: H”:")


def test_each_key_once_as_long_as_anybody_asks(sam, asked):
    asks(sam, "Carrow", "major: to 1; octaves: 1")
    asks(sam, "Fairmont", "major: C; octaves: 2")
    found = {key.scale.tonic: key for key in united(asked().written)}
    assert set(found) == {"F", "C", "G"}
    assert found["C"].scale.title == "C major, two octaves"
    assert found["C"].who == "Carrow and Fairmont"
    assert found["G"].who == "Carrow"


def test_keys_that_sound_alike_are_one(sam, asked):
    asks(sam, "Carrow", "major: F sharp; octaves: 1")
    asks(sam, "Fairmont", "major: G flat; octaves: 1")
    (key,) = united(asked().written)
    assert key.place == place(Sort.MAJOR, "Gb") == place(Sort.MAJOR, "F#")


def test_any_minor_is_the_one_that_is_learned_anyhow(sam, asked):
    asks(sam, "Carrow", "minor: A; octaves: 1")
    assert names(united(asked().written)) == ["A harmonic minor, one octave"]
    asks(sam, "Fairmont", "melodic minor: A; octaves: 1")
    assert names(united(asked().written)) == ["A melodic minor, one octave"]


def test_instruments_stand_apart_the_own_first(sam, asked):
    other = InstrumentFactory(studio=sam.studio, name="Tuba", lowest="D1", highest="F4")
    asks(sam, "Carrow", "major: C", instrument=other)
    asks(sam, "Fairmont", "major: G", on=date(2027, 2, 20))
    found = asked()
    assert found.instruments == [sam.instrument, other]
    assert [each.who for each in found.of(other)] == ["Carrow"]
