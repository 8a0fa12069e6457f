"""What is erased is nowhere any more: no row, no history, no account, no page of the file."""

from contextlib import closing
from datetime import date, timedelta
from types import SimpleNamespace

import pytest
import time_machine
from django.apps import apps
from django.contrib.sessions.models import Session
from django.core.cache import caches
from django.core.management import call_command
from django.db import connection, connections
from django.urls import reverse
from django.utils import timezone
from django.utils.dateformat import format as date_format

from studio.accounts import history
from studio.accounts.models import Change, Erasure, Role, User
from studio.privacy import cleaning, erasure, middleware
from studio.reminders.sending import letter_for
from studio.students.models import Guardian, Student, StudioDay
from tests.factories import (
    EntryFactory,
    LessonCheckFactory,
    PracticeLogFactory,
    StudentFactory,
    StudioDayFactory,
    StudioFactory,
    full_entry,
)
from tests.studio.conftest import ALIAS, a_site
from tests.studio.leavings import NAME, PARENT, WORDS, full_student, signed_in, staged

only_sqlite = pytest.mark.skipif(connection.vendor != "sqlite", reason="of SQLite's files")


@pytest.fixture(autouse=True)
def run_dir(settings, tmp_path):
    settings.RUN_DIR = tmp_path / "run"
    settings.RUN_DIR.mkdir()
    return settings.RUN_DIR


def due(student):
    """Let a student's day have come."""
    student.erase_on = student.studio.today
    student.save()


def run(days=0):
    return erasure.run(timezone.now() + timedelta(days))


@pytest.fixture
def file_site(tmp_path, migrated, django_db_blocker):
    """A site on a database file of its own, which is Django's only one meanwhile."""
    with django_db_blocker.unblock(), a_site(tmp_path) as made:
        made.fill(migrated)
        usual = connections["default"]
        connections["default"] = connections[ALIAS]
        try:
            yield made
        finally:
            connections["default"] = usual


def raw(made):
    """Return what stands in the database's files, byte by byte."""
    files = [made.name.with_name(made.name.name + ending) for ending in ("", "-wal", "-shm")]
    return b"".join(file.read_bytes() for file in files if file.exists())


@only_sqlite
def test_nothing_is_left_in_the_files_of_the_database(file_site):
    studio = StudioFactory()
    other = StudentFactory(studio=studio, name="Mia Okafor")
    full_entry(other)
    student = full_student(studio, other)
    student.notes += " and often"  # what is overwritten has to go too
    student.save()
    signed_in(None, code=WORDS[1])
    due(student)
    before = raw(file_site)
    assert [word for word in WORDS if word.encode() not in before] == []
    done = run()
    assert (done.erased, done.clean) == (1, True)
    after = raw(file_site)
    assert [word for word in WORDS if word.encode() in after] == []
    assert b"Mia Okafor" in after


@only_sqlite
def test_what_breaks_off_or_is_held_up_is_cleaned_by_the_next_run(file_site):
    student = full_student(studio := StudioFactory(), StudentFactory(studio=studio))
    due(student)
    with closing(file_site.connect()) as reader:
        reader.execute("BEGIN")
        reader.execute("SELECT count(*) FROM students_student").fetchone()
        assert not run().clean  # somebody still reads what was there before
    assert run().clean
    assert [word for word in WORDS if word.encode() in raw(file_site)] == []


@only_sqlite
def test_what_was_left_in_the_file_before_it_wrote_over_goes_too(file_site):
    connection.cursor().execute("PRAGMA secure_delete=OFF")
    student = full_student(studio := StudioFactory(), StudentFactory(studio=studio))
    due(student)
    run()
    assert [word for word in WORDS if word.encode() in raw(file_site)] == []


@only_sqlite
def test_what_is_deleted_is_written_over_at_once(file_site):
    assert connection.cursor().execute("PRAGMA secure_delete").fetchone()[0] == 1


@pytest.fixture
def erased(people, run_dir):
    """Somebody of whom everything was stored, erased just now."""
    student = full_student(people.studio, people.mia_student)
    with history.acting(people.ines.user):
        due(student)
    teacher = signed_in(people.ines.user, _messages=f"{NAME}: saved.", kept="as it is")
    upload = staged(run_dir, people.ines.user, people.studio)
    elsewhere = staged(run_dir, people.otto.user, people.otto.studio)
    caches["sheets"].set("sheet", NAME)
    batches = set(Change.objects.values_list("batch", flat=True))
    kept = {"teacher": teacher, "upload": upload, "elsewhere": elsewhere, "batches": batches}
    done = run()
    return SimpleNamespace(pk=student.pk, done=done, **kept)


def everywhere():
    """Yield every value of every table, as text."""
    for model in apps.get_models():
        for values in model._base_manager.values():
            yield from ((model._meta.label, str(value)) for value in values.values())


