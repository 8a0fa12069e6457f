"""The engraved scales on paper: all that is asked, once, whole, and who may print it."""

import io
from datetime import date

import pikepdf
import pytest
import time_machine
from django.core.cache import caches
from django.db import connection
from django.test.utils import CaptureQueriesContext
from django.urls import reverse
from pypdf import PdfReader

from studio.entries.engraving.engrave import engraved
from tests.factories import InstrumentFactory
from tests.studio.test_drill_asked import asks
from tests.studio.test_handouts import LONG_NAME, SIZES, tag_page, walk

pytestmark = pytest.mark.django_db

EVERY = "major: all; harmonic minor: all; octaves: 2; articulation: slurred up, tongued down"
SOME = "major: to 1; octaves: 2; tempo: 96 to the quarter; from memory"


@pytest.fixture
def sam(ranged_sam):
    return ranged_sam


@pytest.fixture(autouse=True)
def november():
    with time_machine.travel("2026-11-25 18:00Z", tick=False):
        yield
    caches["sheets"].clear()


def printed(client, student, **query):
    """Return the PDF of a student's scales."""
    response = client.get(reverse("drill_sheet", args=[student.pk]), query)
    assert response.status_code == 200
    assert response["Content-Type"] == "application/pdf"
    return response.content


def pages(content):
    """Return the text of each page, in one line each."""
    found = PdfReader(io.BytesIO(content)).pages
    return [" ".join(page.extract_text().split()) for page in found]


def text(client, student, **query):
    return " ".join(pages(printed(client, student, **query)))


def figures(content):
    """Return (what a drawing says it is, its page) for each engraving."""
    with pikepdf.open(io.BytesIO(content)) as file:
        tags = [tag for tag in walk(file.Root.StructTreeRoot) if tag.get("/S") == "/Figure"]
        return [(str(tag.Alt), file.pages.index(tag_page(tag))) for tag in tags]


@pytest.mark.parametrize("paper", SIZES)
def test_all_keys_stand_once_and_no_scale_is_cut(as_teacher, sam, paper):
    sam.name = LONG_NAME
    sam.save()
    asks(sam, "Carrow", EVERY)
    content = printed(as_teacher, sam, paper=paper)
    found = figures(content)
    assert len(found) == len(dict(found)) == 24
    sheets = pages(content)
    assert "Řeháková" in sheets[0]
    assert len(sheets) <= 6
    for n, sheet in enumerate(sheets):
        here = [alt for alt, page in found if page == n]
        assert sheet.count("Clean tempo by week") == len(here) > 0
        for alt in here:
            assert alt.partition(" (")[0] in sheet
    size = PdfReader(io.BytesIO(content)).pages[0].mediabox
    assert (float(size.width), float(size.height)) == pytest.approx(SIZES[paper], abs=0.1)


def test_a_sheet_says_who_asks_and_what(as_teacher, sam):
    asks(sam, "Carrow", SOME)
    asks(sam, "Fairmont", "major: C; octaves: 1; articulation: slurred", on=date(2027, 1, 30))
    words = text(as_teacher, sam)
    assert "Carrow: major to one sharp and flats, two octaves, at 96 to the quarter" in words
    assert "C major, two octaves sounds as F major" in words
    assert "Fairmont: one octave, slurred. Carrow: two octaves." in words
    assert "(asked: 96 to the quarter)" in words
    assert "Verify what is asked with the institution itself." in words
    assert "Stop if it hurts." in words


def test_what_one_audition_asks_is_not_said_again_at_each_scale(as_teacher, sam):
    asks(sam, "Carrow", SOME)
    assert text(as_teacher, sam).count("Carrow") == 1


def test_what_does_not_fit_is_said(as_teacher, sam):
    asks(sam, "Carrow", "major: G; octaves: 4")
    words = text(as_teacher, sam)
    assert "Four octaves of G major would go above C 6" in words
    assert "1 scale; 1 does not fit as asked." in words


def test_what_fits_nowhere_is_said_and_not_drawn(as_teacher, sam):
    sam.instrument.lowest, sam.instrument.highest = "A4", "G5"
    sam.instrument.save()
    asks(sam, "Carrow", "major: A; octaves: 1")
    content = printed(as_teacher, sam)
    assert figures(content) == []
    assert "Nothing is written." in pages(content)[0]


