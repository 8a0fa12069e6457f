"""What a task waits for, who writes a letter, what an entry goes by; and what the part says."""

from datetime import date

import pytest
import time_machine
from django.urls import reverse

from studio.accounts import history
from studio.accounts.models import Change
from studio.entries.bridge import Season
from studio.entries.models import Task
from studio.entries.parts import Part
from studio.entries.queries import parts
from tests.factories import (
    AccompanistFactory,
    DeadlineFactory,
    EntryFactory,
    LeadTimeFactory,
    OfferedDateFactory,
    RecommenderFactory,
    TaskFactory,
)

pytestmark = [pytest.mark.django_db, pytest.mark.usefixtures("in_january")]
TASK = {"name": "Send it", "doer": "student", "lead_unit": "days", "on": "2027-02-01"}


@pytest.fixture
def in_january():
    with time_machine.travel("2027-01-12T18:00:00Z", tick=False):
        yield


@pytest.fixture
def entry(people):
    return EntryFactory(student=people.sam_student, chosen_date__on=date(2027, 2, 20))


def save(client, route, row, **values):
    return client.post(reverse(route, args=[row.pk]), values)


# Tasks


def test_a_task_comes_after_another_of_the_students(as_teacher, people, entry):
    other = EntryFactory(student=people.sam_student, audition__institution__name="Carrow")
    first = TaskFactory(entry=other, name="Write the draft")
    save(as_teacher, "task_add", entry, **TASK, after=first.pk, needs="pieces ready", shared="on")
    task = entry.tasks.get()
    assert (task.after, task.needs, task.shared) == (first, "pieces ready", True)
    page = as_teacher.get(reverse("task_edit", args=[task.pk])).content.decode()
    assert f'<option value="{first.pk}" selected>Write the draft</option>' in page


def test_not_after_another_students_nor_of_another_season(as_teacher, people, entry):
    past = EntryFactory(student=people.sam_student, audition__season="2025–26")
    strange = EntryFactory(student=people.mia_student)
    for other in (past, strange):
        first = TaskFactory(entry=other)
        assert save(as_teacher, "task_add", entry, **TASK, after=first.pk).status_code == 422
    assert not entry.tasks.exists()


def test_tasks_cannot_wait_for_each_other_in_a_circle(as_teacher, entry):
    first = TaskFactory(entry=entry, name="One")
    second = TaskFactory(entry=entry, name="Two", after=first)
    third = TaskFactory(entry=entry, name="Three", after=second)
    for after in (third, second):
        response = save(as_teacher, "task_edit", first, **TASK, after=after.pk)
        assert response.status_code == 422
        assert "waits for this one itself" in response.content.decode()
    assert save(as_teacher, "task_edit", third, **TASK, after=first.pk).status_code == 302


def test_a_task_can_be_counted_from_the_day_and_is_then_dropped_not_removed(as_teacher, entry):
    save(as_teacher, "task_add", entry, **(TASK | {"on": "", "of_day": "on", "lead": "3"}))
    task = entry.tasks.get()
    assert (task.of_day, task.on, task.lead) == (True, None, 3)
    page = as_teacher.get(reverse("task_edit", args=[task.pk])).content.decode()
    assert reverse("task_remove", args=[task.pk]) not in page


def test_the_writer_of_a_letter_holds_for_all_its_tasks_and_can_be_undone(
    as_teacher, people, entry
):
    for name in ("Ask for the letter", "Send the letter"):
        LeadTimeFactory(studio=people.studio, kind="letter", name=name)
    lowell = RecommenderFactory(student=people.sam_student, name="D. Lowell")
    letter = DeadlineFactory(audition=entry.audition, kind="letter", name="letter")
    ask = Task.objects.get(name="Ask for the letter")
    values = TASK | {"on": "", "deadline": letter.pk, "name": ask.name, "recommender": lowell.pk}
    save(as_teacher, "task_edit", ask, **values)
    assert {task.recommender for task in Task.objects.all()} == {lowell}
    batch = Change.objects.filter(model="entries.task", action="changed").latest("pk").batch
    history.undo(batch, people.studio)
    assert {task.recommender for task in Task.objects.all()} == {None}


def test_without_recommenders_nobody_is_asked_who_writes(as_teacher, people, entry):
    url = reverse("task_add", args=[entry.pk])
    assert 'name="recommender"' not in as_teacher.get(url).content.decode()
    RecommenderFactory(student=people.mia_student)
    assert 'name="recommender"' not in as_teacher.get(url).content.decode()


# Entries


