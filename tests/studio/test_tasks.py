"""Tasks are drawn up from deadlines and lead times, once."""

import pytest

from studio.accounts.models import Change
from studio.entries.models import Entry, Task
from studio.entries.opening import open_studio
from studio.entries.tasks import draw_up
from tests.factories import DeadlineFactory, EntryFactory, LeadTimeFactory, StudioFactory

pytestmark = pytest.mark.django_db


def test_each_deadline_brings_the_tasks_of_its_kind():
    entry = EntryFactory()
    LeadTimeFactory(studio=entry.student.studio, kind="letter", name="Ask for the letter", lead=28)
    LeadTimeFactory(studio=entry.student.studio, kind="fee", name="Pay the fee")
    DeadlineFactory(audition=entry.audition, kind="letter", name="letter")
    assert [(task.name, task.lead) for task in Task.objects.all()] == [("Ask for the letter", 28)]


def test_two_deadlines_of_one_kind_stay_apart():
    entry = EntryFactory()
    LeadTimeFactory(studio=entry.student.studio, kind="letter", name="Ask for the letter")
    for name in ("Letter", "Letter of the school"):
        DeadlineFactory(audition=entry.audition, kind="letter", name=name)
    names = set(Task.objects.values_list("name", flat=True))
    assert names == {"Ask for the letter", "Ask for the letter: Letter of the school"}


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


def test_an_opened_studio_has_the_usual_lists_unless_bare():
    full = open_studio(name="Full", season="2026–27", time_zone="Europe/London").studio
    bare = open_studio(name="Bare", season="2026–27", time_zone="Europe/London", bare=True).studio
    assert full.instruments.filter(name="Horn", semitones=-7).exists()
    assert full.lead_times.filter(kind="letter").exists()
    assert not bare.instruments.exists()
    assert not bare.lead_times.exists()
    assert StudioFactory.build().season == full.season