@pytest.mark.django_db
def test_no_row_and_no_history_tells_of_them(erased):
    assert [(m, v) for m, v in everywhere() if any(word in v for word in WORDS)] == []
    assert not Change.objects.filter(student_pk=erased.pk).exists()
    assert not Change.objects.filter(model__in=["entries.wish", "entries.datewish"]).exists()
    assert not User.objects.filter(name__in=[NAME, PARENT]).exists()


@pytest.mark.django_db
def test_others_keep_what_is_theirs(erased, people):
    assert StudioDay.objects.get().name == "Recital with (erased)"  # theirs alone is gone
    assert list(StudioDay.objects.get().students.all()) == [people.mia_student]
    assert Guardian.objects.get().name == "Parent of both"
    assert Student.objects.count() == 2 and User.objects.filter(pk=people.mia.user_id).exists()


@pytest.mark.django_db
def test_what_is_kept_of_it_names_nobody(erased, people):
    kept = Erasure.objects.get()
    assert (kept.studio, kept.by, kept.rows) == (people.studio, people.ines.user, erased.done.rows)
    assert kept.rows > 60


@pytest.mark.django_db
def test_sessions_uploads_and_memory_are_cleaned(erased, people):
    told = Session.objects.get(pk=erased.teacher).get_decoded()
    assert told["kept"] == "as it is" and "_messages" not in told
    assert Session.objects.count() == 1  # their own is over
    assert not erased.upload.exists() and erased.elsewhere.exists()
    assert caches["sheets"].get("sheet") is None


@pytest.mark.django_db
def test_other_processes_forget_before_their_next_page(people, run_dir):
    of_another = middleware.ForgetMiddleware(lambda request: caches["sheets"].get("sheet"))
    caches["sheets"].set("sheet", NAME)
    assert of_another(None) == NAME
    (run_dir / cleaning.TOLD).write_text("by another process")
    assert of_another(None) is None


@pytest.mark.django_db
def test_undoing_anything_older_brings_nothing_back(erased, people):
    for batch in erased.batches:
        try:
            history.undo(batch, people.studio)
        except history.CannotUndo:
            continue
    assert not Student.objects.filter(pk=erased.pk).exists()
    assert [v for _, v in everywhere() if any(word in v for word in WORDS)] == []


@pytest.mark.django_db
def test_the_seat_of_another_studio_keeps_the_account(people):
    student = full_student(people.studio, people.mia_student)
    seat_elsewhere = people.otto.studio.memberships.create(
        user=student.membership.user, role=Role.ASSISTANT
    )
    due(student)
    run()
    assert seat_elsewhere.user.name == NAME
    assert User.objects.filter(name=NAME).exists()


@pytest.mark.django_db
def test_whoever_lies_in_the_bin_for_a_month_is_erased(people):
    student = full_student(people.studio, people.mia_student)
    with history.acting(people.theo.user):
        student.delete()
    assert run(days=29).erased == 0
    assert run(days=31).erased == 1
    assert Erasure.objects.get().by == people.theo.user
    assert [(m, v) for m, v in everywhere() if any(word in v for word in WORDS)] == []


@pytest.mark.django_db
def test_whoever_was_brought_back_is_not_erased(people):
    with history.acting(None) as act:
        people.sam_student.delete()
    history.undo(act.batch, people.studio)
    assert run(days=60).erased == 0


@pytest.mark.django_db
def test_a_name_within_another_stays(people):
    StudentFactory(studio=people.studio, name="Sam Reyes Ortega")
    due(people.sam_student)
    run()
    assert Student.objects.filter(name="Sam Reyes Ortega").exists()
    assert Change.objects.filter(label="Sam Reyes Ortega").exists()


@pytest.mark.django_db
def test_the_bin_is_no_longer_than_the_day_that_was_told(people):
    erasure.put_down(people.sam_student, people.studio.today)
    people.sam_student.delete()
    assert run(days=12).erased == 0
    assert run(days=15).erased == 1
    assert not Change.objects.filter(student_pk__isnull=False, label="Sam Reyes").exists()


@pytest.mark.django_db
def test_whoever_is_taken_back_while_it_runs_stays(people, monkeypatch):
    for student in (people.sam_student, people.mia_student):
        due(student)
    begin = cleaning.begin

    def a_teacher_is_quicker():
        begin()
        erasure.keep(Student.objects.get(pk=people.mia_student.pk))

    monkeypatch.setattr(cleaning, "begin", a_teacher_is_quicker)
    assert run().erased == 1
    assert Student.objects.get() == people.mia_student


@pytest.mark.django_db
def test_two_runs_at_once_erase_once(people, monkeypatch):
    due(people.sam_student)
    found = erasure.due(people.studio, people.studio.today)
    run()
    monkeypatch.setattr(erasure, "due", lambda studio, today: found)
    assert run().erased == 0
    assert Erasure.objects.count() == 1


