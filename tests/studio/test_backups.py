"""Backups: made while others write, whole or refused, and an old one in the program of today.

Each test has a site's database of its own, a SQLite file or one on the PostgreSQL server.
"""

import json
import threading
import zipfile
from contextlib import closing
from datetime import UTC, date, datetime, timedelta
from io import StringIO
from pathlib import Path

import pytest
from django.apps import apps
from django.core.management import CommandError, call_command
from django.db import connection, connections
from django.db.migrations.executor import MigrationExecutor
from django.db.migrations.loader import MigrationLoader

from studio.accounts.models import Studio
from studio.running import archive, backups, postgres, sqlite
from studio.running.archive import Unusable, digest
from studio.running.backups import backup, keep_latest, restore
from studio.students.models import Instrument, Student
from tests.studio.conftest import ALIAS, a_site

only_sqlite = pytest.mark.skipif(connection.vendor != "sqlite", reason="of SQLite's files")
only_postgres = pytest.mark.skipif(connection.vendor == "sqlite", reason="of PostgreSQL's programs")
FEWER_ROWS = {  # a file is counted before it is put in, a dump cannot be
    "sqlite": "do not have the rows",
    "postgresql": "not all rows have arrived.*back in its place",
}[connection.vendor]
OURS = ("accounts", "students", "institutions", "requirements", "entries", "days")


@pytest.fixture
def bare(tmp_path, settings, monkeypatch, django_db_blocker):
    """The database of a site that has not been begun: it has no tables."""
    settings.BACKUP_DIR = settings.RUN_DIR = tmp_path / "backups"
    settings.BACKUP_DIR.mkdir(mode=0o700)
    with django_db_blocker.unblock(), a_site(tmp_path) as made:
        monkeypatch.setattr(backups, "connection", connections[ALIAS])
        yield made
        connections[ALIAS].close()
        made.drop()


@pytest.fixture
def site(bare, migrated):
    """The database of a site in which Pia learns."""
    bare.fill(migrated)
    add("Pia Castellan")
    return bare


def add(name):
    """Write a student down, with a studio of their own."""
    studio = Studio(name="Quayside Brass", season="2026–27")
    studio.save_base(using=ALIAS, raw=True)
    horn = Instrument(studio_id=studio.pk, name="Horn", family="brass", position=20)
    horn.save_base(using=ALIAS, raw=True)
    Student(studio_id=studio.pk, name=name, instrument_id=horn.pk).save_base(using=ALIAS, raw=True)


def names():
    """The students there are."""
    found = list(Student.objects.using(ALIAS).order_by("pk").values_list("name", flat=True))
    connections[ALIAS].close()
    return found


def rewritten(path, to, **told):
    """Copy a backup with another manifest."""
    with zipfile.ZipFile(path) as old, zipfile.ZipFile(to, "w") as new:
        manifest = json.loads(old.read(archive.MANIFEST)) | told
        new.writestr(archive.MANIFEST, json.dumps(manifest))
        new.writestr(archive.DATABASE, old.read(archive.DATABASE))
    return to


def test_what_was_backed_up_comes_back_and_what_was_there_is_kept(site):
    path, manifest = backup()
    assert manifest.rows["students_student"] == 1
    add("Ada Later")
    kept, _ = restore(path)
    assert names() == ["Pia Castellan"]
    restore(kept)
    assert names() == ["Pia Castellan", "Ada Later"]


def test_it_is_for_its_owner_alone_and_overwrites_nothing(site, tmp_path, settings):
    path, _ = backup(tmp_path / "mine.zip")
    assert path.stat().st_mode & 0o777 == 0o600
    settings.BACKUP_DIR = tmp_path / "not yet there"
    assert backup()[0].parent.stat().st_mode & 0o777 == 0o700
    before = path.read_bytes()
    with pytest.raises(Unusable, match="there already"):
        backup(path)
    assert path.read_bytes() == before
    assert [each.name for each in tmp_path.glob(".*")] == []


def test_what_comes_to_stand_at_its_place_meanwhile_is_not_overwritten(site, tmp_path, monkeypatch):
    path = tmp_path / "mine.zip"

    def slowly(file):
        path.write_text("somebody else's")
        return digest(file)

    monkeypatch.setattr(backups, "digest", slowly)
    with pytest.raises(Unusable, match="there already"):
        backup(path)
    assert path.read_text() == "somebody else's"


