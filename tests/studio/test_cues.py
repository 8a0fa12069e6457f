"""Cues: who may tick what, in place or without JavaScript."""

from datetime import date

import pytest
import time_machine
from django.urls import reverse

from studio.accounts.models import Change
from studio.entries.models import Task
from tests.factories import DeadlineFactory, EntryFactory, TaskFactory

pytestmark = [pytest.mark.django_db, pytest.mark.usefixtures("in_january")]
HTMX = {"HX-Request": "true"}


@pytest.fixture
def in_january():
    with time_machine.travel("2027-01-12T18:00:00Z", tick=False):
        yield


@pytest.fixture
def entry(people):
    return EntryFactory(
        student=people.sam_student, audition__institution__name="Hollins Bay School"
    )


def tick(client, task, headers=None, **posted):
    return client.post(reverse("task_tick", args=[task.pk]), posted, headers=headers)


def test_a_student_ticks_a_cue_of_their_own_and_back(as_student, people, entry):
    task = TaskFactory(entry=entry)
    response = tick(as_student, task)
    task.refresh_from_db()
    assert (task.state, task.done_on) == (Task.State.DONE, date(2027, 1, 12))
    assert task.done_by == people.sam.user
    assert response.url == reverse("part")
    tick(as_student, task)
    task.refresh_from_db()
    assert (task.state, task.done_on, task.done_by) == (Task.State.OPEN, None, None)


def test_the_day_it_was_done_is_the_students_own(as_teacher, people, entry):
    people.sam_student.time_zone = "Asia/Tokyo"
    people.sam_student.save()
    task = TaskFactory(entry=entry)
    tick(as_teacher, task)
    task.refresh_from_db()
    assert task.done_on == date(2027, 1, 13)


def test_without_javascript_it_leads_back_with_a_way_to_undo(as_student, entry):
    task = TaskFactory(entry=entry, name="Send the recording")
    response = tick(as_student, task, next="/account/password/change/")
    assert response.url == "/account/password/change/"
    page = as_student.get(response.url).content.decode()
    assert "Hollins Bay School, Send the recording: done." in page
    batch = Change.objects.get(model="entries.task", action="changed").batch
    as_student.post(reverse("undo", args=[batch]))
    task.refresh_from_db()
    assert task.state == Task.State.OPEN


def test_it_leads_to_no_other_site(as_student, entry):
    task = TaskFactory(entry=entry)
    assert tick(as_student, task, next="https://elsewhere.example/").url == reverse("part")


def test_in_place_only_the_cue_comes_back(as_teacher, entry):
    task = TaskFactory(entry=entry, on=date(2027, 1, 8))
    response = tick(as_teacher, task, HTMX, next="/score/?q=sam", named="yes")
    cue = response.content.decode()
    assert cue.strip().startswith('<li class="cue cue-done">')
    assert f'id="tick-{task.pk}"' in cue
    assert 'aria-pressed="true"' in cue
    assert "Done 12 January" in cue
    assert 'value="/score/?q=sam"' in cue
    assert "Sam Reyes" in cue
    assert "ticked" in response["HX-Trigger-After-Settle"]
    again = tick(as_teacher, task, HTMX).content.decode()
    assert '<li class="cue cue-late">' in again
    assert "Should have been done by 8 January, 4 days late" in again
    assert "Sam Reyes" not in again


def test_beside_the_score_it_stays_short(as_teacher, entry):
    task = TaskFactory(entry=entry, on=date(2027, 1, 8), note="By post")
    as_teacher.post(reverse("task_tick", args=[task.pk]))
    cue = tick(as_teacher, task, HTMX, named="short").content.decode()
    assert ">Due Fri 8 Jan, 4 days late</p>" in cue
    assert 'title="Should have been done by 8 January, 4 days late. By post"' in cue
    assert 'value="short"' in cue


def test_a_second_click_on_the_same_page_changes_nothing_more(as_student, entry):
    task = TaskFactory(entry=entry)
    for _ in range(2):
        tick(as_student, task, was="open")
    task.refresh_from_db()
    assert task.state == Task.State.DONE


def test_a_tick_reaches_what_waits_for_it(as_student, entry):
    first = DeadlineFactory(audition=entry.audition, name="university application")
    then = DeadlineFactory(audition=entry.audition, name="music application", opens_after=first)
    sent = TaskFactory(entry=entry, deadline=first, on=None, name="Send the university form")
    task = TaskFactory(entry=entry, deadline=then, on=None, name="Send the music form")
    url = reverse("task_tick", args=[task.pk])
    before = as_student.post(url, {"was": "done"}, headers=HTMX).content.decode()
    assert "waits for: Send the university form" in before
    tick(as_student, sent)
    after = as_student.post(url, {"was": "done"}, headers=HTMX).content.decode()
    assert "waits for" not in after


@pytest.mark.parametrize("doer", ["teacher", "other"])
def test_a_student_cannot_tick_what_others_do(as_student, entry, doer):
    task = TaskFactory(entry=entry, doer=doer)
    assert tick(as_student, task).status_code == 404
    task.refresh_from_db()
    assert task.state == Task.State.OPEN


def test_a_student_cannot_tick_another_students_cue(as_student, people):
    task = TaskFactory(entry=EntryFactory(student=people.mia_student))
    assert tick(as_student, task).status_code == 404
    assert tick(as_student, task, HTMX).status_code == 404
    task.refresh_from_db()
    assert task.state == Task.State.OPEN
    assert not Change.objects.filter(model="entries.task", action="changed").exists()


def test_staff_tick_for_everybody_but_not_elsewhere(client, people, entry):
    task = TaskFactory(entry=entry, doer="teacher")
    client.force_login(people.otto.user)
    assert tick(client, task).status_code == 404
    client.force_login(people.ana.user)
    assert tick(client, task).status_code == 302
    task.refresh_from_db()
    assert task.done_by == people.ana.user


def test_what_is_not_needed_stays_not_needed(as_teacher, entry):
    task = TaskFactory(entry=entry, state=Task.State.DROPPED)
    assert tick(as_teacher, task).status_code == 404
    task.refresh_from_db()
    assert task.state == Task.State.DROPPED


def test_looking_at_the_address_ticks_nothing(as_teacher, entry):
    task = TaskFactory(entry=entry)
    assert as_teacher.get(reverse("task_tick", args=[task.pk])).status_code == 405
    task.refresh_from_db()
    assert task.state == Task.State.OPEN
