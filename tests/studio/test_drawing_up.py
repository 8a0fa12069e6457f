"""A deadline or an entry that is added or changed brings its tasks by itself."""

import pytest

from studio.accounts import history
from studio.entries.models import Entry, Task
from studio.entries.tasks import draw_up
from studio.institutions.models import Deadline
from tests.factories import (
    AuditionFactory,
    DeadlineFactory,
    EntryFactory,
    LeadTimeFactory,
    TaskFactory,
)

pytestmark = pytest.mark.django_db


@pytest.fixture
def entry():
    """An entry in a studio with a lead time for letters and one for fees."""
    made = EntryFactory()
    studio = made.student.studio
    LeadTimeFactory(studio=studio, kind="letter", name="Ask for the letter", lead=28)
    LeadTimeFactory(studio=studio, kind="fee", name="Pay the fee")
    return made


def names():
    return sorted(Task.objects.values_list("name", flat=True))


def test_a_new_entry_brings_the_tasks_of_its_deadlines(entry):
    other = AuditionFactory(institution=entry.audition.institution, name="Second study")
    DeadlineFactory(audition=other, kind="fee", name="fee")
    assert names() == []
    EntryFactory(student=entry.student, audition=other)
    assert names() == ["Pay the fee"]


def test_a_new_deadline_can_be_taken_back_with_its_tasks(entry):
    with history.acting(None) as act:
        DeadlineFactory(audition=entry.audition, kind="letter", name="letter")
    assert names() == ["Ask for the letter"]
    history.undo(act.batch, entry.student.studio)
    assert names() == []
    assert not Deadline.objects.exists()


def test_a_renamed_deadline_renames_its_tasks_and_adds_none(entry):
    deadline = DeadlineFactory(audition=entry.audition, kind="letter", name="letter")
    Task.objects.update(state="not needed")
    deadline.name = "Letter of a second teacher"
    deadline.save()
    task = Task.objects.get()
    assert task.name == "Ask for the letter: Letter of a second teacher"
    assert task.state == "not needed"


def test_a_deadline_of_another_kind_changes_only_what_is_open(entry):
    done = EntryFactory(student__studio=entry.student.studio, audition=entry.audition)
    deadline = DeadlineFactory(audition=entry.audition, kind="letter", name="letter")
    done.tasks.update(state="done", done_on=deadline.on)
    with history.acting(None) as act:
        deadline.kind = deadline.name = "fee"
        deadline.save()
    assert [task.name for task in entry.tasks.all()] == ["Pay the fee"]
    assert {task.name for task in done.tasks.all()} == {"Ask for the letter", "Pay the fee"}
    history.undo(act.batch, entry.student.studio)
    assert names() == ["Ask for the letter", "Ask for the letter"]


def test_a_task_the_teacher_removed_stays_away_when_only_the_date_moves(entry):
    deadline = DeadlineFactory(audition=entry.audition, kind="letter", name="letter")
    Task.objects.get().delete()
    deadline.at = None
    deadline.save()
    entry.notes = "Moved by a week."
    entry.save()
    assert names() == []


def test_an_entry_that_comes_back_has_its_tasks_once(entry):
    DeadlineFactory(audition=entry.audition, kind="letter", name="letter")
    with history.acting(None) as act:
        Entry.objects.get().delete()
    history.undo(act.batch, entry.student.studio)
    assert names() == ["Ask for the letter"]


def test_an_entry_moved_to_another_audition_leaves_its_open_tasks_behind(entry):
    for kind in ("letter", "fee"):
        DeadlineFactory(audition=entry.audition, kind=kind, name=kind)
    entry.tasks.filter(name="Pay the fee").update(state="done", done_on="2026-11-20")
    other = AuditionFactory(institution=entry.audition.institution, name="Second study")
    DeadlineFactory(audition=other, kind="letter", name="letter of the panel")
    before = names()
    with history.acting(None) as act:
        entry.audition, entry.chosen_date = other, None
        entry.save()
    assert names() == ["Ask for the letter: letter of the panel", "Pay the fee"]
    history.undo(act.batch, entry.student.studio)
    assert names() == before


# Rounds, kinds of places, and what comes after what


def test_another_round_lets_open_tasks_go_and_brings_its_own(entry):
    for name in ("early", "regular"):
        DeadlineFactory(audition=entry.audition, kind="fee", name=name, round=name)
    DeadlineFactory(audition=entry.audition, kind="letter", name="letter")
    entry.round = "early"
    entry.save()
    assert names() == ["Ask for the letter", "Pay the fee: early"]
    with history.acting(None) as act:
        entry.round = "regular"
        entry.save()
    assert names() == ["Ask for the letter", "Pay the fee: regular"]
    history.undo(act.batch, entry.student.studio)
    assert names() == ["Ask for the letter", "Pay the fee: early"]
    assert Entry.objects.get().round == "early"


def test_what_was_done_in_another_round_stays(entry):
    DeadlineFactory(audition=entry.audition, kind="fee", name="early", round="early")
    entry.round = "early"
    entry.save()
    Task.objects.update(state="done", done_on="2026-11-20")
    entry.round = "regular"
    entry.save()
    assert names() == ["Pay the fee: early"]


def test_a_deadline_that_gets_a_round_leaves_the_entries_of_others(entry):
    early = EntryFactory(
        student__studio=entry.student.studio, audition=entry.audition, round="early"
    )
    deadline = DeadlineFactory(audition=entry.audition, kind="fee", name="fee")
    assert names() == ["Pay the fee", "Pay the fee"]
    with history.acting(None) as act:
        deadline.round = "early"
        deadline.save()
    assert [task.entry for task in Task.objects.all()] == [early]
    history.undo(act.batch, entry.student.studio)
    assert names() == ["Pay the fee", "Pay the fee"]


def test_an_entry_moved_to_another_kind_of_place_has_the_day_of_that(entry):
    studio = entry.student.studio
    LeadTimeFactory(studio=studio, kind="audition day", name="Pack")
    LeadTimeFactory(studio=studio, kind="audition day", of="university", name="Ask the pianist")
    LeadTimeFactory(studio=studio, kind="audition day", of="other", name="Ask the way")
    draw_up(Entry.objects.all())
    TaskFactory(entry=entry, on=None, of_day=True, name="The teacher's own")
    other = AuditionFactory(institution__studio=studio, institution__kind="other")
    entry.audition, entry.chosen_date, entry.requirement_set = other, None, None
    entry.save()
    assert names() == ["Ask the way", "Pack", "The teacher's own"]


def test_tasks_tied_to_each_other_are_taken_back_together_and_brought_again(entry):
    studio = entry.student.studio
    LeadTimeFactory(studio=studio, kind="letter", name="Send it", after="Ask for the letter")
    with history.acting(None) as act:
        DeadlineFactory(audition=entry.audition, kind="letter", name="letter")
    assert Task.objects.get(name="Send it").after.name == "Ask for the letter"
    with history.acting(None) as undone:
        history.undo(act.batch, studio)
    assert names() == []
    history.undo(undone.batch, studio)
    assert Task.objects.get(name="Send it").after.name == "Ask for the letter"


def test_an_entry_that_comes_back_has_its_tasks_in_their_order(entry):
    DeadlineFactory(audition=entry.audition, kind="letter", name="letter")
    DeadlineFactory(audition=entry.audition, kind="fee", name="fee")
    first, second = Task.objects.order_by("pk")
    first.after = second
    first.save()
    with history.acting(None) as act:
        Entry.objects.get().delete()
    history.undo(act.batch, entry.student.studio)
    assert Task.objects.get(pk=first.pk).after == second
