"""What one student plays, and where, on paper: one page, whatever there is of it."""

import io
from datetime import date, timedelta

import pytest
import time_machine
from django.core.cache import caches
from django.urls import reverse
from pypdf import PdfReader

from tests.factories import (
    AssignmentFactory,
    EntryFactory,
    PieceFactory,
    RequirementFactory,
)

pytestmark = pytest.mark.django_db

SIZES = {"letter": (792, 612), "a4": (841.8898, 595.2756)}
KINDS = ("solo", "etude", "excerpt", "scales")
LONG = "Sinfonia concertante, first movement, exposition without the cadenza, from the upbeat to B"


@pytest.fixture(autouse=True)
def november():
    with time_machine.travel("2026-11-25 18:00Z", tick=False):
        yield
    caches["sheets"].clear()


def season(student, auditions, number):
    """Enter `student` for so many auditions, with so many pieces spread over them."""
    chosen = [
        PieceFactory(
            studio=student.studio,
            composer="Wilhelmina Featherstonehaugh",
            work=f"{LONG} {n}" if n % 10 == 0 else f"Study {n}",
            kind=KINDS[n % 4],
        )
        for n in range(number)
    ]
    for place in range(auditions):
        entry = EntryFactory(
            student=student,
            audition__institution__name=f"Conservatoire of the {place}th Province",
            audition__institution__short_name=f"Province {place}",
            chosen_date__on=date(2027, 1, 10) + timedelta(days=6 * place),
        )
        for n, kind in enumerate(KINDS):
            need = RequirementFactory(
                requirement_set=entry.requirement_set, kind=kind, name=f"Slot {kind}"
            )
            for piece in chosen[n::4][place % 3 :: 2]:
                AssignmentFactory(entry=entry, requirement=need, piece=piece)
        RequirementFactory(requirement_set=entry.requirement_set, name=f"Open slot {place % 3}")


def read(client, student, paper="letter"):
    response = client.get(reverse("compare_sheet", args=[student.pk]), {"paper": paper})
    assert response["Content-Type"] == "application/pdf"
    assert response["Content-Disposition"] == 'inline; filename="music.pdf"'
    return PdfReader(io.BytesIO(response.content))


@pytest.mark.parametrize("paper", SIZES)
def test_nine_auditions_and_twenty_pieces_keep_to_one_page(as_teacher, people, paper):
    season(people.sam_student, 9, 20)
    (page,) = read(as_teacher, people.sam_student, paper).pages
    size = float(page.mediabox.width), float(page.mediabox.height)
    assert size == pytest.approx(SIZES[paper], abs=0.1)
    text = " ".join(page.extract_text().split())
    assert "What Sam plays, and where" in text
    for found in ("Province 0", "Province 8", "Study 1 ", "Study 19 ", "Open slot 2", "27 Feb"):
        assert found in text


def test_fourteen_auditions_and_thirty_pieces_keep_to_one_page(as_teacher, people):
    season(people.sam_student, 14, 30)
    (page,) = read(as_teacher, people.sam_student).pages
    text = " ".join(page.extract_text().split())
    for found in ("Province 0", "Province 13", "Study 29 "):
        assert found in text


def test_in_black_alone_it_says_what_is_open_and_what_is_assumed(as_teacher, people):
    season(people.sam_student, 1, 8)
    text = " ".join(read(as_teacher, people.sam_student).pages[0].extract_text().split())
    assert "Not covered yet Open slot 0" in text
    assert "One slot is not covered yet: Province 0." in text
    assert "(10 h)" in text
    assert "Hours in brackets are assumed" in text


def test_without_auditions_there_is_nothing_to_print(as_teacher, people):
    response = as_teacher.get(reverse("compare_sheet", args=[people.sam_student.pk]))
    assert response.status_code == 404
