"""Every change is kept with who, when, before and after; and can be taken back."""

import pytest

from studio.accounts import history
from studio.accounts.models import Change
from studio.entries.models import Entry, LessonCheck, Task
from studio.institutions.models import OfferedDate
from studio.requirements.models import Piece
from studio.students.models import Student
from tests.factories import (
    InstrumentFactory,
    OfferedDateFactory,
    StudentFactory,
    UserFactory,
    full_entry,
)

pytestmark = pytest.mark.django_db


def test_a_change_keeps_who_before_and_after():
    student = StudentFactory(town="Harbour Falls")
    user = UserFactory()
    with history.acting(user):
        student.town = "Norwood"
        student.save()
    change = Change.objects.first()
    assert (change.by, change.action, change.student_pk) == (user, "changed", student.pk)
    assert (change.before["town"], change.after["town"]) == ("Harbour Falls", "Norwood")


def test_saving_without_a_change_records_nothing():
    student = StudentFactory()
    count = Change.objects.count()
    student.save()
    assert Change.objects.count() == count


def test_a_removed_student_comes_back_with_everything():
    student = StudentFactory()
    full_entry(student)
    counted = [Entry, Task, LessonCheck]
    before = [model.objects.count() for model in counted]
    with history.acting(None) as act:
        Student.objects.get().delete()
    assert [model.objects.count() for model in counted] == [0, 0, 0]
    history.undo(act.batch, student.studio)
    assert [model.objects.count() for model in counted] == before
    assert Student.objects.get(pk=student.pk).name == student.name


def test_many_to_many_values_are_recorded_and_come_back():
    offered = OfferedDateFactory()
    studio = offered.audition.institution.studio
    horn = InstrumentFactory(studio=studio)
    with history.acting(None) as added:
        offered.instruments.add(horn)
    history.undo(added.batch, studio)
    assert not offered.instruments.exists()
    offered.instruments.add(horn)
    with history.acting(None) as removed:
        OfferedDate.objects.get().delete()
    history.undo(removed.batch, studio)
    assert list(OfferedDate.objects.get().instruments.all()) == [horn]


def test_what_was_changed_since_is_not_overwritten():
    student = StudentFactory(town="Harbour Falls")
    with history.acting(None) as act:
        student.town = "Norwood"
        student.save()
    student.town = "Carrow"
    student.save()
    with pytest.raises(history.CannotUndo):
        history.undo(act.batch, student.studio)
    student.refresh_from_db()
    assert student.town == "Carrow"


def test_another_studios_changes_are_out_of_reach():
    student = StudentFactory()
    with history.acting(None) as act:
        Student.objects.get().delete()
    history.undo(act.batch, StudentFactory().studio)
    assert not Student.objects.filter(pk=student.pk).exists()


def test_a_renewed_calendar_address_never_comes_back():
    student = StudentFactory()
    old = student.feed_token
    with history.acting(None) as act:
        student.feed_token, student.town = "renewed", "Norwood"
        student.save()
    history.undo(act.batch, student.studio)
    student.refresh_from_db()
    assert (student.feed_token, student.town) == ("renewed", "Harbour Falls")
    assert old not in str(Change.objects.values())


def test_rows_created_in_bulk_are_recorded_as_they_stand_and_can_be_taken_back():
    studio = StudentFactory().studio
    with history.acting(None) as act:
        history.bulk_create([Piece(studio=studio, work="Romance", minutes=4)])
    change = Change.objects.get(model="requirements.piece")
    assert change.after == history._as_json(history.stored(Piece.objects.get()))
    history.undo(act.batch, studio)
    assert not Piece.objects.exists()
