"""Five slots typed into a new set by keyboard alone, the keys counted; and without script."""

import re

import pytest
from django.urls import reverse
from playwright.sync_api import expect

from studio.requirements.models import Requirement
from tests.browser.conftest import LAPTOP
from tests.browser.test_every_page import look
from tests.factories import (
    InstitutionFactory,
    InstrumentFactory,
    RequirementFactory,
    RequirementSetFactory,
)

MOST_KEYS = 250  # four a second make about a minute (common practice, no source)


class Keyboard:
    """A keyboard that counts what is pressed."""

    def __init__(self, page):
        self.page, self.pressed = page, 0

    def type(self, *texts):
        """Type texts, and go on with Tab after each but the last."""
        for n, text in enumerate(texts):
            if n:
                self.press("Tab")
            self.page.keyboard.type(text)
            self.pressed += len(text)

    def press(self, key):
        self.page.keyboard.press(key)
        self.pressed += len(key.split("+"))


@pytest.fixture
def asked(people):
    """An empty set of Fairmont for the horn."""
    return RequirementSetFactory(
        institution=InstitutionFactory(studio=people.studio, name="Fairmont University"),
        instrument=InstrumentFactory(studio=people.studio),
    )


def write_page(open_page, people, asked, **how):
    page = open_page(people.ines.user, **how)
    page.goto(reverse("requirement_set_write", args=[asked.pk]))
    return page


def standing(asked):
    return [
        (row.name, row.kind, row.at_least, row.at_most, str(row.parent or ""))
        for row in Requirement.objects.filter(requirement_set=asked).order_by("position")
    ]


def test_five_slots_take_about_a_minute_by_keyboard_alone(people, asked, open_page):
    page = write_page(open_page, people, asked)
    keys = Keyboard(page)
    keys.type("Solo, first movement", "", "", "8", "y", "w")
    keys.press("Enter")
    keys.type("Two contrasting studies", "e", "2", "", "", "", "", "contrasting")
    keys.press("Enter")
    keys.type("Excerpts", "or", "2-3")
    keys.press("Enter")
    keys.type("Scales", "sc", "", "", "y", "", "", "", "major: to 4; octaves: 2")
    keys.press("Enter")
    keys.type("Sight-reading", "si", "", "", "", "", "", "", "", "", "One minute to look")
    keys.press("Control+Enter")

    expect(page.get_by_text("5 added.")).to_be_visible()
    assert standing(asked) == [
        ("Solo, first movement", "solo", 1, None, ""),
        ("Two contrasting studies", "etude", 2, None, ""),
        ("Excerpts", "excerpt", 2, 3, ""),
        ("Scales", "scales", 1, None, ""),
        ("Sight-reading", "sight-reading", 1, None, ""),
    ]
    solo, studies, _, scales, sight = Requirement.objects.order_by("position")
    assert (solo.minutes, solo.memory, solo.piano) == (8, "yes", "with piano")
    assert studies.together == "contrasting"
    assert (scales.scales, scales.memory) == ("major: to 4; octaves: 2", "yes")
    assert sight.details == "One minute to look"
    assert keys.pressed <= MOST_KEYS, keys.pressed

    page.get_by_role("button", name="Undo").click()
    expect(page.get_by_text("Nothing yet.")).to_be_visible()
    assert standing(asked) == []


def test_enter_in_the_last_row_adds_another(people, asked, open_page):
    page = write_page(open_page, people, asked)
    rows = page.locator("[data-write-row]")
    there = rows.count()
    keys = Keyboard(page)
    for n in range(there + 2):
        keys.type(f"Study {n}", "e")
        keys.press("Enter")
    expect(rows).to_have_count(there + 3)
    keys.press("Control+Enter")
    expect(page.get_by_text(f"{there + 2} added.")).to_be_visible()
    assert [name for name, *_ in standing(asked)] == [f"Study {n}" for n in range(there + 2)]