@pytest.mark.django_db
def test_what_breaks_off_leaves_all_as_it_was(people, monkeypatch):
    student = full_student(people.studio, people.mia_student)
    due(student)
    before = list(everywhere())
    monkeypatch.setattr(cleaning, "sessions", lambda users, words: 1 / 0)
    with pytest.raises(ZeroDivisionError):
        run()
    assert list(everywhere()) == before


@pytest.mark.django_db
def test_the_address_of_a_whole_family_stays_with_the_others(people):
    home = "home@family.example"
    people.sam_student.email = people.mia_student.email = home
    people.sam_student.save()
    with history.acting(None) as act:
        people.mia_student.save()
    due(people.sam_student)
    run()
    history.undo(act.batch, people.studio)
    assert Student.objects.get().email != home


@pytest.mark.django_db
def test_a_day_of_theirs_alone_is_not_brought_back_for_everybody(people):
    day = StudioDayFactory(studio=people.studio)
    day.students.add(people.sam_student)
    with history.acting(None) as act:
        day.delete()
    due(people.sam_student)
    run()
    history.undo(act.batch, people.studio)
    assert not StudioDay.objects.exists()


@pytest.mark.django_db
def test_a_teacher_puts_somebody_down_and_takes_it_back(as_teacher, people):
    sam = people.sam_student
    page = reverse("student_privacy", args=[sam.pk])
    as_teacher.post(reverse("student_erase", args=[sam.pk]))
    sam.refresh_from_db()
    assert sam.erase_on == people.studio.today + erasure.GRACE
    for url in (page, sam.get_absolute_url(), reverse("privacy")):
        assert date_format(sam.erase_on, "j M") in as_teacher.get(url).content.decode()
    assert run(days=12).erased == 0
    as_teacher.post(reverse("student_keep", args=[sam.pk]))
    assert run(days=20).erased == 0


@pytest.fixture
def kept_for_a_year(people):
    """The studio keeps twelve months; it is July 2027, and Sam was last heard in June 2026."""
    people.studio.keep_months = 12
    people.studio.save()
    with time_machine.travel("2026-06-10 12:00Z", tick=False):
        LessonCheckFactory(student=people.sam_student, on=date(2026, 6, 10), tempo=80)
    PracticeLogFactory(student=people.mia_student, on=date(2027, 3, 1))
    with time_machine.travel("2027-07-01 12:00Z", tick=False) as clock:
        yield clock


@pytest.mark.django_db
def test_whose_time_is_over_is_put_down_and_nobody_else(people, kept_for_a_year):
    StudentFactory(studio=people.studio, name="Nothing Known")
    done = run()
    assert (done.put_down, done.erased) == (1, 0)
    people.sam_student.refresh_from_db()
    assert people.sam_student.erase_on == date(2027, 7, 15)
    assert run().put_down == 0
    assert not Student.objects.exclude(pk=people.sam_student.pk).exclude(erase_on=None).exists()


@pytest.mark.django_db
def test_who_was_taken_back_stays_as_long_again(people, kept_for_a_year, client):
    client.force_login(people.ines.user)
    run()
    client.post(reverse("student_keep", args=[people.sam_student.pk]))
    assert run().put_down == run(days=200).put_down == 0
    assert people.sam_student not in erasure.over(people.studio, date(2028, 6, 30))
    assert people.sam_student in erasure.over(people.studio, date(2028, 7, 1))


@pytest.mark.django_db
def test_who_plays_this_season_and_whoever_a_studio_keeps_stays(people, kept_for_a_year):
    EntryFactory(student=people.sam_student, chosen_date=None)
    assert run().put_down == 0
    people.sam_student.entries.update(result="withdrawn")
    people.studio.keep_months = None
    people.studio.save()
    assert run().put_down == 0


@pytest.mark.django_db
def test_the_teacher_is_told_in_the_weekly_mail(people, kept_for_a_year):
    run()
    now = timezone.now()
    assert "- Sam, Thursday 15 July" in letter_for(people.ines, now).text
    assert not letter_for(people.ines, now).is_empty
    assert "ERASURE" not in letter_for(people.otto, now).text


@pytest.mark.django_db
def test_the_command_tells_numbers_and_no_names(people, capsys):
    due(people.sam_student)
    call_command("erase_due")
    told = capsys.readouterr()
    assert "1 erased" in told.out and "Sam" not in told.out + told.err


@pytest.mark.django_db
def test_names_with_accents_are_taken_out_of_sessions_too(people):
    people.sam_student.name = "Zoë Ångström"
    due(people.sam_student)
    teacher = signed_in(people.ines.user, _messages=["Zoë Ångström: saved."])
    run()
    assert "_messages" not in Session.objects.get(pk=teacher).get_decoded()
