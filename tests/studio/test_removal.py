"""What a removal takes along is told beforehand, and agrees with what then goes."""

import pytest
from django.contrib.admin.utils import NestedObjects
from django.urls import reverse

from studio.accounts import history, removal
from studio.entries.models import Assignment, Entry
from studio.institutions.models import Institution
from studio.requirements.models import Kind, Requirement, RequirementSet
from studio.students.models import Student
from tests.factories import (
    EntryFactory,
    InstitutionFactory,
    InstrumentFactory,
    OfferedDateFactory,
    RequirementFactory,
    StudentFactory,
    StudioDayFactory,
    full_entry,
)

pytestmark = pytest.mark.django_db


def counted_by_django(row):
    """The same from the framework's own collector, which loads every row."""
    nested = NestedObjects(using="default")
    nested.collect([row])
    return sorted(
        removal._words(model._meta, len(rows) - (model is type(row)))
        for model, rows in nested.model_objs.items()
        if len(rows) - (model is type(row)) and not model._meta.auto_created
    )


@pytest.mark.parametrize(
    "row_of",
    [
        lambda entry: entry,
        lambda entry: entry.student,
        lambda entry: entry.audition,
        lambda entry: entry.audition.institution,
        lambda entry: entry.assignments.first().requirement,
        lambda entry: entry.audition.deadlines.first(),
    ],
)
def test_what_goes_along_is_counted_as_the_framework_does(row_of):
    entry = full_entry(StudentFactory())
    full_entry(entry.student)
    row = row_of(entry)
    assert removal.goes_with(row) == counted_by_django(row)


def test_what_stays_behind_forbids_and_what_goes_along_does_not():
    university = InstitutionFactory(name="Fairmont University")
    entry = EntryFactory(audition__institution__part_of=university)
    shared = RequirementSet.objects.create(
        institution=university, season="2026–27", instrument=entry.instrument
    )
    assert removal.in_use(entry.audition.institution, "Fairmont School") == ""
    Entry.objects.filter(pk=entry.pk).update(requirement_set=shared)
    told = removal.in_use(Institution.objects.get(pk=university.pk), "Fairmont University")
    assert told.startswith(f"Fairmont University is still used by {entry}")


def test_of_many_users_some_are_named_and_the_rest_counted():
    first = StudentFactory(name="A")
    for name in "BCDE":
        StudentFactory(studio=first.studio, name=name, instrument=first.instrument)
    told = removal.in_use(first.instrument, "Horn")
    assert told == "Horn is still used by A; B; C and 2 more. Change these first."


def test_it_takes_two_queries_however_much_hangs_on_it(django_assert_num_queries):
    entry = full_entry(StudentFactory())
    with django_assert_num_queries(2):
        removal.goes_with(entry.audition.institution)
        removal.in_use(entry.audition.institution, "Fairmont")


def nested():
    """Return a group, in a group, with a slot and a piece chosen for it."""
    chosen = full_entry(StudentFactory(), pieces=1).assignments.get()
    inner = chosen.requirement
    for name in ("inner", "outer"):
        group = RequirementFactory(
            requirement_set=inner.requirement_set, name=name, kind=Kind.ALL_OF
        )
        inner.parent = group
        inner.save()
        inner = group
    return group, chosen


def test_a_group_takes_along_what_stands_inside_however_deep():
    group, _ = nested()
    assert removal.goes_with(group) == ["1 assignment", "2 requirements"]
    assert removal.goes_with(group) == counted_by_django(group)


def test_a_removed_group_comes_back_with_what_stood_inside():
    group, chosen = nested()
    studio = chosen.piece.studio
    with history.acting(None) as act:
        group.delete()
    assert not Requirement.objects.filter(name="inner").exists()
    history.undo(act.batch, studio)
    assert chosen.requirement.parent.parent == group
    assert Assignment.objects.get().requirement.parent.name == "inner"


def test_what_is_only_for_one_does_not_become_for_all_when_that_one_goes(as_teacher, people):
    """To name nobody means everybody: a tuba's date would be offered to every instrument."""
    tuba, horn = (InstrumentFactory(studio=people.studio, name=name) for name in ("Tuba", "Horn"))
    date = OfferedDateFactory(audition__institution__studio=people.studio)
    date.instruments.set([tuba])
    url = reverse("instrument_remove", args=[tuba.pk])
    assert "Tuba is still used by" in as_teacher.get(url).content.decode()
    as_teacher.post(url)
    assert list(date.instruments.all()) == [tuba]
    date.instruments.add(horn)
    assert removal.in_use(tuba, "Tuba") == ""
    as_teacher.post(url)
    assert list(date.instruments.all()) == [horn]


def test_a_concert_of_one_student_does_not_become_everybodys(as_teacher, people):
    concert = StudioDayFactory(studio=people.studio, name="Recital")
    concert.students.set([people.sam_student])
    url = reverse("student_remove", args=[people.sam_student.pk])
    as_teacher.post(url)
    people.sam_student.refresh_from_db()
    assert f"{people.sam_student} is still used by Recital" in as_teacher.get(url).content.decode()
    concert.delete()
    as_teacher.post(url)
    assert not Student.objects.filter(pk=people.sam_student.pk).exists()
