"""Copying and replacing a SQLite database while others may be reading and writing it."""

import sqlite3
from contextlib import closing
from pathlib import Path

from studio.running.archive import Unusable

PACKED = False  # a copy is as large as the database


def _file(connection):
    return Path(connection.settings_dict["NAME"])


def folder(connection):
    """Return the folder that the database lies in."""
    return _file(connection).parent


def copy(connection, to):
    """Copy the database as it is at one moment to the new file `to`; return each table's rows.

    All pages in one step: others go on reading and writing meanwhile. In several steps it would
    begin again after each write of another process, and never end under load.
    """
    with (
        closing(sqlite3.connect(_file(connection), timeout=30)) as source,
        closing(sqlite3.connect(to)) as target,
    ):
        source.backup(target, pages=-1)
        target.execute("PRAGMA journal_mode=DELETE")  # one file, without a -wal beside it
    return check(to)


def check(file):
    """Return how many rows each table of a database file has. Raises Unusable if it is damaged."""
    with closing(sqlite3.connect(f"file:{file}?mode=ro", uri=True)) as opened:
        try:
            found = opened.execute("PRAGMA integrity_check(1)").fetchone()[0]
            loose = opened.execute("PRAGMA foreign_key_check").fetchone()
            if found != "ok" or loose:
                raise Unusable(
                    f"The database is damaged: {found if found != 'ok' else loose[0]}. "
                    "Restore the latest backup that was made before."
                )
            return _rows(opened)
        except sqlite3.DatabaseError as error:
            raise Unusable(f"The database is damaged: {error}.") from error


def _rows(opened):
    tables = opened.execute(
        "SELECT name FROM sqlite_schema WHERE type = 'table' AND name NOT LIKE 'sqlite_%'"
    )
    return {
        name: opened.execute(f'SELECT count(*) FROM "{name}"').fetchone()[0]  # noqa: S608
        for (name,) in sorted(tables)
    }


def in_use(connection):
    """Whether another process has the database open."""
    connection.close()
    if not _file(connection).exists():
        return False
    with closing(sqlite3.connect(_file(connection), timeout=0, isolation_level=None)) as alone:
        try:
            alone.execute("PRAGMA locking_mode=EXCLUSIVE")
            alone.execute("BEGIN EXCLUSIVE")
            alone.execute("ROLLBACK")
        except sqlite3.OperationalError as error:
            if error.sqlite_errorcode & 0xFF != sqlite3.SQLITE_BUSY:
                raise
            return True
    return False


def put(connection, file):
    """Put the copy `file` in the database's place, wholly or (if it breaks off) not at all."""
    connection.close()
    with (
        closing(sqlite3.connect(file)) as source,
        closing(sqlite3.connect(_file(connection), timeout=30)) as target,
    ):
        source.backup(target, pages=-1)
    return check(_file(connection))
