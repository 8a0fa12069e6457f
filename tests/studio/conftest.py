"""A site with a database file of its own, as a real one has; the tests' database is in memory."""

from contextlib import contextmanager

import pytest
from django.core.management import call_command
from django.db import connections

ALIAS = "of_a_site"


@contextmanager
def opened_as_a_site(file):
    """Have `file` as a database of the program, under ALIAS."""
    connections.settings[ALIAS] = connections.settings["default"] | {"NAME": file}
    try:
        yield connections[ALIAS]
    finally:
        connections[ALIAS].close()
        del connections[ALIAS], connections.settings[ALIAS]


@pytest.fixture(scope="session")
def migrated(django_db_blocker, tmp_path_factory):
    """A migrated database file without rows."""
    file = tmp_path_factory.mktemp("migrated") / "studio.sqlite3"
    with django_db_blocker.unblock(), opened_as_a_site(file):
        call_command("migrate", database=ALIAS, verbosity=0)
    return file
