"""Tasks are drawn up from deadlines, the audition day and lead times, once."""

import pytest

from planner.deadlines import DAY
from studio.accounts.models import Change
from studio.entries.models import Entry, Task
from studio.entries.opening import open_studio
from studio.entries.tasks import draw_up
from tests.factories import (
    AuditionFactory,
    DeadlineFactory,
    EntryFactory,
    LeadTimeFactory,
    StudentFactory,
    StudioFactory,
)

pytestmark = pytest.mark.django_db


def names(tasks=Task.objects):
    return sorted(tasks.values_list("name", flat=True))


def test_each_deadline_brings_the_tasks_of_its_kind():
    entry = EntryFactory()
    LeadTimeFactory(studio=entry.student.studio, kind="letter", name="Ask for the letter", lead=28)
    LeadTimeFactory(studio=entry.student.studio, kind="fee", name="Pay the fee")
    DeadlineFactory(audition=entry.audition, kind="letter", name="letter")
    assert [(task.name, task.lead) for task in Task.objects.all()] == [("Ask for the letter", 28)]


def test_a_task_takes_over_all_that_its_rule_says():
    studio = StudioFactory()
    said = {"doer": "teacher", "lead": 3, "lead_unit": "working days", "takes": 2}
    said |= {"needs": "pieces ready", "shared": True}
    LeadTimeFactory(studio=studio, kind="recording", name="Make it", **said)
    entry = EntryFactory(student=StudentFactory(studio=studio))
    DeadlineFactory(audition=entry.audition, kind="recording", name="recording")
    task = Task.objects.get()
    assert {field: getattr(task, field) for field in said} == said


def test_two_deadlines_of_one_kind_stay_apart():
    entry = EntryFactory()
    LeadTimeFactory(studio=entry.student.studio, kind="letter", name="Ask for the letter")
    for name in ("Letter", "Letter of the school"):
        DeadlineFactory(audition=entry.audition, kind="letter", name=name)
    assert set(names()) == {"Ask for the letter", "Ask for the letter: Letter of the school"}


def test_drawing_up_again_adds_nothing_and_keeps_what_was_dropped():
    entry = EntryFactory()
    LeadTimeFactory(studio=entry.student.studio, kind="fee", name="Pay the fee")
    DeadlineFactory(audition=entry.audition, kind="fee", name="fee")
    Task.objects.update(state=Task.State.DROPPED)
    assert draw_up(Entry.objects.all()) == []
    assert Task.objects.get().state == Task.State.DROPPED


def test_tasks_drawn_up_are_recorded():
    entry = EntryFactory()
    LeadTimeFactory(studio=entry.student.studio, kind="fee", name="Pay the fee")
    DeadlineFactory(audition=entry.audition, kind="fee", name="fee")
    task = Task.objects.get()
    change = Change.objects.get(model="entries.task", object_pk=task.pk)
    assert (change.after["name"], change.student_pk) == ("Pay the fee", entry.student_id)


# What comes after what


@pytest.fixture
def chain():
    """A studio whose letters bring three tasks, one after the other; created in another order."""
    studio = StudioFactory()
    for name, after in (("Check", "Send"), ("Ask", ""), ("Send", "Ask")):
        LeadTimeFactory(studio=studio, kind="letter", name=name, after=after)
    return studio


def tied():
    return {task.name: task.after and task.after.name for task in Task.objects.all()}


def test_a_task_is_tied_to_the_one_its_rule_comes_after(chain):
    entry = EntryFactory(student=StudentFactory(studio=chain))
    DeadlineFactory(audition=entry.audition, kind="letter", name="letter")
    assert tied() == {"Ask": None, "Send": "Ask", "Check": "Send"}


def test_it_is_tied_within_its_own_deadline(chain):
    entry = EntryFactory(student=StudentFactory(studio=chain))
    for name in ("letter", "second letter"):
        DeadlineFactory(audition=entry.audition, kind="letter", name=name)
    assert tied()["Send: second letter"] == "Ask: second letter"
    assert tied()["Send"] == "Ask"


