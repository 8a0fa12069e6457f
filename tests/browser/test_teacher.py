"""The teacher from sign-in over the score, a cue and a lesson to the sheet on paper."""

import io
import re

from django.urls import reverse
from playwright.sync_api import expect
from pypdf import PdfReader

from studio.entries.models import LessonCheck
from tests.browser.conftest import sign_in
from tests.browser.season import entry_around_today

KEYBOARD_TEMPO = "110"


def drawn(page, student):
    """Return the figure and the hairpin's points that the score shows for `student`."""
    row = page.locator(".score-strip").filter(has_text=student.name)
    points = row.locator(".hairpin-heard").get_attribute("points")
    return int(row.locator(".score-figure").text_content()), points


def test_from_the_sign_in_over_the_score_and_a_lesson_to_the_printed_sheet(people, open_page):
    student = people.sam_student
    entry = entry_around_today(student)
    page = open_page()

    sign_in(page, people.ines.user)
    expect(page.get_by_role("heading", name="Full score, 2026–27")).to_be_visible()
    before, points = drawn(page, student)

    tick_in_place(page, student)
    page.locator(".score-row").filter(has_text=student.name).click()
    expect(page.get_by_role("heading", level=1, name="Sam")).to_be_visible()
    page.get_by_role("link", name="Lesson", exact=True).click()
    expect(page.get_by_role("heading", name="Sam’s lesson")).to_be_visible()
    type_a_lesson(page)
    expect(page.get_by_role("heading", name="What changed")).to_be_visible()
    assert [check.tempo for check in LessonCheck.objects.filter(on=student.studio.today)] == [
        int(KEYBOARD_TEMPO)
    ] * 2

    page.get_by_role("link", name="Score").click()
    expect(page.get_by_role("heading", name="Full score")).to_be_visible()
    after, points_after = drawn(page, student)
    assert after > before
    assert points_after != points

    page.locator(".score-row").filter(has_text=student.name).click()
    page.get_by_role("link", name="The whole day").click()
    expect(page).to_have_url(re.compile(reverse("day", args=[entry.pk])))
    printed = sheet(page)
    assert len(printed.pages) == 1
    words = printed.pages[0].extract_text()
    assert student.name in words
    assert "10:40" in words


def tick_in_place(page, student):
    """Tick a cue beside the score: it fades there and then, and its notehead with it."""
    name = "Done: Fairmont University, Write the letter"
    page.evaluate("window.stayed = true")
    cue = page.locator("li.cue").filter(has_text="Write the letter")
    expect(page.locator(".score-note.score-done")).to_have_count(1)
    cue.get_by_role("button", name=name).click()
    expect(page.locator("li.cue-done").filter(has_text="Write the letter")).to_be_visible()
    expect(page.locator(".score-note.score-done")).to_have_count(2)
    assert page.evaluate("window.stayed") is True
    page.reload()
    expect(page.locator("li.cue").filter(has_text="Write the letter")).to_have_count(0)
    expect(page.locator(".score-note.score-done")).to_have_count(2)


def type_a_lesson(page):
    """Enter a clean tempo for both pieces by keyboard alone: the field is there to be typed in."""
    page.wait_for_load_state()
    for _ in range(2):
        page.keyboard.type(KEYBOARD_TEMPO)
        page.keyboard.press("Enter")


def sheet(page):
    """Return the PDF behind the day's link, as the browser would fetch it."""
    link = page.get_by_role("link", name="Print the day sheet, Letter").get_attribute("href")
    answer = page.request.get(link)
    assert answer.headers["content-type"] == "application/pdf"
    return PdfReader(io.BytesIO(answer.body()))
