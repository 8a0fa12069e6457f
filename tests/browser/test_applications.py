"""A recording from its rules to the right takes, a student's question, and the pages about it."""

from datetime import timedelta

import pytest
from django.urls import reverse
from playwright.sync_api import expect

from studio.entries.models import Take, TrialLesson
from tests import factories as make
from tests.browser.season import entry_around_today
from tests.browser.test_every_page import look


@pytest.fixture
def entry(people):
    """An entry with a study and a solo for a screening recording due in twelve days."""
    entry = entry_around_today(people.sam_student)
    for position, name in enumerate(("Slow study", "Solo"), start=1):
        make.AssignmentFactory(
            entry=entry,
            requirement__name=name,
            requirement__position=position,
            requirement__round="screening",
            piece__work=f"The {name.lower()}",
        )
    due = people.studio.today + timedelta(days=12)
    make.DeadlineFactory(audition=entry.audition, kind="recording", name="recording", on=due)
    return entry


@pytest.fixture
def lesson(people):
    return make.TrialLessonFactory(
        student=people.sam_student,
        institution__name="Lake Ardent Conservatory",
        teacher="P. Osei",
        reply="yes",
        on=people.studio.today + timedelta(days=9),
    )


def write_rules(page, entry):
    page.goto(entry.requirement_set.get_absolute_url())
    page.get_by_role("link", name="Add how a recording is made").click()
    page.get_by_label("Files").select_option("One file for each piece")
    page.get_by_label("Editing allowed").select_option("No")
    page.get_by_label("Speaking allowed").select_option("No")
    page.get_by_label("Months old, at most").fill("6")
    page.get_by_role("button", name="Save").click()
    expect(page.locator("main")).to_contain_text("One file for each piece; not edited")


def add_take(page, piece, *, speaks=False):
    page.get_by_role("link", name="Add a take").click()
    page.get_by_label("Where it is").fill(f"{piece}.wav")
    page.get_by_label(piece).check()
    page.get_by_label("Edited").select_option("No")
    if not speaks:
        page.get_by_label("Heard: nobody speaks").check()
    page.get_by_label("This is the one to be sent").check()
    page.get_by_role("button", name="Save", exact=True).click()


def test_a_recording_goes_from_its_rules_to_being_right(people, entry, open_page):
    page = open_page(people.ines.user)
    write_rules(page, entry)
    page.goto(entry.get_absolute_url())
    page.get_by_role("link", name="Takes").click()
    main = page.locator("main")
    expect(main).to_contain_text("Record “The slow study” and “The solo”")
    add_take(page, "The slow study")
    expect(main).to_contain_text("Record “The solo” by")
    add_take(page, "The solo", speaks=True)
    expect(main).to_contain_text("Look and listen: that nobody speaks")
    page.locator(".take").filter(has_text="The solo").get_by_role("link", name="Edit").click()
    page.get_by_label("Heard: nobody speaks").check()
    page.get_by_role("button", name="Save", exact=True).click()
    expect(main).to_contain_text("All that is asked for is there")
    expect(page.get_by_text("missing", exact=True)).to_have_count(0)
    assert Take.objects.filter(chosen=True).count() == 2


def test_a_student_writes_a_question_on_a_phone(people, entry, lesson, open_page):
    page = open_page(people.sam.user, phone=True)
    page.goto(reverse("part"))
    page.get_by_role("link", name="Write your questions").tap()
    expect(page.get_by_label("With")).to_have_count(0)
    page.get_by_label("Questions to take along").fill("Who else teaches?")
    page.get_by_role("button", name="Save").tap()
    expect(page.locator("#trial-lessons")).to_be_visible()
    expect(page.locator("main")).to_contain_text("Who else teaches?")
    assert TrialLesson.objects.get().questions == "Who else teaches?"


def test_without_script_a_result_is_written_and_told(people, entry, open_page):
    entry.audition.reply_by = people.studio.today + timedelta(days=5)
    entry.audition.save()
    page = open_page(people.ines.user, script=False)
    page.goto(entry.get_absolute_url())
    page.locator("#id_result").select_option("Offered a place")
    page.get_by_role("button", name="Save the result").click()
    expect(page.locator("main")).to_contain_text("Reply to the offer by")
    page.get_by_role("link", name="All results").click()
    expect(page.get_by_role("heading", name="A reply is wanted")).to_be_visible()


def test_the_pages_can_be_read_by_everybody(people, entry, lesson, open_page):
    rules = make.RecordingRulesFactory(requirement_set=entry.requirement_set, notes="By link.")
    pieces = [a.piece for a in entry.assignments.filter(requirement__round="screening")]
    take = make.TakeFactory(entry=entry, rules=rules, pieces=pieces, edited="yes")
    sam = people.sam_student.pk
    page = open_page(people.ines.user)
    for name, key in (
        ("applications", sam),
        ("trial_lessons", sam),
        ("trial_lesson_edit", lesson.pk),
        ("recordings", entry.pk),
        ("take_edit", take.pk),
        ("recording_rules_edit", rules.pk),
        ("requirement_set", entry.requirement_set_id),
        ("entry", entry.pk),
        ("student", sam),
        ("results", None),
    ):
        page.goto(reverse(name, args=[key] if key else []))
        assert look(page) == [], name
