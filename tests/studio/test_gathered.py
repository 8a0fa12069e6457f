"""Rows gathered into one column of their owners: nothing lost on the way, no query more."""

from datetime import date, time
from decimal import Decimal

import pytest
from django.db.models import F, OuterRef

from studio.entries.models import TrialLesson
from studio.gathered import gathered, read
from studio.students.models import Student
from tests.factories import TrialLessonFactory

pytestmark = pytest.mark.django_db

FIELDS = ("id", "student_id", "teacher", "on", "at", "cost", "held")


def students():
    own = TrialLesson.objects.filter(student=OuterRef("pk"))
    place = F("institution__name")
    return Student.objects.annotate(found=gathered(own, "student", FIELDS, place=place))


def test_each_owner_gets_its_own_rows_as_they_were(people, django_assert_num_queries):
    lesson = TrialLessonFactory(
        student=people.sam_student,
        institution__name="Lake “Ardent”, 1/2",
        on=date(2027, 1, 9),
        at=time(14, 30),
        cost=Decimal("62.50"),
        held=True,
    )
    TrialLessonFactory(student=people.sam_student, on=None, at=None, cost=None)
    TrialLessonFactory(student=people.mia_student)
    with django_assert_num_queries(1):
        sam = students().get(pk=people.sam_student.pk)
    found = {row.pk: (row, values) for row, values in read(TrialLesson, sam.found, FIELDS)}
    assert len(found) == 2
    row, values = found[lesson.pk]
    for name in FIELDS:
        assert getattr(row, name) == getattr(lesson, name), name
    assert values["place"] == "Lake “Ardent”, 1/2"
    other = next(row for pk, (row, _) in found.items() if pk != lesson.pk)
    assert (other.on, other.at, other.cost, other.held) == (None, None, None, False)


def test_an_owner_without_rows_has_none(people):
    assert read(TrialLesson, students().get(pk=people.sam_student.pk).found, FIELDS) == []
