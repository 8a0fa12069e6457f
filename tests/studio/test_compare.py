"""What one student plays, and where: pieces, auditions, what is open, what differs."""

import re
from datetime import date
from decimal import Decimal

import pytest
import time_machine
from django.urls import reverse

from studio.entries.bridge import Season
from studio.entries.choices import pieces
from studio.entries.compare import Comparison
from studio.entries.compare_queries import compared
from tests.factories import (
    AssignmentFactory,
    AuditionFactory,
    EntryFactory,
    ErratumFactory,
    InstrumentFactory,
    JudgementFactory,
    LessonCheckFactory,
    OfferedDateFactory,
    PieceFactory,
    RequirementFactory,
)

pytestmark = pytest.mark.django_db


@pytest.fixture(autouse=True)
def in_january():
    with time_machine.travel("2027-01-12T18:00:00Z", tick=False):
        yield


@pytest.fixture
def sam(people):
    return people.sam_student


@pytest.fixture
def comparison(people):
    """Sam's comparison as it stands when it is called."""

    def read():
        student = compared(people.ines).get(pk=people.sam_student.pk)
        return Comparison(Season(student), list(pieces(people.ines)))

    return read


def enter(student, place, on=date(2027, 2, 6), **given):
    """Return an entry of `student` at a place called so."""
    audition = AuditionFactory(
        institution__studio=student.studio,
        institution__name=f"{place} School of Music",
        institution__short_name=place,
    )
    chosen = OfferedDateFactory(audition=audition, on=on) if on else None
    return EntryFactory(student=student, audition=audition, chosen_date=chosen, **given)


def piece_of(student, work="Romance", kind="solo", hours=10, **given):
    number = hours if hours is None else Decimal(hours)
    return PieceFactory(studio=student.studio, work=work, kind=kind, hours=number, **given)


def play(entry, *chosen, name="Solo", kind="solo", **rules):
    """Ask for a slot and fill it; return the requirement."""
    need = RequirementFactory(requirement_set=entry.requirement_set, name=name, kind=kind, **rules)
    for piece in chosen:
        AssignmentFactory(entry=entry, requirement=need, piece=piece)
    return need


def table(comparison):
    """Return the drawing as (band, row, the places with a sign in it)."""
    drawing = comparison.drawing
    names = [column.name for column in drawing.columns]
    return [
        (band.title, row.title, [n for n, cell in zip(names, row.cells, strict=True) if cell.heads])
        for band in drawing.bands
        for row in band.rows
    ]


def words(client, student):
    """Return the page as its words stand on it."""
    response = client.get(reverse("compare", args=[student.pk]))
    assert response.status_code == 200
    return re.sub(r"\s+", " ", re.sub(r"<[^>]+>", " ", response.content.decode()))


# The drawing


def test_auditions_stand_by_date_and_undated_ones_last(sam, comparison):
    enter(sam, "Norwood", None)
    enter(sam, "Carrow", date(2027, 2, 20))
    enter(sam, "Fairmont", date(2027, 1, 30))
    columns = comparison().columns
    assert [(column.name, column.date) for column in columns] == [
        ("Fairmont", "30 Jan"),
        ("Carrow", "20 Feb"),
        ("Norwood", ""),
    ]


def test_auditions_gone_by_or_decided_are_left_out(sam, comparison):
    enter(sam, "Fairmont", date(2027, 1, 11))
    enter(sam, "Carrow", result="withdrawn")
    enter(sam, "Norwood", date(2027, 1, 12))
    assert [column.name for column in comparison().columns] == ["Norwood"]


def test_two_auditions_of_one_place_are_told_apart(sam, comparison):
    first = enter(sam, "Regional")
    other = AuditionFactory(institution=first.audition.institution, name="Brass choir")
    EntryFactory(student=sam, audition=other, requirement_set=None, chosen_date=None)
    assert [column.detail for column in comparison().columns] == ["BMus performance", "Brass choir"]


def test_another_instrument_and_what_is_left_out_of_the_plan_are_named(sam, comparison):
    trumpet = InstrumentFactory(studio=sam.studio, name="Trumpet")
    enter(sam, "Fairmont", instrument=trumpet)
    enter(sam, "Carrow", kept=False)
    enter(sam, "Norwood", requirement_set=None)
    assert {column.name: (column.instrument, column.note) for column in comparison().columns} == {
        "Fairmont": ("Trumpet", ""),
        "Carrow": ("", "left out of the plan"),
        "Norwood": ("", "nothing asked yet"),
    }


