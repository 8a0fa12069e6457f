"""A site with a database of its own, as a real one has: the tests' own is in memory, or shared.

On SQLite it is a file, on PostgreSQL a database beside that of the tests.
"""

import shutil
import sqlite3
import uuid
from contextlib import closing, contextmanager

import pytest
from django.core.management import call_command
from django.db import connection, connections

ALIAS = "of_a_site"


class File:
    """A SQLite file."""

    begin = "BEGIN IMMEDIATE"

    def __init__(self, folder):
        self.name = folder / "studio.sqlite3"

    def fill(self, template):
        """Make it as `template` is."""
        shutil.copy(template.name, self.name)

    def empty(self):
        """Take everything out."""
        self.name.unlink()

    def connect(self):
        """Return a connection beside Django's; each statement is a transaction unless begun."""
        return sqlite3.connect(self.name, timeout=30, isolation_level=None)

    def drop(self):
        """Leave it to the folder that it lies in."""


class Database:
    """A database of the PostgreSQL server that the tests run on."""

    begin = "BEGIN"

    def __init__(self, folder):
        self.name = f"site_{uuid.uuid4().hex}"
        self._do(f"CREATE DATABASE {self.name}")

    def fill(self, template):
        """Make it as `template` is."""
        self.drop()
        self._do(f"CREATE DATABASE {self.name} TEMPLATE {template.name}")

    def empty(self):
        """Take everything out."""
        self.drop()
        self._do(f"CREATE DATABASE {self.name}")

    def connect(self, name=None):
        """Return a connection beside Django's; each statement is a transaction unless begun."""
        import psycopg

        told = connections["default"].get_connection_params()
        kept = {key: told[key] for key in ("host", "port", "user", "password") if told.get(key)}
        return psycopg.connect(**kept, dbname=name or self.name, autocommit=True)

    def drop(self):
        """Drop it."""
        self._do(f"DROP DATABASE {self.name}")

    def _do(self, statement):
        with closing(self.connect("postgres")) as server:
            server.execute(statement)


@contextmanager
def a_site(folder):
    """Give a database without tables, which Django knows as ALIAS."""
    made = {"sqlite": File, "postgresql": Database}[connection.vendor](folder)
    connections.settings[ALIAS] = connections.settings["default"] | {"NAME": made.name}
    try:
        yield made
    finally:
        connections[ALIAS].close()
        del connections[ALIAS], connections.settings[ALIAS]


@pytest.fixture(scope="session")
def migrated(django_db_blocker, tmp_path_factory):
    """A migrated database without rows, to `fill` others from."""
    with django_db_blocker.unblock():
        with a_site(tmp_path_factory.mktemp("migrated")) as made:
            call_command("migrate", database=ALIAS, verbosity=0)
        yield made
        made.drop()
