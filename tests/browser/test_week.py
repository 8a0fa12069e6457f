"""The week, the letters and everybody's dates as a teacher uses them, with and without script."""

from datetime import timedelta

import pytest
from django.urls import reverse

from studio.entries.models import Entry, Task
from tests.factories import (
    AccompanistFactory,
    AuditionFactory,
    DeadlineFactory,
    EntryFactory,
    InstitutionFactory,
    OfferedDateFactory,
    RecommenderFactory,
    TaskFactory,
)


@pytest.fixture
def sharing(people):
    """Sam and Mia, each for another place with the same two days, and one pianist for both."""
    pianist = AccompanistFactory(studio=people.studio, name="Noa Vick")
    start = people.studio.today + timedelta(weeks=6)
    saturday = start + timedelta(days=(5 - start.weekday()) % 7)
    for student, name in ((people.sam_student, "Lakeside"), (people.mia_student, "Norwood")):
        place = InstitutionFactory(
            studio=people.studio,
            name=f"{name} College",
            short_name=name,
            latitude=41.9,
            longitude=-87.7,
            time_zone="America/Chicago",
        )
        held = AuditionFactory(institution=place, date_choice="chosen")
        days = [OfferedDateFactory(audition=held, on=saturday + timedelta(days=n)) for n in (0, 1)]
        EntryFactory(
            student=student,
            audition=held,
            chosen_date=days[0],
            date_state="asked for",
            accompanist=pianist,
        )
    return saturday


@pytest.mark.parametrize("script", [True, False])
def test_from_a_clash_in_the_week_to_dates_that_go_together(open_page, people, sharing, script):
    page = open_page(people.ines.user, script=script)
    page.goto("/week/")
    page.get_by_role("link", name="Week after")
    assert page.get_by_text("Noa Vick cannot be at").first.is_visible()
    page.get_by_role("link", name="Everybody’s dates").click()
    assert page.get_by_text("Noa Vick cannot be at").is_visible()
    page.get_by_role("button", name="Plan everybody’s dates").click()
    page.get_by_role("button", name="Take over everybody’s dates").click(timeout=60_000)
    page.get_by_text("Taken over: 1 date.").wait_for(timeout=60_000)
    days = set(Entry.objects.values_list("chosen_date__on", flat=True))
    assert days == {sharing, sharing + timedelta(days=1)}
    page.goto(reverse("week", args=[sharing]))
    assert page.get_by_text("Noa Vick cannot be at").count() == 0


@pytest.mark.parametrize("phone", [True, False])
def test_a_letter_is_ticked_where_it_stands_with_its_facts_at_hand(open_page, people, phone):
    writer = RecommenderFactory(student=people.sam_student, name="Ines Amadi", is_ours=True)
    entry = EntryFactory(student=people.sam_student)
    on = people.studio.today + timedelta(days=3)
    deadline = DeadlineFactory(audition=entry.audition, kind="letter", on=on)
    task = TaskFactory(
        entry=entry, deadline=deadline, on=None, doer="other", name="Send it", recommender=writer
    )
    page = open_page(people.ines.user, phone=phone)
    page.goto("/letters/")
    page.get_by_text("What is recorded of Sam").click()
    assert page.get_by_text(str(entry.audition)).is_visible()
    page.locator(f"#tick-{task.pk}").click()
    page.locator(f"#tick-{task.pk}[aria-pressed=true]").wait_for()
    assert Task.objects.get(pk=task.pk).state == "done"
