"""One requirement set across the students of one instrument."""

import re
from datetime import date

import pytest
import time_machine
from django.urls import reverse

from tests.factories import (
    AssignmentFactory,
    AuditionFactory,
    EntryFactory,
    InstitutionFactory,
    InstrumentFactory,
    LessonCheckFactory,
    OfferedDateFactory,
    PieceFactory,
    RequirementFactory,
    RequirementSetFactory,
    StudentFactory,
)

pytestmark = pytest.mark.django_db


@pytest.fixture(autouse=True)
def in_january():
    with time_machine.travel("2027-01-12T18:00:00Z", tick=False):
        yield


@pytest.fixture
def horn(people):
    return people.sam_student.instrument


@pytest.fixture
def asked(people, horn):
    """Fairmont's set for the horn, with a solo and a study."""
    fairmont = InstitutionFactory(studio=people.studio, name="Fairmont")
    made = RequirementSetFactory(institution=fairmont, instrument=horn, degree="performance")
    RequirementFactory(requirement_set=made, name="Solo", kind="solo", position=1)
    RequirementFactory(requirement_set=made, name="Study", kind="etude", position=2)
    return made


def enter(student, asked, **given):
    """Enter a student under a set."""
    name = f"Audition {asked.institution.auditions.count()}"
    audition = AuditionFactory(institution=asked.institution, name=name)
    chosen = OfferedDateFactory(audition=audition, on=date(2027, 2, 6))
    return EntryFactory(
        student=student, audition=audition, requirement_set=asked, chosen_date=chosen, **given
    )


def play(entry, piece, name="Solo"):
    need = entry.requirement_set.requirements.get(name=name)
    return AssignmentFactory(entry=entry, requirement=need, piece=piece)


def read(client, instrument, **query):
    response = client.get(reverse("compare_instrument", args=[instrument.pk]), query)
    assert response.status_code == 200
    return response


def text_of(html):
    return re.sub(r"\s+", " ", re.sub(r"<[^>]+>", " ", html)).strip()


def grid(response):
    """Return the table's rows as lists of the words of their cells."""
    body = response.content.decode().split('<table class="players"')[1].split("</table>")[0]
    rows = re.findall(r"<tr.*?</tr>", body, re.S)
    return [list(map(text_of, re.findall(r"<t[hd].*?</t[hd]>", row, re.S))) for row in rows]


def test_slots_stand_against_players(as_teacher, people, horn, asked):
    sonata = PieceFactory(studio=people.studio, composer="Ferrant", work="Sonata", kind="solo")
    play(enter(people.sam_student, asked), sonata)
    play(enter(people.mia_student, asked), sonata)
    head, solo, study = grid(read(as_teacher, horn))
    assert [cell.split(" Audition")[0] for cell in head] == ["Slot", "Mia Okafor", "Sam Reyes"]
    assert solo == [
        "Solo",
        "Ferrant, Sonata not checked yet also Sam",
        "Ferrant, Sonata not checked yet also Mia",
    ]
    assert study == ["Study", "nothing chosen yet", "nothing chosen yet"]


def test_readiness_stands_beside_each_piece(as_teacher, people, horn, asked):
    sonata = PieceFactory(studio=people.studio, composer="Ferrant", work="Sonata", kind="solo")
    play(enter(people.sam_student, asked), sonata)
    LessonCheckFactory(
        student=people.sam_student, piece=sonata, on=date(2027, 1, 11), tempo=56, target=112
    )
    solo = grid(read(as_teacher, horn))[1]
    assert solo[1] == "Ferrant, Sonata 50 of 100 clean at 56 of 112"


def test_many_who_share_a_piece_are_counted(as_teacher, people, horn, asked):
    sonata = PieceFactory(studio=people.studio, composer="Ferrant", work="Sonata", kind="solo")
    others = [StudentFactory(studio=people.studio, instrument=horn) for _ in range(2)]
    for student in (people.sam_student, people.mia_student, *others):
        play(enter(student, asked), sonata)
    page = read(as_teacher, horn)
    assert "also three others" in grid(page)[1][1]
    assert "Four players, one piece, all of them shared." in text_of(page.content.decode())
    assert "Four slots are not covered yet." in text_of(page.content.decode())


