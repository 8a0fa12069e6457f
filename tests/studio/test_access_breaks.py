"""Attempts to reach what is not one's own: by what is posted, by what was known or done before."""

import os
import time
from types import SimpleNamespace

import pytest
from django.core.files.uploadedfile import SimpleUploadedFile
from django.db import connection
from django.test import Client
from django.urls import reverse

from studio.accounts import history
from studio.accounts.models import Change, Invitation, Membership, Role, User
from studio.students.models import Student
from studio.workbook import uploads
from tests.factories import (
    AccompanistFactory,
    DeadlineFactory,
    InstitutionFactory,
    InstrumentFactory,
    PieceFactory,
    RecommenderFactory,
    RequirementFactory,
    StudentFactory,
    full_entry,
)
from tests.studio.test_access_walk import everything

pytestmark = pytest.mark.django_db
SECRET = "a long enough secret"


def signed_in(who, **options):
    client = Client(**options)
    client.force_login(who.user)
    return client


@pytest.fixture
def own(people):
    """Rows of Ines's studio: an entry of Sam, and what hangs on it."""
    return hangs_on(full_entry(people.sam_student))


@pytest.fixture
def theirs(people):
    """The same of a student of Otto's."""
    student = StudentFactory(studio=people.otto.studio, name="Stranger Elsewhere")
    return hangs_on(full_entry(student))


def hangs_on(entry):
    studio, audition = entry.student.studio, entry.audition
    return SimpleNamespace(
        entry=entry,
        student=entry.student,
        audition=audition,
        date=entry.chosen_date,
        deadline=audition.deadlines.first(),
        requirement_set=entry.requirement_set,
        requirement=RequirementFactory(requirement_set=entry.requirement_set),
        piece=PieceFactory(studio=studio),
        task=entry.tasks.first(),
        instrument=InstrumentFactory(studio=studio, name="Natural horn"),
        place=InstitutionFactory(studio=studio),
        recommender=RecommenderFactory(student=entry.student),
        accompanist=AccompanistFactory(studio=studio),
    )


TASK = {"name": "Ask", "doer": "student", "takes": 0, "lead": 0, "lead_unit": "days"}
HORN = {"instrument": ".instrument"}
PLACE = {"name": "A", "kind": "other"}
DUE = {"kind": "music application", "name": "Letters", "on": "2026-12-01"}
# Route, the row in its address, the field that is tried, the row it names, the rest of the form;
# a dot before a row.
BODIES = (
    ("assign", "entry", "requirement", "requirement", {"piece": ".piece"}),
    ("assign", "entry", "piece", "piece", {"requirement": ".requirement"}),
    ("entry_date", "entry", "chosen_date", "date", {"date_state": "confirmed"}),
    ("entry_edit", "entry", "requirement_set", "requirement_set", HORN),
    ("entry_edit", "entry", "instrument", "instrument", {}),
    ("entry_add", "student", "audition", "audition", HORN),
    ("entry_add", "student", "instrument", "instrument", {"audition": ".audition"}),
    ("task_add", "entry", "deadline", "deadline", TASK),
    ("task_edit", "task", "deadline", "deadline", TASK),
    ("task_add", "entry", "after", "task", TASK | {"on": "2026-12-01"}),
    ("task_edit", "task", "recommender", "recommender", TASK | {"on": "2026-12-01"}),
    ("entry_edit", "entry", "accompanist", "accompanist", HORN),
    ("student_edit", "student", "instrument", "instrument", {"name": "Sam Reyes"}),
    ("student_edit", "student", "also_plays", "instrument", HORN | {"name": "S"}),
    ("deadline_add", "audition", "opens_after", "deadline", DUE),
    ("date_edit", "date", "instruments", "instrument", {"on": "2027-02-06"}),
    ("institution_edit", "place", "part_of", "audition.institution", PLACE),
    ("requirement_set_add", "place", "instrument", "instrument", {"season": "2026–27"}),
    ("piece_edit", "piece", "instrument", "instrument", {"work": "A", "kind": "solo"}),
)


def follow(rows, path):
    for step in path.split("."):
        rows = getattr(rows, step)
    return rows.pk


