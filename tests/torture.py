"""Kill the server under writing load, again and again, and look for what it had confirmed.

    python -m tests.torture [ROUNDS]        (make torture: a hundred)

Each round serves the site with gunicorn as it is deployed, on a SQLite file that stays from round
to round. Visitors post real forms as fast as they can; at a random moment SIGKILL ends all of the
server's processes at once. Then every write that was answered has to be there, with its line in the
history; and what was not answered wholly or not at all. The program is loaded once and each server
is a fork of that, so that most of the time goes into writing and dying.
"""

import http.client
import logging
import os
import random
import signal
import sqlite3
import sys
import tempfile
import threading
import time
from contextlib import closing
from dataclasses import dataclass, field
from pathlib import Path

from tests.visitors import HOST, Visitor, deployed, free_port, set_up

ROUNDS = 100
EARLIEST, LATEST = 0.02, 0.5  # seconds from the first answered write to the end
START = 30  # seconds that a server may take to come up


@dataclass
class Writing:
    """A visitor who posts one form again and again. `answered`: the marks of confirmed writes."""

    session: str
    url: str
    fields: object  # of a mark: what is posted with it
    answered: list = field(default_factory=list)
    refused: str = ""  # what was answered instead of what had to be: then nothing is tried


@dataclass
class Tally:
    """What came of all rounds."""

    answered: int = 0
    unanswered: int = 0
    lost: list = field(default_factory=list)
    halved: list = field(default_factory=list)


def build():
    """Make a studio; return a function that gives the Writings of a round."""
    from django.core.management import call_command
    from django.urls import reverse

    from studio.accounts.models import Role
    from tests.big_studio import build as big
    from tests.browser.conftest import session_cookie
    from tests.factories import seat

    call_command("migrate", verbosity=0)
    owner = big(4, _today())
    studio = owner.studio
    teacher, student = [], []
    for number, player in enumerate(studio.students.order_by("pk")):
        player.membership = seat(studio, Role.STUDENT, email=f"s{number}@studio.example")
        player.save()
        piece = player.checks.first().piece_id
        key = session_cookie(player.membership.user, "")["value"]
        student.append((key, reverse("check_log", args=[piece]), _log))
        key = session_cookie(owner.user, "")["value"]
        teacher.append((key, reverse("lesson", args=[player.pk]), _lesson(piece)))
    key = session_cookie(owner.user, "")["value"]
    chosen = (*teacher[::2], (key, reverse("piece_add"), _piece), *student[::2])
    return lambda: [Writing(*each) for each in chosen]


def _today():
    from django.utils import timezone

    return timezone.localdate()


def _log(mark):
    return {"tempo": 60 + len(mark), "note": mark}


def _lesson(piece):
    today = _today().isoformat()
    return lambda mark: {
        "on": today,
        "shown": today,
        f"piece{piece}-tempo": 80,
        f"piece{piece}-note": mark,
    }


def _piece(mark):
    return {"composer": "Invented", "work": mark, "kind": "solo", "piano": "not stated"}


def serve(port, out):
    """Fork a server that is ready to be killed; return its process group."""
    child = os.fork()
    if child:
        return child
    os.setsid()
    with Path(out).open("ab") as log:
        os.dup2(log.fileno(), 1)
        os.dup2(log.fileno(), 2)
    bind = f"127.0.0.1:{port}"
    sys.argv = ["gunicorn", "-c", "python:studio.running.serving", "-b", bind, "studio.wsgi"]
    from gunicorn.app.wsgiapp import run

    run()
    os._exit(0)


def post_until_it_dies(writing, port, name, first):
    """Post forms until nobody answers. first: an Event, set by the first confirmed write."""
    visitor, n = Visitor(port, writing.session), 0
    started = time.monotonic()
    while True:
        mark = f"{name}-{n}"
        try:
            status, _, headers = visitor.post(writing.url, **writing.fields(mark))
        except (OSError, http.client.HTTPException):
            if first.is_set() or time.monotonic() - started > START:
                return
            time.sleep(0.02)  # it has not come up yet
            continue
        if status != 302 or "/account/login/" in headers["Location"]:
            writing.refused = f"{writing.url} answered {status}"
            return
        writing.answered.append(mark)
        n += 1
        first.set()


