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


# One errand for several places


@pytest.fixture
def errand(people):
    """Three open tasks of Sam's that are one errand."""
    tasks = []
    for place in ("Fairmont", "Carrow", "Lindmoor"):
        entry = EntryFactory(student=people.sam_student, audition__institution__short_name=place)
        due = DeadlineFactory(audition=entry.audition, kind="transcript", on=date(2027, 1, 20))
        made = {"deadline": due, "on": None, "name": "Ask for the transcript", "shared": True}
        tasks.append(TaskFactory(entry=entry, **made))
    return tasks


def states():
    return sorted(Task.objects.values_list("state", flat=True))


def test_an_errand_is_one_cue_wherever_cues_are_shown(client, people, errand):
    title = "Ask for the transcript · Fairmont, Carrow, Lindmoor"
    client.force_login(people.ines.user)
    for name in ("score", "cues"):
        page = client.get(reverse(name)).content.decode()
        assert page.count('<li class="cue') == 1
        assert title in page
    client.force_login(people.sam.user)
    page = client.get(reverse("part")).content.decode()
    assert page.count('<li class="cue') == 1
    assert title in page


def test_an_errand_is_one_event_of_the_calendar_done_or_not(client, people, errand):
    url = reverse("student_feed", args=[people.sam_student.feed_token])
    before = client.get(url).content.decode().replace("\r\n ", "")
    Task.objects.update(state="done", done_on=date(2027, 1, 11))
    people.sam_student.save()
    after = client.get(url).content.decode().replace("\r\n ", "")
    for calendar in (before, after):
        assert calendar.count("BEGIN:VEVENT") == 1 + len(errand)  # and the audition days
        assert f"UID:task-{errand[0].pk}@" in calendar
    title = "SUMMARY:Ask for the transcript · Fairmont\\, Carrow\\, Lindmoor"
    assert f"{title}\r\n" in before
    assert f"{title} (done)" in after


def test_a_tick_goes_for_all_places_and_is_taken_back_at_once(as_student, errand):
    response = tick(as_student, errand[1], was="open")
    assert states() == ["done"] * 3
    page = as_student.get(response.url).content.decode()
    assert "Fairmont, Carrow, Lindmoor, Ask for the transcript: done." in page
    (batch,) = set(
        Change.objects.filter(model="entries.task", action="changed").values_list(
            "batch", flat=True
        )
    )
    as_student.post(reverse("undo", args=[batch]))
    assert states() == ["open"] * 3


def test_in_place_it_stays_one_cue_and_can_be_opened_again(as_student, errand):
    cue = tick(as_student, errand[2], HTMX).content.decode()
    assert "Ask for the transcript · Fairmont, Carrow, Lindmoor" in cue
    assert f'id="tick-{errand[0].pk}"' in cue
    tick(as_student, errand[0], HTMX, was="done")
    assert states() == ["open"] * 3


def test_the_pages_of_all_its_entries_show_it_and_tick_it(as_teacher, errand):
    page = as_teacher.get(errand[2].entry.get_absolute_url()).content.decode()
    assert "One errand for Lindmoor, Fairmont, Carrow." in page
    tick(as_teacher, errand[2])
    for task in errand:
        page = as_teacher.get(task.entry.get_absolute_url()).content.decode()
        assert "1 done" in page


def test_one_tick_changes_no_other_students_errand(as_teacher, people, errand):
    entry = EntryFactory(student=people.mia_student, audition=errand[0].entry.audition)
    mine = {"deadline": errand[0].deadline, "on": None, "name": errand[0].name, "shared": True}
    other = TaskFactory(entry=entry, **mine)
    tick(as_teacher, errand[0])
    other.refresh_from_db()
    assert other.state == Task.State.OPEN


def test_what_has_no_date_stands_apart_and_can_be_ticked(as_student, people):
    entry = EntryFactory(student=people.sam_student, chosen_date=None, date_state="open")
    task = TaskFactory(entry=entry, on=None, of_day=True, name="Book the journey")
    page = as_student.get(reverse("part")).content.decode()
    assert "Once the date is known" in page
    assert "No date yet" in page
    tick(as_student, task)
    task.refresh_from_db()
    assert task.state == Task.State.DONE
    assert "Done lately: 1" in as_student.get(reverse("part")).content.decode()


def test_what_is_too_late_and_what_is_held_up_says_so_in_red(as_teacher, people, entry):
    due = DeadlineFactory(audition=entry.audition, on=date(2027, 1, 14))
    first = TaskFactory(entry=entry, deadline=due, on=None, name="Write it", takes=20)
    TaskFactory(entry=entry, deadline=due, on=None, name="Send it", after=first)
    page = as_teacher.get(reverse("cues")).content.decode()
    assert page.count('<span class="red">Too late.</span>') == 2
    Task.objects.filter(pk=first.pk).update(takes=0)
    Task.objects.filter(name="Send it").update(takes=5)
    assert '<span class="red">Too late.</span>' in as_teacher.get(reverse("cues")).content.decode()


def test_cues_after_next_week_are_folded_by_month(as_teacher, entry):
    for on in (date(2027, 1, 13), date(2027, 1, 30), date(2027, 2, 3), date(2028, 1, 3)):
        TaskFactory(entry=entry, on=on)
    page = as_teacher.get(reverse("cues"))
    months = [(month.label, month.all) for month in page.context["page"].months]
    assert months == [("January", 1), ("February", 1), ("January 2028", 1)]
    assert page.content.decode().count('<details class="score-fold">') == 3