@pytest.mark.parametrize(("route", "address", "field", "row", "rest"), BODIES)
def test_a_form_takes_rows_of_ones_own_studio_only(
    as_teacher, own, theirs, route, address, field, row, rest
):
    url = reverse(route, args=[follow(own, address)])
    body = {k: follow(own, v[1:]) if str(v)[0] == "." else v for k, v in rest.items()}
    before = everything()
    page = as_teacher.post(url, body | {field: follow(theirs, row)})
    assert page.status_code == 422
    assert "Stranger Elsewhere" not in page.content.decode()
    assert everything() == before
    assert as_teacher.post(url, body | {field: follow(own, row)}).status_code == 302


def test_a_deadline_waits_for_none_of_another_audition(as_teacher, own):
    other = DeadlineFactory(audition__institution=own.place)
    url = reverse("deadline_edit", args=[own.deadline.pk])
    assert as_teacher.post(url, DUE | {"opens_after": other.pk}).status_code == 422


def test_a_lesson_writes_of_the_students_own_pieces_only(as_teacher, people, own, theirs):
    url = reverse("lesson", args=[people.sam_student.pk])
    elsewhere = theirs.entry.assignments.first().piece
    before = everything()
    as_teacher.post(url, {"on": "2026-11-02", f"piece{elsewhere.pk}-tempo": 90})
    assert everything() == before


def test_a_student_logs_no_piece_of_another_student(as_student, people, own):
    piece = full_entry(people.mia_student).assignments.first().piece
    before = everything()
    assert as_student.post(reverse("check_log", args=[piece.pk]), {"tempo": 90}).status_code == 404
    assert everything() == before


def test_a_students_log_stays_their_own_whatever_is_posted(as_student, people, own):
    piece = own.entry.assignments.first().piece
    forged = {"tempo": 90, "student": people.mia_student.pk, "source": "teacher", "mark_1": 10}
    as_student.post(reverse("check_log", args=[piece.pk]), forged | {"on": "2026-01-01"})
    log = people.sam_student.checks.latest("pk")
    assert (log.source, log.mark_1, log.by) == ("student", None, people.sam.user)
    assert log.on == people.studio.today
    assert not people.mia_student.checks.exists()


def test_a_day_is_copied_to_students_of_the_own_studio_only(as_teacher, own, theirs):
    theirs.date.on = own.date.on
    theirs.date.save()
    url = reverse("day_edit", args=[own.entry.pk])
    as_teacher.post(url, {"entrance": "Side door", "also_others": "on"})
    own.entry.day.refresh_from_db()
    theirs.entry.day.refresh_from_db()
    assert (own.entry.day.entrance, theirs.entry.day.entrance) == ("Side door", "")


def test_a_workbook_finds_nothing_of_another_studio(as_teacher, theirs):
    row = f"student,first day,last day\n{theirs.student.name},2026-12-24,2026-12-26\n"
    file = SimpleUploadedFile("away.csv", row.encode())
    before = everything()
    page = as_teacher.post(reverse("workbook_check"), {"files": file})
    assert page.status_code == 422
    as_teacher.post(reverse("workbook_apply"), {"digest": ""})
    assert everything() == before


# what was known, or done, before


@pytest.fixture
def folder(tmp_path, monkeypatch):
    monkeypatch.setattr(uploads, "FOLDER", tmp_path / "uploads")
    return tmp_path / "uploads"


def upload(client):
    file = SimpleUploadedFile("instruments.csv", b"instrument,family\nZink,brass\n")
    return client.post(reverse("workbook_check"), {"files": file})


def test_an_upload_is_its_owners_alone(as_teacher, people, folder):
    upload(as_teacher)
    otto = signed_in(people.otto)
    session = otto.session
    session[uploads.SESSION_KEY] = as_teacher.session[uploads.SESSION_KEY]
    session.save()
    assert otto.get(reverse("workbook_check")).url == reverse("workbook")
    before = everything()
    assert otto.post(reverse("workbook_apply")).url == reverse("workbook")
    assert everything() == before


def test_an_upload_is_gone_after_a_day(as_teacher, folder):
    upload(as_teacher)
    old = time.time() - uploads.KEPT_SECONDS - 1
    for each in folder.iterdir():
        os.utime(each, (old, old))
    assert as_teacher.get(reverse("workbook_check")).url == reverse("workbook")
    assert not list(folder.iterdir())


