"""A plan is read, a piece is pinned at once, and it is taken over; with JavaScript and without."""

from datetime import timedelta

import pytest
from django.urls import reverse
from playwright.sync_api import expect

from studio.entries.models import Assignment, Entry
from tests import factories as make


@pytest.fixture
def studies(people):
    """Two auditions of Sam's ask for a study; two fit, of which one takes less."""
    student = people.sam_student
    for weeks, place in ((7, "Fairmont"), (8, "Norwood")):
        entry = make.EntryFactory(
            student=student,
            audition__institution__name=place,
            chosen_date__on=student.studio.today + timedelta(weeks=weeks),
        )
        make.RequirementFactory(requirement_set=entry.requirement_set, name="Study")
    make.PieceFactory(studio=people.studio, work="Slow study", hours=4)
    make.PieceFactory(studio=people.studio, work="Quick study", hours=3)
    return student


def plan_of(page, student):
    page.goto(reverse("plan", args=[student.pk]))
    expect(page.get_by_role("heading", name="The plan for Sam")).to_be_visible()


def planned(page):
    """The pieces that the drawing shows."""
    return page.locator(".sharing tbody th[scope=row]")


def wish(page, piece, word):
    page.get_by_role("group", name=piece).get_by_role("button", name=word).click()


def assigned():
    rows = Assignment.objects.select_related("piece", "entry__audition__institution")
    return {(row.entry.audition.institution.name, row.piece.work) for row in rows}


def test_a_pin_answers_at_once_and_the_plan_is_taken_over(people, studies, open_page):
    page = open_page(people.ines.user)
    plan_of(page, studies)
    expect(planned(page)).to_contain_text(["Quick study"])
    page.evaluate("window.stayed = true")

    page.get_by_text("Studies: 1").click()
    wish(page, "Slow study", "In any case")
    expect(planned(page)).to_contain_text(["Slow study"])
    expect(
        page.get_by_role("group", name="Slow study").get_by_role("button", name="In any case")
    ).to_be_focused()
    expect(page.locator("#notices")).to_contain_text("Slow study: in any case.")

    page.get_by_role("button", name="Take over", exact=False).and_(
        page.locator("#take-all")
    ).click()
    expect(page.get_by_text("It is what is assigned now.")).to_be_visible()
    assert assigned() == {("Fairmont", "Slow study"), ("Norwood", "Slow study")}
    assert page.evaluate("window.stayed"), "the page was loaded anew"

    page.locator("#notices").get_by_role("button", name="Undo").click()
    expect(page.get_by_text("Taken back.")).to_be_visible()
    expect(page.get_by_role("heading", name="The plan for Sam")).to_be_visible()
    assert assigned() == set()


def test_worth_is_saved_as_it_is_chosen_and_hours_are_weighed_in_place(people, studies, open_page):
    page = open_page(people.ines.user)
    plan_of(page, studies)
    page.get_by_label("Worth to Sam: Fairmont").select_option("9")
    expect(page.locator("#notices")).to_contain_text("Fairmont: worth 9 of 10.")
    assert Entry.objects.get(audition__institution__name="Fairmont").worth == 9

    page.get_by_role("link", name="Weigh hours against auditions").click()
    expect(page.get_by_role("rowheader", name="3 h")).to_be_visible()
    expect(page.get_by_role("heading", name="The plan for Sam")).to_be_visible()
    expect(page.get_by_text("planned now")).to_be_visible()


def test_without_script_it_is_the_same(people, studies, open_page):
    page = open_page(people.ines.user, script=False)
    plan_of(page, studies)
    page.get_by_text("Studies: 1").click()
    wish(page, "Slow study", "In any case")
    expect(planned(page)).to_contain_text(["Slow study"])

    page.get_by_role("button", name="Leave out Norwood").click()
    expect(page.locator("#notices")).to_contain_text("Norwood: left out of the plan.")
    page.get_by_label("Worth to Sam: Fairmont").select_option("8")
    page.get_by_role("button", name="Save the worth of Fairmont").click()
    expect(page.locator("#notices")).to_contain_text("Fairmont: worth 8 of 10.")

    page.get_by_role("button", name="Take over the whole plan").click()
    expect(page.get_by_text("It is what is assigned now.")).to_be_visible()
    assert assigned() == {("Fairmont", "Slow study")}

    page.get_by_role("link", name="Weigh hours against auditions").click()
    expect(page.get_by_role("heading", name="Hours against auditions")).to_be_visible()
    page.get_by_role("button", name="Plan for these Fairmont and Norwood").click()
    expect(page.get_by_text("2 auditions in the plan.")).to_be_visible()
    assert Entry.objects.filter(kept=True).count() == 2