class Pairs(threading.Thread):
    """A process that goes on writing: in each transaction one row of two tables, of one number."""

    def __init__(self, site):
        super().__init__()
        self.site, self.written, self.enough = site, 0, threading.Event()

    def run(self):
        with closing(self.site.connect()) as opened:
            while not self.enough.is_set():
                opened.execute(self.site.begin)
                for table in ("left_hand", "right_hand"):
                    opened.execute(f"INSERT INTO {table} VALUES ({self.written}, '{'x' * 2000}')")
                opened.execute("COMMIT")
                self.written += 1


def test_it_is_of_one_moment_while_others_go_on_writing(site, tmp_path):
    with closing(site.connect()) as made:
        if connection.vendor == "sqlite":
            made.execute("PRAGMA journal_mode=WAL")
        for table in ("left_hand", "right_hand"):
            made.execute(f"CREATE TABLE {table} (n INTEGER, filler TEXT)")
    writer = Pairs(site)
    writer.start()
    seen = [-1]
    try:
        for n in range(5):
            before = writer.written
            path, manifest = backup(tmp_path / f"{n}.zip")
            left, right = (manifest.rows[f"{hand}_hand"] for hand in ("left", "right"))
            assert left == right
            assert left >= before
            seen.append(left)
    finally:
        writer.enough.set()
        writer.join()
    assert writer.written > seen[-1] > seen[1], "nobody wrote meanwhile, so nothing is tried"
    restore(path)  # which counts what has arrived


def _cut(path):
    path.write_bytes(path.read_bytes()[:-2000])