def one_round(number, writings, out, chance):
    """Serve, write and kill once; return the name that its marks begin with."""
    port, first = free_port(), threading.Event()
    group = serve(port, out)
    threads = [
        threading.Thread(
            target=post_until_it_dies, args=(writing, port, f"r{number}-w{place}", first)
        )
        for place, writing in enumerate(writings)
    ]
    for thread in threads:
        thread.start()
    up = first.wait(START)
    time.sleep(chance.uniform(EARLIEST, LATEST))
    os.killpg(group, signal.SIGKILL)
    os.waitpid(group, 0)
    for thread in threads:
        thread.join()
    if not up:
        raise AssertionError("the server did not come up:\n" + Path(out).read_text())
    if refused := [writing.refused for writing in writings if writing.refused]:
        raise AssertionError("; ".join(refused))
    return f"r{number}-"


def is_whole(file):
    """Whether SQLite finds nothing wrong with the file that is left."""
    with closing(sqlite3.connect(file)) as opened:
        return opened.execute("PRAGMA integrity_check").fetchall() == [("ok",)] and not (
            opened.execute("PRAGMA foreign_key_check").fetchall()
        )


def marks_of(values):
    """Return the mark that a row's values carry: that of a check, or of a piece."""
    return values.get("note") or values.get("work")


def look(name, writings, tally):
    """Hold what is in the database against what was answered in the round `name`."""
    from studio.accounts.history import _as_json, stored
    from studio.accounts.models import Change
    from studio.entries.models import LessonCheck
    from studio.requirements.models import Piece

    newest, told = {}, []
    for change in Change.objects.filter(after__icontains=f'"{name}').order_by("pk"):
        newest[change.model, change.object_pk] = change
        told.append(marks_of(change.after))
    rows = [*LessonCheck.objects.filter(note__startswith=name)]
    rows += Piece.objects.filter(work__startswith=name)
    there = {(row._meta.label_lower, row.pk): _as_json(stored(row)) for row in rows}
    answered = [mark for writing in writings for mark in writing.answered]
    tally.answered += len(answered)
    tally.unanswered += len(set(told) - set(answered))
    tally.lost += sorted(set(answered) - set(told))
    tally.halved += [key for key, change in newest.items() if there.get(key) != change.after]
    tally.halved += [key for key in there if key not in newest]
    tally.halved += sorted({mark for mark in told if told.count(mark) > 1})


def _load(writings):
    """Load what the servers will need, once for all of them: each is a fork of this process."""
    from django.conf import settings
    from django.test import Client

    from studio import wsgi  # noqa: F401

    logging.disable()
    for writing in writings:
        client = Client(SERVER_NAME=HOST)
        client.cookies[settings.SESSION_COOKIE_NAME] = writing.session
        client.post(writing.url, writing.fields("before"), secure=True)
    logging.disable(logging.NOTSET)


def torture(folder, rounds, seed):
    """Return the Tally of so many rounds."""
    from django.db import connection

    chance, tally = random.Random(seed), Tally()
    new_writings = build()
    _load(new_writings())
    for number in range(rounds):
        connection.close()  # a fork must not share it
        writings = new_writings()
        name = one_round(number, writings, folder / "log", chance)
        if not is_whole(folder / "studio.sqlite3"):
            raise AssertionError(f"the database is damaged after round {number}")
        look(name, writings, tally)
    return tally


def main(rounds=ROUNDS):
    """Torture a site in a temporary folder and say what came of it; 1 if anything was lost."""
    rounds, seed = int(rounds), random.randrange(1_000_000)
    with tempfile.TemporaryDirectory() as folder:
        os.environ |= deployed(folder, DATABASE_URL=f"sqlite:///{folder}/studio.sqlite3")
        set_up()
        began = time.perf_counter()
        tally = torture(Path(folder), rounds, seed)
    print(
        f"{rounds} times killed in {time.perf_counter() - began:.0f} s (seed {seed}): "
        f"{tally.answered} writes answered, {len(tally.lost)} of them lost, "
        f"{tally.unanswered} written but not answered, {len(tally.halved)} written by halves."
    )
    for each in (*tally.lost, *tally.halved):
        print(f"  {each}")
    return 1 if tally.lost or tally.halved else 0


if __name__ == "__main__":
    sys.exit(main(*sys.argv[1:]))
