"""The student on a phone: their own part, their own cues and log, and nothing of anybody else."""

import re
from contextlib import contextmanager

import pytest
from django.urls import reverse
from playwright.sync_api import expect

from studio.entries.models import LessonCheck, Task
from tests.browser.conftest import sign_in
from tests.browser.season import entry_around_today


@pytest.fixture
def entry(people):
    return entry_around_today(people.sam_student)


def cue(page, name):
    return page.locator("li.cue").filter(has_text=name)


@contextmanager
def staying(page):
    """Fail if the page is loaded anew."""
    page.evaluate("window.stayed = true")
    yield
    assert page.evaluate("window.stayed") is True


def test_a_student_sees_ticks_and_logs_on_a_phone(people, entry, open_page):
    page = open_page(phone=True)
    sign_in(page, people.sam.user)
    expect(page.get_by_role("heading", level=1)).to_have_text(re.compile("Sam"))
    expect(page.get_by_role("heading", name="Next audition")).to_contain_text("Fairmont")
    expect(page.locator(".part-hairpin .hairpin-heard")).to_be_visible()

    tick = cue(page, "Ask for a letter").get_by_role("button")
    with staying(page):
        tick.tap()
        expect(tick).to_have_attribute("aria-pressed", "true")
        assert Task.objects.get(name="Ask for a letter").done_by == people.sam.user
        tick.tap()
        expect(tick).to_have_attribute("aria-pressed", "false")
    assert Task.objects.get(name="Ask for a letter").state == Task.State.OPEN

    log_a_tempo(page, "101")
    own = LessonCheck.objects.get(on=people.studio.today)
    assert (own.tempo, own.source) == (101, LessonCheck.Source.STUDENT)


def log_a_tempo(page, tempo):
    """Log a clean tempo of the first piece: it stands under it as the student's own."""
    piece = page.locator(".part-piece").first
    figure = piece.locator(".line-mark").inner_text()
    piece.get_by_text("Log a clean tempo").tap()
    piece.get_by_label("Clean tempo").fill(tempo)
    piece.get_by_role("button", name="Log it").tap()
    expect(piece.get_by_text(f"Your own: {tempo}")).to_be_visible()
    expect(piece.locator(".line-mark")).to_have_text(figure)  # the figure stays the teacher's


def test_a_student_opens_the_day_and_its_sheet(people, entry, open_page):
    page = open_page(people.sam.user, phone=True)
    page.goto(reverse("part"))
    page.get_by_role("link", name="The whole day").tap()
    expect(page.get_by_role("heading", level=1, name="Sam Reyes")).to_be_visible()
    expect(page.get_by_role("link", name="Edit the day")).to_have_count(0)
    link = page.get_by_role("link", name="Print the day sheet, Letter").get_attribute("href")
    assert page.request.get(link).body().startswith(b"%PDF-")


def test_a_teachers_cue_has_no_tick(people, entry, open_page):
    page = open_page(people.sam.user, phone=True)
    page.goto(reverse("part"))
    expect(cue(page, "Write the letter")).to_be_visible()
    expect(cue(page, "Write the letter").get_by_role("button")).to_have_count(0)
    expect(cue(page, "Ask for a letter").get_by_role("button")).to_have_count(1)


def test_the_score_and_other_parts_are_not_found(people, entry, open_page):
    others = entry_around_today(people.mia_student, place="Lake Ardent Conservatory")
    page = open_page(people.sam.user, phone=True)
    for address in (
        reverse("score"),
        reverse("student", args=[people.mia_student.pk]),
        reverse("day", args=[others.pk]),
    ):
        assert page.goto(address).status == 404
        expect(page.locator("main")).not_to_contain_text("Mia")
        expect(page.locator("main").get_by_role("heading", level=1)).to_be_visible()
