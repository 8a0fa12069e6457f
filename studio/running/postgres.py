"""Copying and replacing a PostgreSQL database by its own tools, at one moment of it."""

import os
import subprocess
from contextlib import closing
from pathlib import Path

from django.conf import settings

from studio.running.archive import Unusable, private

PACKED = True
MISSING = (
    "{} is missing on this machine. Install PostgreSQL's client programs, as new as the server "
    "(on Debian: sudo apt-get install postgresql-client)."
)
PLACES = {"host": "PGHOST", "port": "PGPORT", "user": "PGUSER", "password": "PGPASSWORD"}


def folder(connection):
    """Return a folder for what has to lie somewhere for a moment."""
    return Path(settings.RUN_DIR)


def _environment(connection):
    """Return where the database is, as PostgreSQL's programs read it: nothing of it in `ps`."""
    told = connection.get_connection_params()
    kept = {name: str(told[key]) for key, name in PLACES.items() if told.get(key)}
    return {"PATH": os.environ["PATH"], "PGDATABASE": told["dbname"]} | kept


def _run(connection, *command, **more):
    try:
        done = subprocess.run(  # noqa: S603 - our own command, no shell
            command, env=_environment(connection), stderr=subprocess.PIPE, check=False, **more
        )
    except FileNotFoundError as error:
        raise Unusable(MISSING.format(command[0])) from error
    if done.returncode:
        said = done.stderr.decode(errors="replace").strip().splitlines()
        raise Unusable(f"{command[0]} failed: {said[0] if said else done.returncode}")


def copy(connection, to):
    """Dump the database as it is at one moment to the new file `to`; return each table's rows.

    The rows are counted in the very snapshot that is dumped.
    """
    with closing(connection.copy()) as counting:
        counting.set_autocommit(False)
        with counting.cursor() as cursor:
            cursor.execute("SET TRANSACTION ISOLATION LEVEL REPEATABLE READ READ ONLY")
            cursor.execute("SELECT pg_export_snapshot()")
            snapshot = cursor.fetchone()[0]
            options = ("--format=custom", "--no-owner", "--no-privileges")
            with private(to) as file:
                _run(connection, "pg_dump", *options, f"--snapshot={snapshot}", stdout=file)
            return _rows(counting)


def check(file):
    """Nothing: a dump's own hash says whether it is whole, and PostgreSQL reads it or does not."""


def _rows(connection):
    with connection.cursor() as cursor:
        rows = {}
        for name in sorted(connection.introspection.table_names(cursor)):
            cursor.execute(f"SELECT count(*) FROM {connection.ops.quote_name(name)}")  # noqa: S608
            rows[name] = cursor.fetchone()[0]
        return rows


def in_use(connection):
    """Whether another process has the database open."""
    with connection.cursor() as cursor:
        cursor.execute(
            "SELECT count(*) FROM pg_stat_activity WHERE datname = current_database()"
            " AND pid <> pg_backend_pid() AND backend_type = 'client backend'"
        )
        found = cursor.fetchone()[0]
    connection.close()
    return bool(found)


def put(connection, file):
    """Put the dump `file` in the database's place, wholly or (if it breaks off) not at all."""
    with connection.cursor() as cursor:
        there = connection.introspection.table_names(cursor)
    connection.close()
    script, clear = file.with_suffix(".sql"), file.with_suffix(".clear.sql")
    try:
        with private(script) as target:
            options = ("--file=-", "--no-owner", "--no-privileges")
            _run(connection, "pg_restore", *options, str(file), stdout=target)
        with private(clear) as target:
            for name in there:
                quoted = connection.ops.quote_name(name)
                target.write(f"DROP TABLE {quoted} CASCADE;\n".encode())
        _run(
            connection,
            "psql",
            "--no-psqlrc",
            "--quiet",
            "--single-transaction",
            "--set=ON_ERROR_STOP=1",
            f"--file={clear}",
            f"--file={script}",
            stdout=subprocess.DEVNULL,
        )
    finally:
        script.unlink(missing_ok=True)
        clear.unlink(missing_ok=True)
    return _rows(connection)
