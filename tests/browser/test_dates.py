"""Dates are ranked and banned, the plan answers and is taken over; with JavaScript and without."""

from datetime import time, timedelta

import pytest
from django.urls import reverse
from playwright.sync_api import expect

from studio.entries.dates_map import room
from studio.entries.models import DateWish, Entry
from tests import factories as make


@pytest.fixture
def dates(people):
    """Sam's audition at Fairmont, far away, offers a Saturday and a Friday with school."""
    student = people.sam_student
    held = make.AuditionFactory(
        institution__studio=people.studio, institution__name="Fairmont", date_choice="ranked"
    )
    today = student.studio.today
    saturday = today + timedelta(days=(5 - today.weekday()) % 7 + 42)
    for on in (saturday, saturday + timedelta(days=6)):
        make.OfferedDateFactory(audition=held, on=on, starts=time(10), ends=time(15))
    make.EntryFactory(student=student, audition=held, chosen_date=None, date_state="open")
    return saturday, saturday + timedelta(days=6)


def said(on):
    return f"{on:%a} {on.day} {on:%b}"


def plan_of(page, people):
    page.goto(reverse("dates_plan", args=[people.sam_student.pk]))
    expect(page.get_by_role("heading", name="The dates of Sam")).to_be_visible()


def taken(page):
    """The date that the plan takes, in its list of offers."""
    return page.locator(".dates-offers .dates-taken")


def wish(page, on, word):
    page.get_by_role("group", name=said(on)).get_by_role("button", name=word).click()


def rank(page, *days):
    for place, on in enumerate(days, start=1):
        page.get_by_label(f"Place of {on.day} {on:%B} in the order").fill(str(place))
    page.get_by_role("button", name="Save the order of the dates of Fairmont").click()


def test_the_plan_answers_a_rank_and_a_ban_and_is_taken_over(people, dates, open_page):
    saturday, friday = dates
    page = open_page(people.ines.user)
    plan_of(page, people)
    expect(taken(page)).to_contain_text(said(saturday))
    page.evaluate("window.stayed = true")

    rank(page, friday, saturday)
    expect(page.locator("#notices")).to_contain_text("Fairmont: 2 dates ranked.")
    assert {wish.date.on: wish.rank for wish in DateWish.objects.select_related("date")} == {
        friday: 1,
        saturday: 2,
    }

    wish(page, saturday, "Not this one")
    expect(taken(page)).to_contain_text(said(friday))
    expect(page.locator("#notices")).to_contain_text("not this one")
    expect(
        page.get_by_role("group", name=said(saturday)).get_by_role("button", name="Not this one")
    ).to_be_focused()

    page.get_by_role("button", name="Take over the whole plan").click()
    expect(page.get_by_text("It is what is chosen now.")).to_be_visible()
    entry = Entry.objects.get()
    assert (entry.on, entry.date_state) == (friday, "ranked")
    assert page.evaluate("window.stayed"), "the page was loaded anew"

    page.locator("#notices").get_by_role("button", name="Undo").click()
    expect(page.get_by_text("Taken back.")).to_be_visible()
    assert Entry.objects.get().chosen_date is None


def test_two_dates_at_one_place_in_the_order_are_refused_in_place(people, dates, open_page):
    saturday, friday = dates
    page = open_page(people.ines.user)
    plan_of(page, people)
    for on in (saturday, friday):
        page.get_by_label(f"Place of {on.day} {on:%B} in the order").fill("1")
    page.get_by_role("button", name="Save the order of the dates of Fairmont").click()
    expect(page.get_by_text("Two dates have the same place in the order")).to_be_visible()
    assert not DateWish.objects.exists()


def test_without_script_it_is_the_same(people, dates, open_page):
    saturday, friday = dates
    page = open_page(people.ines.user, script=False)
    plan_of(page, people)
    wish(page, saturday, "Not this one")
    expect(taken(page)).to_contain_text(said(friday))
    rank(page, friday, saturday)
    expect(page.locator("#notices")).to_contain_text("Fairmont: 2 dates ranked.")
    page.get_by_role("button", name="Take over the whole plan").click()
    expect(page.get_by_text("It is what is chosen now.")).to_be_visible()
    page.get_by_role("button", name="Leave out Fairmont").click()
    expect(page.locator("#notices")).to_contain_text("Fairmont: left out of the plan.")
    expect(page.get_by_text("No audition is in the plan")).to_be_visible()


@pytest.mark.parametrize("phone", [False, True])
def test_no_word_of_the_map_is_wider_than_reckoned_or_stands_on_another(
    people, dates, open_page, phone
):
    names = ("Wexcombe Conservatoire", "MWM Mammoth Mountain", "Žižkov Łódź Ångström", "Ill Jit")
    for n, name in enumerate((*names, "Old Harbour", "Elm Fork", "Sable Point", "Lower Salt")):
        held = make.AuditionFactory(
            institution__studio=people.studio,
            institution__name=name,
            institution__latitude=41 + 0.4 * (n % 3),
            institution__longitude=-88 + 0.5 * n,
        )
        make.OfferedDateFactory(audition=held, on=dates[0] + timedelta(weeks=n + 2))
        make.EntryFactory(
            student=people.sam_student, audition=held, chosen_date=None, date_state="open"
        )
    page = open_page(people.ines.user, phone=phone)
    plan_of(page, people)
    page.evaluate("document.fonts.ready")
    drawn = page.locator(
        f".dates-map-{'narrow' if phone else 'wide'} > text:not(.dates-scale-word)"
    )
    assert drawn.count() > 12
    for text, wide in drawn.evaluate_all(WIDTHS):
        assert wide <= room(text), text
    boxes = [drawn.nth(n).bounding_box() for n in range(drawn.count())]
    assert not [(a, b) for n, a in enumerate(boxes) for b in boxes[n + 1 :] if meet(a, b)]
    assert page.evaluate("document.documentElement.scrollWidth - innerWidth") <= 0


WIDTHS = "all => all.map(each => [each.textContent, each.getComputedTextLength()])"


def meet(a, b):
    """Whether the letters overlap: a text's box holds as much air above and below them."""
    across = min(a["x"] + a["width"], b["x"] + b["width"]) - max(a["x"], b["x"])
    middles = abs(a["y"] + a["height"] / 2 - b["y"] - b["height"] / 2)
    return across > 0 and middles < (a["height"] + b["height"]) / 4
