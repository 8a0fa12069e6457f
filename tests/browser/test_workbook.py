"""A workbook with a wrong date is refused by its cell; the right one is shown, then loaded."""

from django.urls import reverse
from playwright.sync_api import expect

from studio.students.models import DayAway, Student
from tests.studio.workbooks import base

KIND = "application/vnd.openxmlformats-officedocument.spreadsheetml.sheet"


def workbook(last):
    """Return an upload of two new students, one of them away until `last`."""
    students = [["student", "instrument"], ["Nia Castellan", "Horn"], ["Jo Lindahl", "Horn"]]
    away = [["student", "first day", "last day"], ["Nia Castellan", "2026-12-24", last]]
    ((name, content),) = base(students=students, away=away)
    return {"name": name, "mimeType": KIND, "buffer": content}


def load(page, upload):
    page.locator("[type=file]").set_input_files(upload)
    page.get_by_role("button", name="Show what it would do").click()


def test_a_wrong_date_is_shown_then_the_right_file_reaches_the_score(people, open_page):
    page = open_page(people.ines.user)
    page.goto(reverse("workbook"))

    load(page, workbook("31 February 2027"))
    problem = page.get_by_role("row").filter(has_text="31 February 2027")
    expect(problem).to_contain_text("away, row 2")
    expect(problem.get_by_role("cell").first).to_have_text("last day")
    expect(page.get_by_role("button", name="Load it")).to_have_count(0)
    assert not Student.objects.filter(name="Nia Castellan").exists()

    load(page, workbook("2027-01-02"))
    added = page.get_by_role("row").filter(has=page.get_by_role("rowheader", name="students"))
    expect(added.get_by_role("cell").first).to_have_text("2")
    assert not Student.objects.filter(name="Nia Castellan").exists()
    page.get_by_role("button", name="Load it").click()
    expect(page.get_by_text("Loaded:")).to_be_visible()
    assert DayAway.objects.filter(student__name="Nia Castellan").count() == 1

    page.get_by_role("link", name="Score").click()
    expect(page.locator(".score-row").filter(has_text="Nia Castellan")).to_be_visible()
