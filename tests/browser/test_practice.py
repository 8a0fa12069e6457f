"""From a lesson check to a changed Today list, as teacher and student see it on the same day."""

import re
from datetime import timedelta

import pytest
from django.urls import reverse
from playwright.sync_api import expect

from studio.entries.models import LessonCheck, PracticeDay, PracticeLog
from tests import factories as make

DAYS = ("mon", "tue", "wed", "thu", "fri", "sat", "sun")


@pytest.fixture
def sam(people):
    """Sam, an hour on each day, with two pieces of ten hours heard a week ago; seven weeks left."""
    student, today = people.sam_student, people.studio.today
    for day in DAYS:
        setattr(student, f"practice_{day}", 60)
    student.save()
    entry = make.EntryFactory(student=student, chosen_date__on=today + timedelta(weeks=7))
    for work in ("Romance", "Fantasia"):
        piece = make.PieceFactory(studio=people.studio, work=work, hours=40, minutes=5)
        make.AssignmentFactory(entry=entry, piece=piece)
        make.LessonCheckFactory(
            student=student, piece=piece, on=today - timedelta(days=7), tempo=60
        )
    return student


def list_of(page):
    """Return Today's list as a student reads it: minutes and music."""
    lines = page.locator(".practice-lines .cue-what")
    expect(lines.first).to_be_visible()
    return [re.sub(r"\s+", " ", text).strip() for text in lines.all_inner_texts()]


def test_a_lesson_check_changes_todays_list_and_says_what_moved(people, sam, open_page):
    phone = open_page(people.sam.user, phone=True)
    phone.goto(reverse("part"))
    before = list_of(phone)
    assert any("Romance" in line for line in before)
    expect(phone.get_by_role("heading", name="What moved since yesterday")).to_have_count(0)

    lesson = open_page(people.ines.user)
    lesson.goto(reverse("lesson", args=[sam.pk]))
    row = lesson.locator(".lesson-row").filter(has_text="Romance")
    row.get_by_label("Clean tempo").fill("112")
    lesson.get_by_role("button", name="Save the lesson").click()
    result = lesson.get_by_role("region", name="What changed")
    expect(result).to_contain_text("Today’s practice: Fantasia")
    expect(result).not_to_contain_text("Romance 4")

    phone.reload()
    after = list_of(phone)
    assert after != before
    assert not any("Romance" in line and "run-through" not in line for line in after)
    moved = phone.locator(".practice-moved")
    expect(moved).to_contain_text("Heard today: Romance.")
    expect(moved).to_contain_text("Romance: no longer in the plan")
    result.get_by_role("link", name="The coming weeks").click()
    expect(lesson.locator(".practice-moved")).to_contain_text("Heard today: Romance.")
    assert list_of(lesson) == after


def test_a_student_ticks_and_corrects_the_minutes_without_leaving_the_page(people, sam, open_page):
    page = open_page(people.sam.user, phone=True)
    page.goto(reverse("part"))
    lines = list_of(page)
    page.evaluate("window.stayed = true")
    tick = page.locator("#practised-1")
    tick.tap()
    expect(tick).to_have_attribute("aria-pressed", "true")
    expect(page.locator("#notices")).to_contain_text("are logged for")
    assert list_of(page) == lines  # the list stays where it was

    line = page.locator(".practice-lines > li").first
    line.get_by_text("Other minutes").tap()
    line.get_by_label("Minutes in all").fill("7")
    line.get_by_role("button", name="Log it").tap()
    expect(page.locator(".practice-today .section-head")).to_contain_text(
        re.compile(r"\b7 of \d+ min done")
    )
    assert PracticeLog.objects.get().minutes == 7

    line.get_by_text("Other minutes").tap()
    line.get_by_label("Minutes in all").fill("-7")
    line.get_by_role("button", name="Log it").tap()
    expect(line).to_contain_text("Give whole minutes from 0 to 1440.")
    expect(line.get_by_label("Minutes in all")).to_have_value("-7")

    page.get_by_text("I have another number of minutes today").tap()
    page.get_by_label("Minutes", exact=False).last.fill("15")
    page.get_by_role("button", name="Plan by that").tap()
    expect(page.locator("#notices")).to_contain_text("has 15 minutes")
    assert PracticeDay.objects.get().minutes == 15
    assert page.evaluate("window.stayed") is True


def test_without_script_a_tick_leads_back_to_the_part(people, sam, open_page):
    page = open_page(people.sam.user, phone=True, script=False)
    page.goto(reverse("part"))
    page.locator("#practised-1").click()
    expect(page.locator("#practised-1")).to_have_attribute("aria-pressed", "true")
    assert page.url.endswith(reverse("part"))
    assert LessonCheck.objects.filter(source=LessonCheck.Source.STUDENT).count() == 0