def test_it_is_tied_to_a_task_that_was_there_before(chain):
    entry = EntryFactory(student=StudentFactory(studio=chain))
    DeadlineFactory(audition=entry.audition, kind="letter", name="letter")
    Task.objects.get(name="Check").delete()
    assert [task.after.name for task in draw_up(Entry.objects.all())] == ["Send"]


def test_rules_in_a_circle_and_rules_after_nothing_are_left_untied():
    studio = StudioFactory()
    for name, after in (("One", "Two"), ("Two", "One"), ("Three", "Gone")):
        LeadTimeFactory(studio=studio, kind="fee", name=name, after=after)
    entry = EntryFactory(student=StudentFactory(studio=studio))
    DeadlineFactory(audition=entry.audition, kind="fee", name="fee")
    assert tied() == {"One": None, "Two": None, "Three": None}


# Kinds of institution, rounds, the audition day


@pytest.mark.parametrize(
    ("place", "lead"), [("university", 7), ("honour ensembles", 2), ("other", 7)]
)
def test_a_rule_for_one_kind_of_institution_takes_the_place_of_that_for_all(place, lead):
    entry = EntryFactory(audition__institution__kind=place)
    studio = entry.student.studio
    LeadTimeFactory(studio=studio, kind="fee", name="Pay the fee", lead=7)
    LeadTimeFactory(studio=studio, kind="fee", of="honour ensembles", name="Pay the fee", lead=2)
    LeadTimeFactory(studio=studio, kind="fee", of="youth orchestra", name="Ask the parents")
    DeadlineFactory(audition=entry.audition, kind="fee", name="fee")
    assert [(task.name, task.lead) for task in Task.objects.all()] == [("Pay the fee", lead)]


@pytest.mark.parametrize(
    ("chosen", "brought"),
    [("", ["Pay: all"]), ("Early", ["Pay: all", "Pay: early"]), ("regular", ["Pay: all"])],
)
def test_a_deadline_of_another_round_brings_nothing(chosen, brought):
    entry = EntryFactory(round=chosen)
    LeadTimeFactory(studio=entry.student.studio, kind="fee", name="Pay")
    DeadlineFactory(audition=entry.audition, kind="fee", name="early", round="early")
    DeadlineFactory(audition=entry.audition, kind="fee", name="all")
    assert names() == brought


def test_an_entry_brings_the_tasks_of_the_day_itself():
    studio = StudioFactory()
    LeadTimeFactory(studio=studio, kind=DAY, name="Book the journey", lead=21)
    LeadTimeFactory(studio=studio, kind=DAY, name="Pack", lead=1, after="Book the journey")
    LeadTimeFactory(studio=studio, kind=DAY, of="honour ensembles", name="Look for corrections")
    entry = EntryFactory(student=StudentFactory(studio=studio), chosen_date=None)
    assert all(task.of_day and task.deadline_id is None for task in entry.tasks.all())
    assert tied() == {"Book the journey": None, "Pack": "Book the journey"}
    honour = AuditionFactory(institution__studio=studio, institution__kind="honour ensembles")
    other = EntryFactory(student=entry.student, audition=honour)
    assert "Look for corrections" in names(other.tasks)


def test_an_opened_studio_has_the_usual_lists_unless_bare():
    full = open_studio(name="Full", season="2026–27", time_zone="Europe/London").studio
    bare = open_studio(name="Bare", season="2026–27", time_zone="Europe/London", bare=True).studio
    assert full.instruments.filter(name="Horn", semitones=-7).exists()
    assert full.lead_times.filter(kind="letter").exists()
    pianist = full.lead_times.filter(kind=DAY, name="Ask the pianist for the day")
    assert {rule.of for rule in pianist} == {"university", "school of music"}
    assert not bare.instruments.exists()
    assert not bare.lead_times.exists()
    assert StudioFactory.build().season == full.season
