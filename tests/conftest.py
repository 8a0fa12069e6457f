"""People whom every test of the site knows.

Ines owns a studio in which Theo teaches and Ana assists; Sam and Mia learn there.
Otto owns another studio.
"""

from types import SimpleNamespace

import pytest
from django.db import connection

from studio.accounts.models import Role


@pytest.fixture(scope="session")
def django_db_setup(django_db_setup, django_db_blocker):
    """Let Django try out once what JSON the database knows, so that no page pays for it."""
    with django_db_blocker.unblock():
        assert connection.features.has_json_object_function


@pytest.fixture
def people(db):
    """The six, each a Membership with .user; .studio is Ines's, .sam_student and .mia_student."""
    from tests.factories import StudentFactory, StudioFactory, seat

    studio = StudioFactory(name="Quayside Brass")
    sam, mia = (seat(studio, Role.STUDENT, name=name) for name in ("Sam Reyes", "Mia Okafor"))
    return SimpleNamespace(
        studio=studio,
        ines=seat(studio, Role.OWNER, name="Ines Amadi"),
        theo=seat(studio, Role.TEACHER, name="Theo Brandt"),
        ana=seat(studio, Role.ASSISTANT, name="Ana Lindqvist"),
        sam=sam,
        mia=mia,
        sam_student=StudentFactory(studio=studio, name="Sam Reyes", membership=sam),
        mia_student=StudentFactory(studio=studio, name="Mia Okafor", membership=mia),
        otto=seat(StudioFactory(name="Elsewhere"), Role.OWNER, name="Otto Vance"),
    )


@pytest.fixture
def company(people):
    """People, with Gil, Sam's guardian, and Paz, who plays the piano; and the rows they sit for."""
    from tests.factories import AccompanistFactory, GuardianFactory, seat

    studio = people.studio
    people.gil = seat(studio, Role.GUARDIAN, name="Gil Reyes")
    people.paz = seat(studio, Role.ACCOMPANIST, name="Paz Ito")
    people.gil_guardian = GuardianFactory(
        studio=studio, name="Gil Reyes", membership=people.gil, students=[people.sam_student]
    )
    people.paz_accompanist = AccompanistFactory(
        studio=studio, name="Paz Ito", membership=people.paz
    )
    return people


@pytest.fixture
def ranged_sam(people):
    """Sam, whose horn has a range, so that scales can be written for it."""
    student = people.sam_student
    student.instrument.lowest, student.instrument.highest = "F#2", "C6"
    student.instrument.save()
    return student


@pytest.fixture
def as_teacher(client, people):
    """A client signed in as Ines, the owner."""
    client.force_login(people.ines.user)
    return client


@pytest.fixture
def as_student(client, people):
    """A client signed in as Sam, a student."""
    client.force_login(people.sam.user)
    return client