def test_an_entry_says_who_comes_along_and_how_far_it_is(as_teacher, people, entry):
    pianist = AccompanistFactory(studio=people.studio)
    values = {"instrument": entry.instrument_id, "accompanist": pianist.pk, "teacher_comes": "on"}
    save(as_teacher, "entry_edit", entry, **values, journey_minutes="150", journey_cost="40")
    entry.refresh_from_db()
    assert (entry.accompanist, entry.teacher_comes) == (pianist, True)
    assert (entry.journey_minutes, entry.journey_cost) == (150, 40)


def test_a_round_is_chosen_of_those_the_audition_has(as_teacher, people, entry):
    url, values = reverse("entry_edit", args=[entry.pk]), {"instrument": entry.instrument_id}
    assert 'name="round"' not in as_teacher.get(url).content.decode()
    LeadTimeFactory(studio=people.studio, kind="fee", name="Pay the fee")
    for name in ("early", "regular"):
        DeadlineFactory(audition=entry.audition, kind="fee", name=name, round=name)
    assert as_teacher.post(url, values | {"round": "late"}).status_code == 422
    assert as_teacher.post(url, values | {"round": "early"}).status_code == 302
    assert [task.name for task in entry.tasks.all()] == ["Pay the fee: early"]


# The part


def checklist(people):
    (found,) = Part(Season(parts(people.ines).get(pk=people.sam_student.pk))).ahead
    return found


def whens(people):
    return {step.name: step.when for step in checklist(people).steps}


def test_a_relative_deadline_is_said_with_and_without_a_date(people, entry):
    made = {"audition": entry.audition, "on": None, "at": None, "zone": "America/New_York"}
    DeadlineFactory(**made, name="music", before=7)
    DeadlineFactory(**made, name="form", before=2, before_unit="working days")
    said = whens(people)
    assert said["music"] == "Saturday 13 February, 7 days before the audition"
    assert said["form"] == "Wednesday 17 February, 2 working days before the audition"
    entry.chosen_date, entry.date_state = None, "open"
    entry.save()
    words = "7 days before the audition, whose date is not chosen yet"
    assert whens(people)["music"] == words


def test_late_terms_and_the_cost_stand_with_a_deadline(people, entry):
    DeadlineFactory(
        audition=entry.audition,
        name="application",
        on=date(2027, 1, 20),
        at=None,
        zone="America/New_York",
        late_until=date(2027, 1, 30),
        late_terms="with a fee of 30",
        cost="75.50",
    )
    assert whens(people)["application"] == (
        "Wednesday 20 January; still taken until Saturday 30 January, with a fee of 30; "
        "costs 75.50 USD"
    )


def test_deadlines_of_other_rounds_are_left_out_and_an_open_choice_is_said(people, entry):
    for name in ("early", "regular"):
        DeadlineFactory(audition=entry.audition, name=name, round=name)
    DeadlineFactory(audition=entry.audition, name="for all")
    assert set(whens(people)) == {"for all"}
    words = "Round of applications not chosen yet: early or regular"
    assert checklist(people).no_round == words
    entry.round = "Early"
    entry.save()
    assert set(whens(people)) == {"for all", "early"}
    assert checklist(people).no_round == ""


def test_one_errand_stands_at_each_of_its_deadlines(people, entry):
    other = EntryFactory(student=people.sam_student, result="withdrawn")
    lowell = RecommenderFactory(student=people.sam_student)
    for name, row in (("letter", entry), ("second letter", entry), ("letter", other)):
        due = DeadlineFactory(audition=row.audition, kind="letter", name=name)
        made = {"entry": row, "deadline": due, "on": None, "shared": True, "recommender": lowell}
        TaskFactory(name=f"Ask: {name}", **made)
    states = {step.name: step.state for step in checklist(people).steps}
    assert states == {"letter": "late", "second letter": "late"}
    Task.objects.filter(entry=entry).update(state="done", done_on=date(2027, 1, 11))
    assert {step.state for step in checklist(people).steps} == {"done"}


def test_what_is_done_for_the_day_stands_with_its_own_day(people, entry):
    TaskFactory(entry=entry, on=None, of_day=True, lead=3, name="Pack")
    assert whens(people) == {"Pack": "Wednesday 17 February"}
    entry.chosen_date, entry.date_state = None, "open"
    entry.save()
    entry.audition.dates.all().delete()
    assert whens(people)["Pack"].startswith("no date yet")
    OfferedDateFactory(audition=entry.audition, on=date(2027, 2, 13))
    assert whens(people) == {"Pack": "Wednesday 10 February"}