def test_a_student_takes_back_nothing_of_others(as_student, people, own):
    before = everything()
    for batch in Change.objects.values_list("batch", flat=True).distinct():
        assert as_student.post(reverse("undo", args=[batch])).status_code == 404
    assert everything() == before


def test_a_teacher_turned_assistant_takes_back_what_assistants_do_only(people, own):
    client = signed_in(people.theo)
    client.post(reverse("student_remove", args=[people.mia_student.pk]))
    removal = Change.objects.first().batch
    client.post(reverse("task_edit", args=[own.task.pk]), TASK | {"on": "2026-12-01"})
    renaming = Change.objects.first().batch
    Membership.objects.filter(pk=people.theo.pk).update(role=Role.ASSISTANT)
    client.post(reverse("task_tick", args=[own.task.pk]))
    ticking = Change.objects.first().batch
    tried = [client.post(reverse("undo", args=[b])) for b in (removal, ticking, renaming)]
    assert [response.status_code for response in tried] == [404, 302, 404]
    own.task.refresh_from_db()
    assert (own.task.state, own.task.name) == ("open", "Ask")


def test_a_removed_students_seat_is_gone_until_the_student_comes_back(as_teacher, people):
    as_teacher.post(reverse("student_remove", args=[people.sam_student.pk]))
    batch = Change.objects.first().batch
    gone = as_teacher.post(reverse("membership_remove", args=[people.sam.pk]))
    assert gone.status_code == 404
    as_teacher.post(reverse("undo", args=[batch]))
    assert Student.objects.get(name="Sam Reyes").membership.user == people.sam.user
    connection.check_constraints()


def test_what_stands_in_the_way_of_an_undo_is_told(as_teacher, people):
    with history.acting(None) as added:
        horn = InstrumentFactory(studio=people.studio, name="Zink")
    StudentFactory(studio=people.studio, instrument=horn, name="Pia")
    with history.acting(None) as removed:
        Student.objects.get(name="Pia").delete()
    StudentFactory(studio=people.studio, instrument=horn, name="Pia")
    for batch in (added.batch, removed.batch):
        page = as_teacher.post(reverse("undo", args=[batch]), follow=True)
        assert "Nothing was taken back." in page.content.decode()
    assert Student.objects.filter(name="Pia").count() == 1


def test_the_studios_calendar_moves_when_a_teacher_goes(as_teacher, people):
    known = reverse("studio_feed_calendar", args=[people.studio.feed_token])
    as_teacher.post(reverse("membership_remove", args=[people.ana.pk]))
    assert Client().get(known).status_code == 200  # assistants never saw it
    as_teacher.post(reverse("membership_remove", args=[people.theo.pk]))
    assert Client().get(known).status_code == 404


def test_a_seat_taken_away_by_a_slip_comes_back(as_teacher, people):
    url = reverse("membership_remove", args=[people.ana.pk])
    page = as_teacher.get(url).content.decode()
    assert "You can undo this straight afterwards." in page
    assert f'href="{reverse("people")}">Keep it' in page
    as_teacher.post(url)
    as_teacher.post(reverse("undo", args=[Change.objects.first().batch]))
    assert people.studio.memberships.get(user=people.ana.user).role == "assistant"


def test_somebody_seated_is_not_invited_twice(as_teacher, people):
    page = as_teacher.post(reverse("people"), {"email": people.ana.user.email, "role": "teacher"})
    assert page.status_code == 422
    assert not Invitation.objects.exists()


def test_an_invitation_gives_nobody_a_second_seat(people):
    empty = Membership.objects.create(studio=people.studio, role=Role.ASSISTANT)
    link = Invitation.issue(empty, people.ana.user.email)
    page = signed_in(people.ana).post(link, follow=True)
    assert "You have a seat in this studio already" in page.content.decode()
    assert people.ana.user.memberships.count() == 1


def test_nobody_takes_on_an_address_they_have_not_proven():
    User.objects.create_user("teacher@studio.example", SECRET, name="Teacher")
    sam = User.objects.create_user("sam@studio.example", SECRET, name="Sam")
    client = Client()
    client.force_login(sam)
    for email in ("teacher@studio.example", "next.colleague@studio.example"):
        client.post(reverse("account_email"), {"action_add": "", "email": email})
        client.post(reverse("account_email"), {"action_primary": "", "email": email})
        sam.refresh_from_db()
        assert sam.email == "sam@studio.example"
