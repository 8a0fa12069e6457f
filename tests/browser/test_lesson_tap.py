"""Tapping a tempo in a lesson: by mouse, thumb and key, on a clock that the test moves."""

import pytest
from django.urls import reverse
from playwright.sync_api import expect

from studio.entries.models import LessonCheck
from tests.browser.season import entry_around_today


@pytest.fixture
def lesson(people, open_page):
    """Open Sam's lesson with its clock standing still; return (page, first tempo, its button)."""
    entry_around_today(people.sam_student)

    def opened(**how):
        page = open_page(people.ines.user, **how)
        if how.get("script", True):
            page.clock.install()
        page.goto(reverse("lesson", args=[people.sam_student.pk]))
        page.clock.pause_at(page.evaluate("Date.now()") + 1000)
        return page, page.get_by_label("Clean tempo").first, page.locator(".tap").first

    return opened


def beats(page, tap, *gaps):
    """Tap once, and again after each of these gaps in milliseconds."""
    tap()
    for gap in gaps:
        page.clock.run_for(gap)
        tap()


def test_three_taps_write_the_tempo_and_two_do_not(lesson):
    page, tempo, button = lesson()
    beats(page, button.click, 625)
    expect(tempo).to_have_value("")
    beats(page, lambda: None, 625)
    button.click()
    expect(tempo).to_have_value("96")


@pytest.mark.parametrize(
    ("gaps", "written"),
    [
        ((500, 500, 500), "120"),
        ((500, 1000, 500, 500), "120"),  # one beat missed
        ((500, 480, 520, 60, 440, 500), "122"),  # one hit twice: the median is 490 ms
        ((100, 100, 100), "400"),
        ((2400, 2400), "25"),
        ((1000,) * 4 + (500,) * 8, "120"),  # the last eight count
    ],
)
def test_the_median_of_the_last_taps_is_the_tempo(lesson, gaps, written):
    page, tempo, button = lesson()
    beats(page, button.click, *gaps)
    expect(tempo).to_have_value(written)


def test_after_a_pause_it_begins_anew(lesson):
    page, tempo, button = lesson()
    beats(page, button.click, 500, 500)
    expect(tempo).to_have_value("120")
    page.clock.run_for(2600)
    beats(page, button.click, 750)
    expect(tempo).to_have_value("120")
    page.clock.run_for(750)
    button.click()
    expect(tempo).to_have_value("80")


def test_another_field_begins_anew(lesson):
    page, tempo, button = lesson()
    second = page.locator(".tap").nth(1)
    beats(page, button.click, 500)
    page.clock.run_for(500)
    beats(page, second.click, 500)
    expect(tempo).to_have_value("")
    expect(page.get_by_label("Clean tempo").nth(1)).to_have_value("")


def test_keys_tap_on_the_button_and_in_the_field(lesson):
    page, tempo, button = lesson()
    button.focus()
    for key in ("Space", "Enter"):
        beats(page, lambda key=key: page.keyboard.press(key), 600, 600)
        expect(tempo).to_have_value("100")
        tempo.fill("")
        button.focus()
        page.clock.run_for(3000)
    tempo.focus()
    beats(page, lambda: page.keyboard.press("t"), 400, 400)
    expect(tempo).to_have_value("150")
    expect(tempo).to_be_focused()
    page.keyboard.press("Control+a")
    page.keyboard.type("96")
    expect(tempo).to_have_value("96")


def test_a_key_held_down_is_one_tap(lesson):
    page, tempo, _ = lesson()
    tempo.focus()
    for _ in range(5):
        page.keyboard.down("t")
        page.clock.run_for(40)
    page.keyboard.up("t")
    expect(tempo).to_have_value("")


def test_the_tempo_is_told_once_the_tapping_ends(lesson):
    page, _, button = lesson()
    told = page.locator("main > p[role=status]")
    beats(page, button.click, 500, 500, 500)
    expect(told).to_have_text("")
    page.clock.run_for(800)
    expect(told).to_have_text("120 beats a minute")


def test_a_thumb_taps_and_the_lesson_is_saved(lesson, people):
    page, tempo, button = lesson(phone=True)
    box = button.bounding_box()
    assert min(box["width"], box["height"]) >= 44
    assert page.evaluate("document.documentElement.scrollWidth") <= 390
    tempo.focus()
    beats(page, button.tap, 500, 500, 500)
    expect(tempo).to_be_focused()  # so a phone's keyboard stays, and the button under the thumb
    page.clock.resume()
    page.get_by_role("button", name="Save the lesson").tap()
    page.get_by_role("heading", name="What changed").wait_for()
    on = people.studio.today
    assert LessonCheck.objects.filter(student=people.sam_student, on=on, tempo=120).exists()


def test_without_script_the_tempo_is_typed(people, open_page):
    entry_around_today(people.sam_student)
    page = open_page(people.ines.user, script=False)
    page.goto(reverse("lesson", args=[people.sam_student.pk]))
    expect(page.locator(".tap")).to_have_count(0)
    expect(page.get_by_label("Clean tempo").first).to_be_visible()