def test_groups_are_typed_too(people, asked, open_page):
    page = write_page(open_page, people, asked)
    keys = Keyboard(page)
    keys.type("One of these", "group: s")
    keys.press("Enter")
    keys.type("> Solo")
    keys.press("Enter")
    keys.type("Study", "e", "", "", "", "", "", "", "", "one")
    keys.press("Control+Enter")
    expect(page.get_by_text("3 added.")).to_be_visible()
    assert standing(asked) == [
        ("One of these", "some of", 1, None, ""),
        ("Solo", "solo", 1, None, "One of these"),
        ("Study", "etude", 1, None, "One of these"),
    ]


def test_rules_are_read_back_when_their_field_is_left(people, asked, open_page):
    page = write_page(open_page, people, asked)
    row = page.locator("[data-write-row]").first
    rules = row.get_by_label("Only pieces with")
    rules.fill("composer: Mozart or Haydn; years: before 1900")
    rules.press("Tab")
    expect(row.get_by_text("by Mozart or Haydn, written before 1900")).to_be_visible()
    rules.fill("composr: Mozart")
    rules.press("Tab")
    expect(row.get_by_text("Did you mean “composer”?")).to_be_visible()

    row.get_by_label("Name").fill("Solo")
    page.keyboard.press("Control+Enter")
    expect(page.get_by_text("Nothing is saved yet.")).to_be_visible()
    expect(rules).to_have_value("composr: Mozart")
    assert look(page) == []
    page.set_viewport_size(LAPTOP)
    rules.fill("composer: Mozart")
    page.keyboard.press("Control+Enter")
    expect(page.get_by_text("1 added.")).to_be_visible()


def test_rules_of_an_added_row_are_read_back_too(people, asked, open_page):
    page = write_page(open_page, people, asked)
    page.locator("[data-write-row]").last.get_by_label("Name").press("Enter")
    added = page.locator("[data-write-row]").last
    added.get_by_label("Only pieces with").fill("genre: aria")
    added.get_by_label("Only pieces with").press("Tab")
    expect(added.locator(".field-help", has_text="aria")).to_be_visible()


def test_an_emptied_name_asks_before_the_row_goes(people, asked, open_page):
    for name in ("Solo", "Study"):
        RequirementFactory(requirement_set=asked, name=name)
    page = write_page(open_page, people, asked)
    asking = []
    page.on("dialog", lambda dialog: (asking.append(dialog.message), dialog.dismiss()))
    names = page.locator("[data-write-row] [name$=-name]:not([type=hidden])")
    names.nth(0).fill("")
    names.nth(0).press("Tab")
    assert asking == ["Remove: “Solo”?"]
    expect(names.nth(0)).to_have_value("Solo")

    page = write_page(open_page, people, asked)
    page.on("dialog", lambda dialog: dialog.accept())
    names = page.locator("[data-write-row] [name$=-name]:not([type=hidden])")
    names.nth(1).fill("")
    names.nth(1).press("Tab")
    page.keyboard.press("Control+Enter")
    expect(page.get_by_text("1 removed.")).to_be_visible()
    assert [name for name, *_ in standing(asked)] == ["Solo"]


def test_the_browser_asks_before_it_leaves_what_is_typed(people, asked, open_page):
    page = write_page(open_page, people, asked)
    asked_of = []
    page.on("dialog", lambda dialog: (asked_of.append(dialog.type), dialog.accept()))
    page.keyboard.type("Solo")
    page.get_by_role("link", name="Cancel").click()
    expect(page.get_by_text("Nothing yet.")).to_be_visible()
    assert asked_of == ["beforeunload"]


def test_without_script_it_is_a_plain_form_with_more_rows(people, asked, open_page):
    page = write_page(open_page, people, asked, script=False)
    rows = page.locator("[data-write-row]")
    there = rows.count()
    rows.nth(0).get_by_label("Name").fill("Solo")
    page.get_by_role("button", name="More rows").click()
    assert rows.count() > there
    rows.nth(there).get_by_label("Name").fill("Study")
    rows.nth(there).get_by_label("Kind").select_option("etude")
    page.get_by_role("button", name="Save", exact=True).click()
    expect(page).to_have_url(re.compile(reverse("requirement_set", args=[asked.pk])))
    assert [name for name, *_ in standing(asked)] == ["Solo", "Study"]
