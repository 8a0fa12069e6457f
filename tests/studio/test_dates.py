"""Every date that somebody types lies in years from which the engine can count."""

from datetime import date

import pytest
from django.core.exceptions import ValidationError

from tests.factories import (
    DayAwayFactory,
    DeadlineFactory,
    LessonCheckFactory,
    OfferedDateFactory,
    TaskFactory,
)

pytestmark = pytest.mark.django_db

TYPED = [
    (DeadlineFactory, "on"),
    (DeadlineFactory, "opens_on"),
    (OfferedDateFactory, "on"),
    (TaskFactory, "on"),
    (LessonCheckFactory, "on"),
    (DayAwayFactory, "last"),
]


@pytest.mark.parametrize(("make", "name"), TYPED)
@pytest.mark.parametrize("year", [202, 1899, 2200, 9999])
def test_a_year_that_can_only_be_a_slip_is_refused(make, name, year):
    row = make()
    setattr(row, name, date(year, 2, 6))
    with pytest.raises(ValidationError) as refused:
        row.full_clean()
    assert "Write a year from 1900 to 2199." in refused.value.message_dict[name]


def test_other_faults_are_told_as_well():
    row = DeadlineFactory()
    row.on, row.opens_on, row.kind = "soon", date(202, 2, 6), ""
    with pytest.raises(ValidationError) as refused:
        row.full_clean()
    assert set(refused.value.message_dict) == {"on", "opens_on", "kind"}
