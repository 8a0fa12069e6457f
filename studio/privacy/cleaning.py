"""What is kept beside the rows: sessions, uploads, memory, and the pages of the database file."""

import json
import shutil
import time

from django.conf import settings
from django.contrib.auth import SESSION_KEY
from django.contrib.sessions.backends.db import SessionStore
from django.contrib.sessions.models import Session
from django.core.cache import caches
from django.db import OperationalError, connection

from studio import answers

UPLOADS = "uploads"  # where studio.workbook keeps what waits to be loaded
TOLD = "erased"
UNFINISHED = "erasing"  # stands there from before an erasure until the database's file is clean
TRIES, PAUSE = 5, 0.2  # seconds: while a reader still needs the write-ahead log


def last_erasure():
    """Return when somebody was last erased on this machine, in ns; 0 where nobody was."""
    try:
        return (settings.RUN_DIR / TOLD).stat().st_mtime_ns
    except FileNotFoundError:
        return 0


def forget():
    """Forget the sheets and answers that this process keeps in memory."""
    caches["sheets"].clear()
    answers.forget()


def forget_everywhere():
    """Forget them here, and let every web process of this machine do so before its next page."""
    (settings.RUN_DIR / TOLD).write_text(str(time.time_ns()))
    forget()


def sessions(users, words):
    """End the sessions of `users` (keys); take what tells of `words` (a pattern) out of others."""
    ended, gone = 0, {str(pk) for pk in users}
    for session in Session.objects.all().iterator():
        told = session.get_decoded()
        owner = told.get(SESSION_KEY)
        found = [key for key, value in told.items() if words and _tells(words, value)]
        if owner in gone or (found and owner is None):
            session.delete()
            ended += 1
        elif found:
            kept = {key: value for key, value in told.items() if key not in found}
            session.session_data = SessionStore().encode(kept)
            session.save()
    return ended


def _tells(words, value):
    return words.search(json.dumps(value, ensure_ascii=False, default=str))


def uploads(studio):
    """Drop the workbooks of a studio that wait to be loaded: they may bring somebody back."""
    for folder in (settings.RUN_DIR / UPLOADS).glob("*"):
        told = folder / "told.json"
        if not told.exists() or json.loads(told.read_text())["owner"][1] == studio.pk:
            shutil.rmtree(folder, ignore_errors=True)


def begin():
    """Write down that an erasure is under way: whatever breaks off, the next run cleans up."""
    (settings.RUN_DIR / UNFINISHED).touch()


def finish():
    """Clean up after erasures, if any; return whether nothing of them is left in the file."""
    if not (settings.RUN_DIR / UNFINISHED).exists():
        return True
    forget_everywhere()
    if clean := database():
        (settings.RUN_DIR / UNFINISHED).unlink()
    return clean


def database():
    """Write over what rows have left behind in the database file; return whether all of it is gone.

    On SQLite the file is written anew, and what stands in the write-ahead log is put there, which
    has to wait for whoever reads from the log just now. PostgreSQL does it by itself in time.
    """
    if connection.vendor != "sqlite":
        return True
    if connection.in_atomic_block:
        return False
    for _ in range(TRIES):
        try:
            if _rewritten():
                return True
        except OperationalError:  # somebody is writing
            pass
        time.sleep(PAUSE)
    return False


def _rewritten():
    with connection.cursor() as cursor:
        cursor.execute("VACUUM")
        busy = cursor.execute("PRAGMA wal_checkpoint(TRUNCATE)").fetchone()[0]
    return not busy
