"""With JavaScript off the same two acts work: a cue is ticked, a lesson is written down."""

from django.urls import reverse
from playwright.sync_api import expect

from studio.entries.models import LessonCheck, Task
from tests.browser.season import entry_around_today


def test_a_cue_is_ticked_without_script(people, open_page):
    entry_around_today(people.sam_student)
    page = open_page(people.ines.user, script=False)
    page.goto(reverse("score"))
    cue = page.locator("li.cue").filter(has_text="Write the letter")
    cue.get_by_role("button", name="Write the letter").click()
    expect(page.get_by_text("Write the letter: done.")).to_be_visible()
    expect(page.get_by_role("heading", name="Full score")).to_be_visible()
    expect(cue).to_have_count(0)
    assert Task.objects.get(name="Write the letter").state == Task.State.DONE


def test_a_lesson_is_saved_without_script(people, open_page):
    entry_around_today(people.sam_student)
    page = open_page(people.ines.user, script=False)
    page.goto(reverse("lesson", args=[people.sam_student.pk]))
    for tempo in page.get_by_label("Clean tempo").all():
        tempo.fill("109")
    page.get_by_role("button", name="Save the lesson").click()
    expect(page.get_by_role("heading", name="What changed")).to_be_visible()
    todays = LessonCheck.objects.filter(on=people.studio.today, student=people.sam_student)
    assert [check.tempo for check in todays] == [109, 109]
