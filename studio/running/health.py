"""Whether the site can do its work: what is wrong, in one word each."""

import shutil

from django.conf import settings
from django.db import DatabaseError, connection, transaction

from studio.running.backups import applied_migrations, known_migrations

LEAST_FREE = 200 * 1024 * 1024  # bytes: below that, no backup fits and soon no write


def wrong():
    """Return what keeps the site from working: "database", "migrations", "disk"."""
    found = []
    try:
        _try_to_write()
        if known_migrations() - applied_migrations():
            found.append("migrations")
    except DatabaseError:
        found.append("database")
    if shutil.disk_usage(settings.RUN_DIR).free < LEAST_FREE:
        found.append("disk")
    return found


def _try_to_write():
    """Take the place of a writer for a moment. Raises DatabaseError."""
    with transaction.atomic(), connection.cursor() as cursor:
        if connection.vendor == "sqlite":
            cursor.execute("SELECT 1")  # the transaction began with the write lock
        else:
            cursor.execute("SELECT pg_current_xact_id()")  # refused by a server that only reads