def test_pieces_stand_by_kind_those_of_most_auditions_first(sam, comparison):
    fairmont, carrow = enter(sam, "Fairmont", date(2027, 1, 30)), enter(sam, "Carrow")
    romance, sonata = piece_of(sam, "Romance"), piece_of(sam, "Sonata")
    study, scales = piece_of(sam, "Study", "etude"), piece_of(sam, "Scales", "scales")
    play(fairmont, romance)
    play(fairmont, scales, name="Scales", kind="scales")
    play(carrow, study, name="Study", kind="etude")
    play(carrow, sonata, name="Solo")
    play(fairmont, sonata, name="Own choice")
    assert table(comparison()) == [
        ("Solo", "Sonata", ["Fairmont", "Carrow"]),
        ("Solo", "Romance", ["Fairmont"]),
        ("Studies", "Study", ["Carrow"]),
        ("Scales", "Scales", ["Fairmont"]),
    ]


def test_a_piece_under_a_requirement_that_is_no_longer_asked_is_not_played(sam, comparison):
    entry = enter(sam, "Fairmont")
    play(entry, piece_of(sam))
    other = enter(sam, "Carrow").requirement_set
    entry.requirement_set = other
    entry.save()
    assert comparison().pieces == []


def test_screening_and_memory_are_told(sam, comparison):
    entry = enter(sam, "Fairmont")
    play(entry, piece_of(sam), name="Solo, recorded", round="screening", memory="yes")
    (cell,) = comparison().drawing.bands[0].rows[0].cells
    assert cell.words == "Solo, recorded, screening recording, from memory"
    assert cell.heads[0].sign == "notehead-triangle"


# Hours


def test_hours_are_counted_once_a_piece_and_at_every_audition(sam, comparison):
    fairmont, carrow = enter(sam, "Fairmont", date(2027, 1, 30)), enter(sam, "Carrow")
    shared, alone = piece_of(sam, "Sonata", hours=10), piece_of(sam, "Romance", hours=4)
    play(fairmont, shared)
    play(carrow, shared)
    play(carrow, alone, name="Own choice")
    whole, only = comparison().drawing.feet
    assert (whole.figures, whole.total) == (("10 h", "14 h"), "14 h")
    assert (only.figures, only.total) == (("0 h", "4 h"), "4 h")
    assert comparison().headline == "Two pieces for two auditions, 14 h still to prepare."


def test_hours_shrink_with_readiness(sam, comparison):
    piece = piece_of(sam, hours=10)
    play(enter(sam, "Fairmont"), piece)
    LessonCheckFactory(student=sam, piece=piece, on=date(2027, 1, 11), tempo=56, target=112)
    row = comparison().drawing.bands[0].rows[0]
    assert row.hours == "4.5 h"  # tempo half of the target: 50 of 95 points are done


def test_hours_without_an_estimate_are_said_to_be_assumed(as_teacher, sam, comparison):
    play(enter(sam, "Fairmont"), piece_of(sam, hours=None))
    assert comparison().drawing.bands[0].rows[0].about == "assumed"
    assert "Assumed hours are those usual" in words(as_teacher, sam)


# What nothing covers yet


def test_an_open_slot_stands_out_with_its_name(sam, comparison):
    fairmont, carrow = enter(sam, "Fairmont", date(2027, 1, 30)), enter(sam, "Carrow")
    piece_of(sam)
    for entry in (fairmont, carrow):
        play(entry, name="A work without piano")
    (row,) = comparison().drawing.bands[0].rows
    assert table(comparison()) == [
        ("Not covered yet", "A work without piano", ["Fairmont", "Carrow"])
    ]
    assert row.open
    assert row.under == "nothing chosen yet"
    assert comparison().lacking == "Two slots are not covered yet: Fairmont and Carrow."


def test_a_slot_with_too_few_pieces_is_open(sam, comparison):
    piece_of(sam, "Sonata")
    play(enter(sam, "Fairmont"), piece_of(sam), name="Two solos", at_least=2)
    assert comparison().drawing.bands[-1].rows[0].under == "1 of 2 chosen"
    assert comparison().lacking == "One slot is not covered yet: Fairmont."


