"""One errand for two letters, from the form to the tick; and a chain that is too late says so."""

from datetime import timedelta

import pytest
from django.urls import reverse
from playwright.sync_api import expect

from studio.entries.models import Task
from tests import factories as make

ASK = "Ask for the letter (D. Lowell)"


@pytest.fixture
def letters(people):
    """Sam's two entries, each with a letter that is asked for; D. Lowell writes for Sam."""
    today, made = people.studio.today, []
    lead = {"studio": people.studio, "kind": "letter", "name": "Ask for the letter"}
    make.LeadTimeFactory(**lead, lead=28, shared=True)
    make.RecommenderFactory(student=people.sam_student, name="D. Lowell")
    for n, place in enumerate(("Fairmont", "Carrow")):
        entry = make.EntryFactory(
            student=people.sam_student,
            audition__institution__short_name=place,
            chosen_date__on=today + timedelta(weeks=12 + n),
        )
        on = today + timedelta(weeks=6 + n)
        make.DeadlineFactory(audition=entry.audition, kind="letter", name="letter", on=on)
        made.append(entry)
    return made


def test_two_letters_by_one_recommender_are_one_cue(people, letters, open_page):
    page = open_page(people.ines.user)
    for entry in letters:
        page.goto(reverse("task_edit", args=[entry.tasks.get().pk]))
        page.get_by_label("Recommender").select_option(label="D. Lowell")
        page.get_by_role("button", name="Save", exact=True).click()
        expect(page.get_by_text("saved.")).to_be_visible()
    page.goto(letters[0].student.get_absolute_url())
    cue = page.locator("li.cue").filter(has_text=ASK)
    expect(cue).to_have_count(1)
    expect(cue).to_contain_text(f"{ASK} · Fairmont, Carrow")
    cue.get_by_role("button").click()
    expect(cue.get_by_role("button")).to_have_attribute("aria-pressed", "true")
    assert set(Task.objects.values_list("state", flat=True)) == {"done"}
    cue.get_by_role("button").click()
    expect(cue.get_by_role("button")).to_have_attribute("aria-pressed", "false")
    assert set(Task.objects.values_list("state", flat=True)) == {"open"}


@pytest.fixture
def late(people):
    """A chain of Sam's that takes nine days for an essay due in five."""
    today = people.studio.today
    entry = make.EntryFactory(
        student=people.sam_student,
        audition__institution__short_name="Carrow",
        chosen_date__on=today + timedelta(weeks=9),
    )
    due = make.DeadlineFactory(audition=entry.audition, name="essay", on=today + timedelta(days=5))
    write = make.TaskFactory(entry=entry, deadline=due, on=None, name="Write it", takes=9)
    make.TaskFactory(entry=entry, deadline=due, on=None, name="Send it", after=write)
    return entry


def test_a_chain_that_is_too_late_says_so_and_which_date_would_have_to_move(
    people, late, open_page
):
    page = open_page(people.ines.user)
    page.goto(late.student.get_absolute_url())
    expect(page.locator("li.cue .red").first).to_have_text("Too late.")
    page.get_by_role("link", name="Deadlines", exact=True).click()
    expect(page.get_by_role("heading", name="Too late as things stand")).to_be_visible()
    expect(page.locator(".deadlines-moves li")).to_have_count(1)
    expect(page.locator(".deadlines-moves li")).to_contain_text("4 days longer than")
    expect(page.locator(".deadlines-binding")).to_contain_text("Write it, then Send it")
    expect(page.locator(".deadlines-drawing .deadlines-slur").first).to_be_visible()


def test_on_a_phone_the_table_says_it_without_running_over(people, late, open_page):
    page = open_page(people.ines.user, phone=True)
    page.goto(reverse("deadlines", args=[late.student.pk]))
    expect(page.locator(".deadlines-drawing")).to_be_hidden()
    expect(page.get_by_role("row").filter(has_text="Send it")).to_contain_text("Too late")
    wide = page.evaluate("document.documentElement.scrollWidth - window.innerWidth")
    assert wide <= 0