def test_a_piece_in_two_auditions_of_one_player_is_not_shared(as_teacher, people, horn, asked):
    sonata = PieceFactory(studio=people.studio, composer="Ferrant", work="Sonata", kind="solo")
    for _ in range(2):
        play(enter(people.sam_student, asked), sonata)
    page = read(as_teacher, horn)
    assert len(grid(page)[0]) == 3
    assert "also" not in " ".join(grid(page)[1])
    assert "One player, one piece." in text_of(page.content.decode())


def test_others_of_the_instrument_are_named_below(as_teacher, people, horn, asked):
    enter(people.sam_student, asked)
    tuba = InstrumentFactory(studio=people.studio, name="Tuba")
    StudentFactory(studio=people.studio, instrument=tuba, name="Tuba Player")
    page = text_of(read(as_teacher, horn).content.decode())
    assert "Not entered under it: Mia Okafor ." in page
    assert "Tuba Player" not in page


def test_whoever_is_entered_stands_there_whatever_they_play(as_teacher, people, horn, asked):
    tuba = InstrumentFactory(studio=people.studio, name="Tuba")
    enter(StudentFactory(studio=people.studio, instrument=tuba, name="Tuba Player"), asked)
    assert grid(read(as_teacher, horn))[0][1].startswith("Tuba Player")


def test_the_set_with_most_entries_is_shown_first(as_teacher, people, horn, asked):
    other = RequirementSetFactory(institution=asked.institution, instrument=horn, degree="minor")
    RequirementFactory(requirement_set=other, name="Own choice", kind="solo")
    enter(people.sam_student, other)
    assert [row[0] for row in grid(read(as_teacher, horn))] == ["Slot", "Own choice"]
    enter(people.mia_student, asked)
    enter(people.sam_student, asked)
    assert [row[0] for row in grid(read(as_teacher, horn))] == ["Slot", "Solo", "Study"]
    assert [row[0] for row in grid(read(as_teacher, horn, set=other.pk))] == ["Slot", "Own choice"]


@pytest.mark.parametrize("wanted", ["999999", "horn", ""])
def test_a_set_that_is_not_there_is_not_missed(as_teacher, people, horn, asked, wanted):
    enter(people.sam_student, asked)
    assert len(grid(read(as_teacher, horn, set=wanted))) == 3


def test_groups_stand_above_what_is_in_them(as_teacher, people, horn, asked):
    group = RequirementFactory(
        requirement_set=asked, name="Solo or song", kind="some of", position=3
    )
    for place, name in enumerate(("Long solo", "Song")):
        RequirementFactory(
            requirement_set=asked, name=name, kind="solo", parent=group, position=4 + place
        )
    enter(people.sam_student, asked)
    rows = grid(read(as_teacher, horn))[3:]
    assert [row[1] for row in rows] == ["nothing chosen yet", "", ""]
    assert rows[0][0] == "Solo or song any one of these"


def test_what_needs_no_music_stands_below(as_teacher, people, horn, asked):
    RequirementFactory(
        requirement_set=asked, name="Sight-reading", kind="sight-reading", details="Half a minute"
    )
    enter(people.sam_student, asked)
    page = read(as_teacher, horn)
    assert "Also asked: Sight-reading (“Half a minute”)." in text_of(page.content.decode())
    assert [row[0] for row in grid(page)] == ["Slot", "Solo", "Study"]


def test_what_is_decided_says_so_and_stands_last(as_teacher, people, horn, asked):
    enter(people.mia_student, asked, result="offered")
    enter(people.sam_student, asked)
    head = grid(read(as_teacher, horn))[0]
    assert head[1].startswith("Sam Reyes")
    assert head[2].endswith("Offered a place")


def test_without_entries_it_names_the_students(as_teacher, people, horn, asked):
    page = text_of(read(as_teacher, horn).content.decode())
    assert "Nobody is entered under it yet" in page
    assert "Mia Okafor , Sam Reyes" in page


def test_without_requirements_it_says_what_to_do(as_teacher, people, horn):
    page = text_of(read(as_teacher, horn).content.decode())
    assert "Nothing is asked of Horn yet" in page
    assert "Choose the institution" in page


def test_last_seasons_sets_are_not_offered(as_teacher, people, horn, asked):
    asked.season = "2025–26"
    asked.save()
    page = text_of(read(as_teacher, horn).content.decode())
    assert "Nothing is asked of Horn yet" in page