def test_it_says_where_nothing_in_the_library_fits(sam, comparison):
    piece_of(sam, piano="with piano")
    need = play(enter(sam, "Fairmont"), piano="without piano")
    assert comparison().drawing.bands[0].rows[0].under == "nothing in the library fits"
    JudgementFactory(requirement=need, piece=piece_of(sam, "Cantata", piano="with piano"))
    assert comparison().drawing.bands[0].rows[0].under == "nothing chosen yet"


def test_what_is_chosen_already_does_not_fit_twice(sam, comparison):
    play(enter(sam, "Fairmont"), piece_of(sam), name="Two solos", at_least=2)
    assert comparison().drawing.bands[-1].rows[0].under == "nothing in the library fits"


def test_a_choice_is_open_once(sam, comparison):
    entry = enter(sam, "Fairmont")
    piece_of(sam)
    group = play(entry, name="Solo or song", kind="some of")
    play(entry, name="Solo", parent=group)
    play(entry, name="Song", kind="other", parent=group)
    assert table(comparison()) == [("Not covered yet", "Solo or song", ["Fairmont"])]
    (row,) = comparison().drawing.bands[0].rows
    assert row.under == "nothing chosen yet, any one of: Solo, Song"


def test_scales_that_are_written_down_need_no_piece(sam, comparison):
    play(enter(sam, "Fairmont"), name="Scales", kind="scales", scales="major: to 4")
    assert comparison().lacking == ""
    assert table(comparison()) == []


def test_what_is_covered_is_not_open(sam, comparison):
    play(enter(sam, "Fairmont"), piece_of(sam))
    assert comparison().lacking == ""


# Where they differ, and what else is asked


def test_memory_asked_here_and_not_there_is_told(sam, comparison):
    sonata = piece_of(sam, "Sonata")
    for place, memory in (("Fairmont", "yes"), ("Carrow", "no"), ("Norwood", "not stated")):
        play(enter(sam, place), sonata, memory=memory)
    (difference,) = comparison().asking.differences
    assert difference.title == "Sonata"
    assert difference.words == ("from memory at Fairmont; not at Carrow; not stated by Norwood",)


@pytest.mark.parametrize("memory", [("yes", "yes"), ("no", "not stated")])
def test_memory_that_makes_no_difference_is_not_told(sam, comparison, memory):
    sonata = piece_of(sam, "Sonata")
    for place, said in zip(("Fairmont", "Carrow"), memory, strict=True):
        play(enter(sam, place), sonata, memory=said)
    assert comparison().asking.differences == []


def test_piano_here_and_none_there_is_told(sam, comparison):
    sonata = piece_of(sam, "Sonata")
    play(enter(sam, "Fairmont"), sonata, piano="with piano")
    play(enter(sam, "Carrow"), sonata, piano="without piano")
    (difference,) = comparison().asking.differences
    assert difference.words == ("with piano at Fairmont; without at Carrow",)


def test_a_piece_that_is_too_long_is_told(sam, comparison):
    sonata = piece_of(sam, "Sonata", minutes=Decimal("7.5"))
    play(enter(sam, "Fairmont"), sonata, minutes=Decimal(5))
    play(enter(sam, "Carrow"), sonata, minutes=Decimal(8))
    for place in ("Norwood", "Calder Ridge"):
        play(enter(sam, place, date(2027, 3, 6)), sonata, minutes=Decimal(7))
    (difference,) = comparison().asking.differences
    assert difference.too_long == (
        "It takes 7.5 minutes: at most 5 at Fairmont, at most 7 at Calder Ridge and Norwood"
    )


def test_what_else_is_asked_stands_by_what_they_say(sam, comparison):
    for place, details in (("Fairmont", "Half a minute to look."), ("Carrow", ""), ("Norwood", "")):
        play(enter(sam, place), name="Sight-reading", kind="sight-reading", details=details)
    (beside,) = comparison().asking.beside
    assert beside.title == "Sight-reading"
    assert sorted(beside.lines) == [
        ("Carrow and Norwood", ""),
        ("Fairmont", "Half a minute to look."),
    ]


