"""The routine before sight-reading: how long may be looked, and at what."""

from datetime import date
from itertools import count

import pytest
import time_machine
from django.urls import reverse

from tests.factories import EntryFactory, RequirementFactory

pytestmark = pytest.mark.django_db


@pytest.fixture(autouse=True)
def in_january():
    with time_machine.travel("2027-01-12T18:00:00Z", tick=False):
        yield


@pytest.fixture
def reads(people):
    """Enter Sam where sight-reading is asked with so many seconds to look."""

    days = count(7)  # one audition after the other

    def made(name, seconds):
        entry = EntryFactory(
            student=people.sam_student,
            audition__institution__short_name=name,
            chosen_date__on=date(2027, 2, next(days)),
        )
        RequirementFactory(
            requirement_set=entry.requirement_set,
            name="Reading",
            kind="sight-reading",
            study_seconds=seconds,
        )

    return made


def shown(client, people, query=""):
    """Return the page's sight.SightReading and its HTML."""
    response = client.get(reverse("sight_reading", args=[people.sam_student.pk]) + query)
    assert response.status_code == 200
    return response.context["page"], response.content.decode()


def test_thirty_seconds_where_no_time_is_stated(as_student, people, reads):
    reads("Carrow", None)
    page, html = shown(as_student, people)
    assert (page.seconds, page.clock) == (30, "0:30")
    assert "30 seconds are common practice, no source." in html
    assert "Carrow: no time stated." in html


def test_the_time_that_an_audition_states(as_student, people, reads):
    reads("Carrow", 90)
    page, html = shown(as_student, people)
    assert (page.seconds, page.clock) == (90, "1:30")
    assert "Stated by Carrow." in html
    assert "Look for 1 minute 30 seconds" in html


def test_several_times_can_be_chosen_from_the_shortest_first(as_student, people, reads):
    reads("Carrow", 60)
    reads("Fairmont", 30)
    reads("Norwood", 60)
    page, _ = shown(as_student, people)
    assert [(each.seconds, each.who) for each in page.stated] == [
        (30, "Fairmont"),
        (60, "Carrow and Norwood"),
    ]
    assert page.seconds == 30
    assert shown(as_student, people, "?seconds=60")[0].grounds == "Stated by Carrow and Norwood."


def test_another_time_can_be_chosen(as_student, people):
    page, html = shown(as_student, people, "?seconds=45")
    assert (page.seconds, page.grounds) == (45, "As you chose.")
    assert 'data-seconds="45"' in html


@pytest.mark.parametrize("wanted", ["0", "3601", "-5", "soon", "９", "1" * 5000])
def test_seconds_that_cannot_be(wanted, as_student, people):
    page, html = shown(as_student, people, f"?seconds={wanted}")
    assert page.seconds == 30
    assert "Give seconds from 1 to 3600." in html


def test_the_routine_is_the_teachers(as_student, people):
    people.studio.sight_reading = "  Key \n\nMetre\n<b>Leaps</b>"
    people.studio.save()
    page, html = shown(as_student, people)
    assert page.routine == ["Key", "Metre", "<b>Leaps</b>"]
    assert "&lt;b&gt;Leaps&lt;/b&gt;" in html


def test_without_a_routine_it_is_said(as_student, people):
    people.studio.sight_reading = ""
    people.studio.save()
    assert "The studio has written nothing down yet" in shown(as_student, people)[1]


def test_without_script_it_says_to_look_by_the_clock(as_student, people):
    assert "Look for 30 seconds by the clock, without playing. Then play." in " ".join(
        shown(as_student, people)[1].split()
    )


def test_the_teacher_writes_the_routine_in_the_settings(as_teacher, people):
    html = as_teacher.get(reverse("studio")).content.decode()
    assert 'name="sight_reading"' in html


def test_strangers_find_nothing(client, people):
    for seat in (people.mia, people.otto):
        client.force_login(seat.user)
        url = reverse("sight_reading", args=[people.sam_student.pk])
        assert client.get(url).status_code == 404


def test_the_teacher_changes_the_routine(as_teacher, people):
    form = as_teacher.get(reverse("studio")).context["form"]
    data = {name: form[name].value() or "" for name in form.fields} | {"sight_reading": "Leaps"}
    response = as_teacher.post(reverse("studio"), data)
    assert response.status_code == 302, response.context["form"].errors
    people.studio.refresh_from_db()
    assert people.studio.sight_reading == "Leaps"
