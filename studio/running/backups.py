"""Making a backup, and putting one back in the database's place."""

import re
import tomllib
from contextlib import contextmanager
from datetime import UTC, datetime, timedelta
from functools import lru_cache
from pathlib import Path

from django.conf import settings
from django.core.management import call_command
from django.db import connection
from django.db.migrations.loader import MigrationLoader
from django.db.migrations.recorder import MigrationRecorder

from studio.running import postgres, sqlite
from studio.running.archive import (
    Manifest,
    Unusable,
    digest,
    read_manifest,
    refuse_taken,
    unpack,
    workplace,
    write,
)

ENGINES = {"sqlite": sqlite, "postgresql": postgres}
OWN_NAME = re.compile(r"anacrusis-\d{4}-\d\d-\d\d-\d{6}\.zip")
IN_USE = (
    "Something has the database open. Stop the server and what else runs (on the small server of "
    "the manual: systemctl stop anacrusis-web), then restore again. Nothing is changed."
)


@lru_cache
def version():
    """Return the version of the program."""
    read = tomllib.loads((settings.BASE_DIR / "pyproject.toml").read_text(encoding="utf-8"))
    return read["project"]["version"]


@lru_cache
def known_migrations():
    """Return the migrations that the program brings along, as "app.name"."""
    return frozenset(map(".".join, MigrationLoader(None).disk_migrations))


def applied_migrations():
    """Return the migrations that the database has been through, as "app.name"."""
    return frozenset(map(".".join, MigrationRecorder(connection).applied_migrations()))


def own_name(now):
    """Return the name of a backup made at `now` (aware), for its folder to be sorted by."""
    return f"anacrusis-{now.astimezone(UTC):%Y-%m-%d-%H%M%S}.zip"


def place_for(path, now):
    """Return where a backup goes: the file `path`; in the folder `path`; or (None) in the usual."""
    if path is None:
        path = Path(settings.BACKUP_DIR)
        path.mkdir(mode=0o700, parents=True, exist_ok=True)
    path = Path(path)
    if not path.is_dir():
        return path
    while (place := path / own_name(now)).exists():
        now += timedelta(seconds=1)
    return place


def backup(path=None):
    """Write a backup of the database, others going on meanwhile; return (path, Manifest).

    path: a file that is not there yet, or a folder; None: the usual folder. Raises Unusable.
    """
    now = datetime.now(UTC)
    path, engine = place_for(path, now), ENGINES[connection.vendor]
    refuse_taken(path)
    if not path.parent.is_dir():
        raise Unusable(f"There is no folder {path.parent}.")
    with workplace(path.parent) as place:
        copy = place / "copy"
        rows = engine.copy(connection, copy)
        with copy.open("rb") as file:
            size, found = digest(file)
        manifest = Manifest(
            version=version(),
            made_at=now.isoformat(timespec="seconds"),
            engine=connection.vendor,
            migrations=sorted(applied_migrations()),
            rows=rows,
            bytes=size,
            sha256=found,
        )
        write(path, copy, manifest, packed=engine.PACKED)
    return path, manifest


def keep_latest(folder, most):
    """Remove all but the latest `most` backups of our own naming; return what was removed."""
    ours = sorted(path for path in folder.iterdir() if OWN_NAME.fullmatch(path.name))
    gone = ours[: max(0, len(ours) - most)]
    for path in gone:
        path.unlink()
    return gone


@contextmanager
def checked(path):
    """Give a backup's Manifest and its unpacked database, found whole and not too new for us."""
    manifest, engine = read_manifest(path), ENGINES[connection.vendor]
    if manifest.engine != connection.vendor:
        raise Unusable(
            f"This is a backup of {manifest.engine}, but DATABASE_URL leads to {connection.vendor}."
        )
    if newer := sorted(set(manifest.migrations) - known_migrations()):
        raise Unusable(
            f"This backup is of a newer program (version {manifest.version}; unknown here: "
            f"{', '.join(newer[:5])}). Upgrade the program, then restore."
        )
    with workplace(engine.folder(connection)) as place:
        copy = place / "copy"
        unpack(path, manifest, copy)
        found = engine.check(copy)
        if found is not None and found != manifest.rows:
            raise Unusable(f"{path} is damaged: its tables do not have the rows it says.")
        yield manifest, copy


def restore(path):
    """Put a backup in the database's place and bring it up to the program's own version.

    Returns (where what was there before is kept, or None; the backup's Manifest). Raises Unusable,
    with the database as it was: a backup that cannot be migrated is taken out again.
    """
    engine = ENGINES[connection.vendor]
    with checked(path) as (manifest, copy):
        if engine.in_use(connection):
            raise Unusable(IN_USE)
        kept = backup()[0] if applied_migrations() else None
        if engine.put(connection, copy) != manifest.rows:
            raise Unusable(_taken_out("not all rows have arrived", kept))
        try:
            call_command("migrate", database=connection.alias, verbosity=0, interactive=False)
            connection.check_constraints()
        except Exception as error:
            raise Unusable(_taken_out(f"{type(error).__name__}: {error}", kept)) from error
        finally:
            connection.close()
    return kept, manifest


def _taken_out(why, kept):
    """Put back what was there, and say so."""
    if kept is None:
        return f"The backup could not be brought up to this version ({why})."
    with checked(kept) as (_, copy):
        ENGINES[connection.vendor].put(connection, copy)
    return (
        f"The backup could not be brought up to this version ({why}). What was there before is "
        f"back in its place, and stays in {kept} too."
    )