def test_a_screening_is_told_from_an_audition(sam, comparison):
    fairmont = enter(sam, "Fairmont")
    play(fairmont, name="List", kind="paper", round="screening", details="One page.")
    play(fairmont, name="Letter", kind="paper", details="Two pages.")
    assert comparison().asking.beside[0].lines == (
        ("Fairmont (screening recording)", "One page."),
        ("Fairmont", "Two pages."),
    )


def test_scales_stand_with_all_who_ask_for_them(as_teacher, sam, comparison):
    for place, asked in (("Fairmont", "major: to 4"), ("Carrow", "major: to 4")):
        play(enter(sam, place), name="Scales", kind="scales", scales=asked)
    play(enter(sam, "Norwood"), name="Chromatic", kind="scales", details="As far as you can.")
    (row,) = comparison().asking.scales.rows
    assert row.asked_by == (("Carrow and Fairmont", "to four sharps and flats"),)
    assert comparison().asking.scales_as_text == (("Norwood", "Chromatic: “As far as you can.”"),)
    assert "As text only: not checked by the program." in words(as_teacher, sam)


def test_scales_are_united_and_what_is_learned_once_said_once(as_teacher, sam, comparison):
    asked = {"Fairmont": "major: to 4; octaves: 2", "Carrow": "major: all; octaves: 1"}
    for place, scales in asked.items():
        play(enter(sam, place), name="Scales", kind="scales", scales=scales)
    (row,) = comparison().asking.scales.rows
    assert row.scales.startswith("in all keys, two octaves, one in")
    page = words(as_teacher, sam)
    assert "Carrow: in all keys, one octave" in page
    assert "Fairmont: to four sharps and flats, two octaves" in page


def test_doubts_stand_once_with_all_that_are_in_doubt(as_teacher, sam, comparison):
    fairmont, carrow = enter(sam, "Fairmont"), enter(sam, "Carrow")
    for entry in (fairmont, carrow):
        play(entry, piece_of(sam, entry.audition.institution.short))
    ErratumFactory(requirement_set=carrow.requirement_set, text="Bar 12: natural")
    doubts = {text: [name for name, _ in sets] for text, sets in comparison().asking.doubts.items()}
    assert sorted(doubts.values()) == [["Carrow"], ["Carrow", "Fairmont"]]
    page = words(as_teacher, sam)
    assert "Bar 12: natural" in page
    assert page.count("Nobody has looked at them again yet") == 1


# The page


def test_the_page_is_a_table_that_can_be_heard(as_teacher, sam):
    play(enter(sam, "Fairmont"), piece_of(sam), memory="yes")
    html = as_teacher.get(reverse("compare", args=[sam.pk])).content.decode()
    assert len(re.findall(r'<th scope="col"', html)) == 3
    assert re.search(r'<th scope="rowgroup"[^>]*>Solo</th>', html)
    assert re.search(r'<th scope="row"[^>]*>\s*<a href="[^"]*">Romance</a>', html)
    assert '<span class="visually-hidden">Solo, from memory</span>' in html


def test_the_page_leads_to_the_plan_the_entry_and_the_print(as_teacher, sam):
    entry = enter(sam, "Fairmont")
    html = as_teacher.get(reverse("compare", args=[sam.pk])).content.decode()
    assert entry.get_absolute_url() in html
    assert reverse("plan", args=[sam.pk]) in html
    assert reverse("compare_sheet", args=[sam.pk]) in html


def test_without_auditions_it_says_what_to_do(as_teacher, sam):
    page = words(as_teacher, sam)
    assert "No auditions ahead" in page
    assert "Add an audition" in page


def test_an_assistant_is_not_sent_where_they_may_not_go(client, people):
    client.force_login(people.ana.user)
    page = words(client, people.sam_student)
    assert "No auditions ahead" in page
    assert "Add an audition" not in page


def test_without_requirements_it_leads_to_the_entry(as_teacher, sam):
    enter(sam, "Fairmont", requirement_set=None)
    page = words(as_teacher, sam)
    assert "Nothing is asked yet" in page
    assert "Go to Fairmont" in page


def test_without_pieces_it_says_so_and_shows_what_is_open(as_teacher, sam):
    play(enter(sam, "Fairmont"), name="Solo, first movement")
    page = words(as_teacher, sam)
    assert "No piece is chosen yet for one audition." in page
    assert "Solo, first movement" in page
