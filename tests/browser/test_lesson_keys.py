"""The lesson page by keyboard alone: down the column of tempos, and saved from the last."""

from django.urls import reverse

from studio.entries.models import LessonCheck
from tests.browser.season import entry_around_today


def test_enter_goes_down_the_tempos_and_saves_after_the_last(people, open_page):
    entry_around_today(people.sam_student)
    page = open_page(people.ines.user)
    page.goto(reverse("lesson", args=[people.sam_student.pk]))
    for tempo in ("108", "104"):
        page.keyboard.type(tempo)
        page.keyboard.press("Enter")
    page.get_by_role("heading", name="What changed").wait_for()
    saved = LessonCheck.objects.filter(student=people.sam_student, on=people.studio.today)
    assert sorted(saved.values_list("tempo", flat=True)) == [104, 108]


def test_ctrl_enter_saves_from_anywhere_and_no_script_is_needed(people, open_page):
    entry_around_today(people.sam_student)
    for script, keys in ((True, "Control+Enter"), (False, "Enter")):
        page = open_page(people.ines.user, script=script)
        page.goto(reverse("lesson", args=[people.sam_student.pk]))
        page.get_by_label("Note").first.fill(f"Saved by {keys}")
        page.keyboard.press(keys)
        page.get_by_role("heading", name="What changed").wait_for()
        assert LessonCheck.objects.filter(note=f"Saved by {keys}").exists()
