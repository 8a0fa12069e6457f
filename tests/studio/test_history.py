"""Every change is kept with who, when, before and after; and can be taken back."""

import pytest

from studio.accounts import history
from studio.accounts.models import Change
from studio.entries.models import Entry, LessonCheck, Task
from studio.institutions.models import Deadline, OfferedDate
from studio.requirements.models import Piece
from studio.students.models import Accompanist, Student
from tests.factories import (
    AccompanistFactory,
    AssignmentFactory,
    DeadlineFactory,
    EntryFactory,
    InstrumentFactory,
    OfferedDateFactory,
    PieceFactory,
    StudentFactory,
    StudioDayFactory,
    TakeFactory,
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


def test_settings_and_seats_are_recorded_too(people):
    with history.acting(people.ines.user) as act:
        people.studio.season = "2027–28"
        people.studio.save()
        people.ana.delete()
    changes = Change.objects.filter(batch=act.batch).order_by("pk")
    assert [change.model for change in changes] == ["accounts.studio", "accounts.membership"]
    assert {change.by for change in changes} == {people.ines.user}
    history.undo(act.batch, people.studio)
    assert people.studio.memberships.get(user=people.ana.user).role == "assistant"
    people.studio.refresh_from_db()
    assert people.studio.season == "2026–27"


def test_a_student_and_their_seat_go_and_come_back_together(people):
    with history.acting(None) as act:
        Student.objects.get(pk=people.sam_student.pk).delete()
    assert not people.studio.memberships.filter(user=people.sam.user).exists()
    history.undo(act.batch, people.studio)
    back = Student.objects.get(pk=people.sam_student.pk)
    assert back.membership.user == people.sam.user


def test_what_let_go_of_a_removed_row_holds_it_again():
    first = DeadlineFactory()
    second = DeadlineFactory(audition=first.audition, opens_after=first)
    with history.acting(None) as act:
        Deadline.objects.get(pk=first.pk).delete()
    second.refresh_from_db()
    assert second.opens_after is None
    history.undo(act.batch, first.audition.institution.studio)
    second.refresh_from_db()
    assert second.opens_after == first


def test_lists_that_a_removed_row_stood_in_hold_it_again():
    student, others = StudentFactory(), StudentFactory()
    concert = StudioDayFactory(studio=student.studio)
    concert.students.set([student, others])
    with history.acting(None) as act:
        Student.objects.get(pk=student.pk).delete()
    assert list(concert.students.all()) == [others]
    history.undo(act.batch, student.studio)
    assert set(concert.students.all()) == {student, others}


def test_what_was_changed_since_in_what_let_go_hinders_nobody_from_coming_back(company):
    sam, gil = company.sam_student, company.gil_guardian
    concert = StudioDayFactory(studio=company.studio)
    concert.students.set([sam, company.mia_student])
    with history.acting(None) as act:
        sam.delete()
    gil.phone = "555 0142"
    gil.save()
    gil.students.set([company.mia_student])
    concert.students.clear()  # everybody, from now on
    with history.acting(None) as back:
        history.undo(act.batch, company.studio)
    gil.refresh_from_db()
    assert set(gil.students.values_list("name", flat=True)) == {"Sam Reyes", "Mia Okafor"}
    assert gil.phone == "555 0142"
    assert not concert.students.exists()
    history.undo(back.batch, company.studio)
    assert not Student.objects.filter(name="Sam Reyes").exists()
    assert list(gil.students.all()) == [company.mia_student]


def test_nor_does_what_is_gone_or_holds_another_by_now(people):
    entry, other = (
        EntryFactory(student=people.sam_student),
        EntryFactory(student=people.mia_student),
    )
    first, second = (AccompanistFactory(studio=people.studio) for _ in range(2))
    for each in (entry, other):
        each.accompanist = first
        each.save()
    with history.acting(None) as act:
        Accompanist.objects.get(pk=first.pk).delete()
    other.delete()
    entry.refresh_from_db()
    entry.accompanist = second
    entry.save()
    history.undo(act.batch, people.studio)
    entry.refresh_from_db()
    assert entry.accompanist == second
    assert Accompanist.objects.count() == 2


def test_a_take_that_goes_with_its_student_comes_back_with_its_pieces():
    take = TakeFactory()
    studio = take.entry.student.studio
    pieces = [PieceFactory(studio=studio)]
    take.pieces.set(pieces)
    with history.acting(None) as act:
        Piece.objects.get().delete()
        Student.objects.get(pk=take.entry.student_id).delete()
    history.undo(act.batch, studio)
    assert list(take.pieces.all()) == pieces


def test_a_whole_studio_can_be_removed(people):
    full_entry(people.sam_student)
    people.studio.delete()
    assert not Student.objects.filter(pk=people.sam_student.pk).exists()


def test_what_has_been_built_upon_since_is_not_pulled_away():
    student = StudentFactory()
    with history.acting(None) as act:
        entry = EntryFactory(student=student)
    AssignmentFactory(entry=entry)
    with pytest.raises(history.CannotUndo, match="in use by now"):
        history.undo(act.batch, student.studio)
    assert Entry.objects.filter(pk=entry.pk).exists()


def test_two_changes_of_one_row_in_one_batch_are_taken_back_in_turn():
    student = StudentFactory(town="Harbour Falls")
    with history.acting(None) as act:
        for town in ("Norwood", "Carrow"):
            student.town = town
            student.save()
    history.undo(act.batch, student.studio)
    student.refresh_from_db()
    assert student.town == "Harbour Falls"
