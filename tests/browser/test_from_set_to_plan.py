"""A set is typed in, seen compared and planned; a piece is pinned, and the plan taken over."""

from datetime import timedelta

import pytest
from django.urls import reverse
from playwright.sync_api import expect

from studio.entries.models import Assignment
from tests import factories as make


@pytest.fixture
def entered(people):
    """Sam is entered at Fairmont, under a set that is still empty; the studio has three studies."""
    for work, hours, character in (
        ("Quick study", 3, "technical"),
        ("Brisk study", 5, "technical"),
        ("Slow study", 4, "lyrical"),
    ):
        make.PieceFactory(studio=people.studio, work=work, hours=hours, character=character)
    return make.EntryFactory(
        student=people.sam_student,
        audition__institution__name="Fairmont",
        chosen_date__on=people.studio.today + timedelta(weeks=7),
    )


def test_from_an_empty_set_to_the_music_that_covers_it(people, entered, open_page):
    page, keys = (
        open_page(people.ines.user),
        ("Two studies", "e", "2", "", "", "", "", "contrasting"),
    )
    page.goto(reverse("requirement_set_write", args=[entered.requirement_set_id]))
    for n, text in enumerate(keys):
        if n:
            page.keyboard.press("Tab")
        page.keyboard.type(text)
    page.keyboard.press("Control+Enter")
    expect(page.get_by_text("1 added.")).to_be_visible()

    page.goto(reverse("compare", args=[entered.student_id]))
    expect(page.get_by_text("Not covered yet").first).to_be_visible()
    page.get_by_role("link", name="Plan the music").click()
    expect(page.get_by_text("Two pieces, 7 hours still to prepare: proven")).to_be_visible()

    page.get_by_text("Studies: 1").click()
    brisk = page.get_by_role("group", name="Brisk study")
    brisk.get_by_role("button", name="In any case").click()
    expect(page.get_by_text("Two pieces, 9 hours still to prepare: proven")).to_be_visible()

    page.get_by_role("button", name="Take over the whole plan").click()
    expect(page.get_by_text("It is what is assigned now.")).to_be_visible()
    assert {row.piece.work for row in Assignment.objects.all()} == {"Brisk study", "Slow study"}
    page.get_by_role("link", name="What Sam plays now").click()
    expect(page.get_by_text("Two pieces for one audition, 9 h still to prepare.")).to_be_visible()