def _change_a_byte(path):
    content = bytearray(path.read_bytes())
    content[len(content) // 2] ^= 0xFF
    path.write_bytes(content)


def _other(path):
    path.write_text("Not a backup at all.")


@pytest.mark.parametrize("harm", [_cut, _change_a_byte, _other, Path.unlink])
def test_a_damaged_one_is_refused_and_nothing_has_changed(site, harm):
    path, _ = backup()
    harm(path)
    add("Ada Later")
    with pytest.raises(Unusable, match="damaged|There is no"):
        restore(path)
    assert names() == ["Pia Castellan", "Ada Later"]


@pytest.mark.parametrize(
    ("told", "said"),
    [
        ({"migrations": ["accounts.9999_of_tomorrow"]}, "newer program.*9999_of_tomorrow"),
        ({"engine": "another"}, "backup of another"),
        ({"sha256": "0" * 64}, "not the one that was put in"),
        ({"rows": {"students_student": 7}}, FEWER_ROWS),
        ({"format": 2}, "no backup that this version"),
        ({"program": "Another"}, "no backup that this version"),
    ],
)
def test_what_does_not_fit_is_refused_and_nothing_has_changed(site, tmp_path, told, said):
    path = rewritten(backup()[0], tmp_path / "told.zip", **told)
    add("Ada Later")
    with pytest.raises(Unusable, match=said):
        restore(path)
    assert names() == ["Pia Castellan", "Ada Later"]


def test_it_is_not_restored_under_a_server(site):
    path, _ = backup()
    with closing(site.connect()) as server:
        server.execute("SELECT count(*) FROM students_student").fetchone()
        with pytest.raises(Unusable, match="Stop the server"):
            restore(path)
    restore(path)


def test_one_that_cannot_be_migrated_is_taken_out_again(site, monkeypatch):
    path, _ = backup()
    add("Ada Later")

    def fail(*_, **__):
        raise RuntimeError("a migration failed")

    monkeypatch.setattr(backups, "call_command", fail)
    with pytest.raises(Unusable, match="a migration failed.*back in its place"):
        restore(path)
    assert names() == ["Pia Castellan", "Ada Later"]


@only_sqlite
def test_no_backup_is_made_of_a_damaged_database(site, tmp_path):
    with closing(site.connect()) as harmed:
        harmed.execute("DELETE FROM accounts_studio")
    with pytest.raises(Unusable, match="damaged: students_"):
        backup(tmp_path / "mine.zip")
    assert not (tmp_path / "mine.zip").exists()


def test_only_the_latest_of_our_own_naming_are_kept(tmp_path):
    days = [f"anacrusis-2026-11-{day:02}-021500.zip" for day in range(1, 6)]
    others = ["anacrusis-before-summer.zip", "letter.txt", "anacrusis-2026-11-01-021500.zip.age"]
    for name in (*days, *others):
        (tmp_path / name).touch()
    assert [gone.name for gone in keep_latest(tmp_path, 2)] == days[:3]
    assert sorted(path.name for path in tmp_path.iterdir()) == sorted([*days[3:], *others])


def test_two_in_one_second_have_two_names(site):
    assert backup()[0] != backup()[0]


def test_what_a_killed_run_has_left_goes_a_day_later(tmp_path, time_machine):
    left = tmp_path / f"{archive.PLACE}left"
    left.mkdir()
    with archive.workplace(tmp_path):
        assert left.exists()
    time_machine.move_to(datetime.now(UTC) + timedelta(days=1, minutes=1))
    with archive.workplace(tmp_path):
        assert not left.exists()


def test_the_commands_say_what_they_did(site):
    out = StringIO()
    call_command("backup", "--keep", "1", stdout=out)
    call_command("backup", "--keep", "1", stdout=out)
    path = next(path for path in Path(out.getvalue().split(":")[0]).parent.iterdir())
    assert out.getvalue().count("read back and whole") == 2
    assert out.getvalue().count("Removed") == 1
    call_command("restore", str(path), stdout=out)
    assert "What was there before is kept in" in out.getvalue()
    with pytest.raises(CommandError, match="no backup of"):
        call_command("restore", __file__)
    with pytest.raises(CommandError, match="at least one"):
        call_command("backup", "--keep", "0")


def first_states():
    """The first migration of each app of ours, and the others' last."""
    leaves = MigrationLoader(None).graph.leaf_nodes()
    return [(app, "0001_initial") if app in OURS else (app, name) for app, name in leaves]


def test_the_oldest_backup_comes_into_the_program_of_today(bare):
    old = MigrationExecutor(connections[ALIAS])
    state = old.migrate(first_states()).apps
    studio = row(state, "accounts.Studio", name="Quayside Brass", season="2019–20")
    horn = row(
        state, "students.Instrument", studio=studio, name="Horn", family="brass", position=20
    )
    pia = row(state, "students.Student", studio=studio, name="Pia Castellan", instrument=horn)
    piece = row(state, "requirements.Piece", studio=studio, composer="Invented", work="Study 1")
    check = {"student": pia, "piece": piece, "on": date(2019, 10, 4), "tempo": 72}
    row(state, "entries.LessonCheck", **check)
    path, manifest = backup()
    assert "accounts.0002_studio_check_days" not in manifest.migrations

    connections[ALIAS].close()
    bare.empty()
    kept, _ = restore(path)
    assert kept is None
    found = Student.objects.using(ALIAS).select_related("studio", "instrument").get()
    assert (found.name, found.instrument.name) == ("Pia Castellan", "Horn")
    assert (found.studio.season, found.studio.check_days) == ("2019–20", 30)
    heard = found.checks.select_related("piece").get()
    assert (heard.piece.work, heard.on, heard.tempo) == ("Study 1", date(2019, 10, 4), 72)
    assert backups.applied_migrations() >= backups.known_migrations()
    assert Studio.objects.using(ALIAS).get() == found.studio


def row(state, model, **values):
    """Write a row of a former state of the program."""
    return state.get_model(model).objects.using(ALIAS).create(**values)


def test_every_migration_of_ours_can_be_taken_back():
    found = MigrationLoader(None).disk_migrations
    stuck = [
        f"{app}.{name}: {operation}"
        for (app, name), migration in found.items()
        if apps.get_app_config(app).name.startswith("studio.")
        for operation in migration.operations
        if not operation.reversible
    ]
    assert stuck == []


@only_sqlite
def test_a_site_that_has_not_been_begun_is_in_nobodys_use(bare):
    assert not sqlite.in_use(connections[ALIAS])
    assert not bare.name.exists()


@only_postgres
def test_missing_programs_are_named(site, monkeypatch):
    monkeypatch.setattr(postgres, "_environment", lambda _: {"PATH": "/nowhere"})
    monkeypatch.setenv("PATH", "/nowhere")
    with pytest.raises(Unusable, match="pg_dump is missing.*postgresql-client"):
        backup()
