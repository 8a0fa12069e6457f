"""The study time before sight-reading: the clock runs out, then the page says to play."""

from django.urls import reverse
from playwright.sync_api import expect


def test_the_clock_runs_and_then_it_says_play(people, open_page):
    page = open_page(people.sam.user)
    page.goto(reverse("sight_reading", args=[people.sam_student.pk]) + "?seconds=2")
    clock = page.get_by_role("timer")
    expect(clock).to_have_text("0:02")
    expect(page.get_by_text("by the clock, without playing")).to_be_hidden()
    page.get_by_role("button", name="Start").click()
    expect(page.get_by_role("status").filter(has_text="Look, do not play yet.")).to_be_visible()
    expect(page.get_by_role("button", name="Stop")).to_be_focused()
    expect(page.get_by_role("status").filter(has_text="Play.")).to_be_visible()
    expect(clock).to_have_text("0:00")
    expect(page.get_by_role("button", name="Start again")).to_be_focused()


def test_it_can_be_stopped_and_begun_again(people, open_page):
    page = open_page(people.sam.user)
    page.goto(reverse("sight_reading", args=[people.sam_student.pk]) + "?seconds=90")
    page.get_by_role("button", name="Start").click()
    expect(page.get_by_role("timer")).to_have_text("1:29")
    page.get_by_role("button", name="Stop").click()
    expect(page.get_by_role("timer")).to_have_text("1:30")
    expect(page.get_by_role("button", name="Start again")).to_be_visible()


def test_without_script_it_says_to_look_by_the_clock(people, open_page):
    page = open_page(people.sam.user, script=False)
    page.goto(reverse("sight_reading", args=[people.sam_student.pk]) + "?seconds=45")
    expect(page.get_by_text("Look for 45 seconds by the clock")).to_be_visible()
    expect(page.get_by_role("button", name="Start")).to_have_count(0)