def test_each_pattern_of_a_key_is_engraved(as_teacher, sam):
    asks(sam, "Carrow", "major: C; octaves: 2; pattern: thirds")
    asks(sam, "Fairmont", "major: C; octaves: 2")
    found = [alt for alt, _ in figures(printed(as_teacher, sam))]
    assert found == [
        "C major, two octaves, in thirds (sounds as F major)",
        "C major, two octaves (sounds as F major)",
    ]


def test_the_chromatic_scale_is_printed_too(as_teacher, sam):
    asks(sam, "Carrow", "major: C; chromatic: full range; octaves: 1")
    found = [alt for alt, _ in figures(printed(as_teacher, sam))]
    assert found == [
        "C major, one octave (sounds as F major)",
        "Chromatic scale from F♯, full range",
    ]
    assert "In the bass clef too it sounds a perfect fifth lower" in text(as_teacher, sam)


def test_what_is_asked_in_words_is_printed_as_it_is(as_teacher, sam):
    asks(sam, "Carrow", "", details="Any three <scales> & arpeggios")
    words = text(as_teacher, sam)
    assert "Any three <scales> & arpeggios" in words
    assert "No audition ahead asks for scales that can be engraved." in words


def test_two_instruments_print_apart(as_teacher, sam):
    tuba = InstrumentFactory(studio=sam.studio, name="Tuba", semitones=0, lowest="D1", highest="F4")
    asks(sam, "Carrow", "major: C; octaves: 1")
    asks(sam, "Fairmont", "major: C; octaves: 1", instrument=tuba)
    content = printed(as_teacher, sam)
    assert [alt for alt, _ in figures(content)] == [
        "C major, one octave (sounds as F major)",
        "C major, one octave",
    ]
    assert "Horn: what is asked" in pages(content)[0]


def test_one_audition_or_one_key_can_be_printed(as_teacher, sam):
    entry = asks(sam, "Carrow", SOME)
    asks(sam, "Fairmont", "harmonic minor: F#; octaves: 1")
    first = str(entry.requirement_set.requirements.get().pk)
    assert len(figures(printed(as_teacher, sam))) == 4
    assert len(figures(printed(as_teacher, sam, of=first))) == 3
    (one,) = figures(printed(as_teacher, sam, key="harmonic minor:F#"))
    assert one[0].startswith("F♯ harmonic minor, one octave")
    everything = {"of": f"all-{sam.instrument_id}", "key": "major:C"}
    assert len(figures(printed(as_teacher, sam, **everything))) == 1


@pytest.mark.parametrize("query", [{"of": "0"}, {"of": "all-x"}, {"key": "major:Q"}])
def test_what_nobody_asks_is_not_found(as_teacher, sam, query):
    asks(sam, "Carrow", SOME)
    response = as_teacher.get(reverse("drill_sheet", args=[sam.pk]), query)
    assert response.status_code == 404


def test_who_prints_the_scales_of_whom(client, people, sam):
    asks(sam, "Carrow", SOME)
    address = reverse("drill_sheet", args=[sam.pk])
    seen = {}
    for name in ("ines", "theo", "ana", "sam", "mia", "otto"):
        client.force_login(getattr(people, name).user)
        seen[name] = client.get(address).status_code
    assert seen == {"ines": 200, "theo": 200, "ana": 200, "sam": 200, "mia": 404, "otto": 404}


def test_the_same_scales_are_the_same_file(as_teacher, sam):
    asks(sam, "Carrow", SOME)
    first = printed(as_teacher, sam)
    caches["sheets"].clear()
    engraved.cache_clear()
    assert printed(as_teacher, sam) == first


def test_a_sheet_asks_as_often_for_many_auditions_as_for_one(as_teacher, sam):
    counts = []
    for name in ("Carrow", "Fairmont", "Olen"):
        asks(sam, name, SOME)
        with CaptureQueriesContext(connection) as queries:
            printed(as_teacher, sam)
        counts.append(len(queries))
    assert counts[0] == counts[2] <= 12
