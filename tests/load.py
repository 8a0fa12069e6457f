"""Fifty teachers and three hundred students at work at once: `make load`, on SQLite and PostgreSQL.

    python -m tests.load [SECONDS]

Serves the site with gunicorn as it is deployed, on the database of DATABASE_URL (which has to be
empty; a SQLite file of its own unless told) and lets every visitor do what they do on a busy day:
look, think, tick, write down a lesson, log a tempo. Prints how many requests there were of each
kind, how long they took and what went wrong; ends with 1 if anything did. Visitors and server share
one machine, so the times are of a machine that has less than all its cores for the site.
"""

import http.client
import json
import os
import random
import subprocess
import sys
import tempfile
import threading
import time
from collections import Counter, defaultdict
from dataclasses import dataclass
from pathlib import Path

from tests.bench_memory import peak
from tests.visitors import Visitor, deployed, free_port, set_up

TEACHERS, STUDENTS_EACH = 50, 6
SECONDS = 120
TEACHER_THINKS, STUDENT_THINKS = 8, 25  # seconds between two acts, on average
START = 120  # seconds that the server may take to come up


@dataclass(frozen=True)
class Part:
    """Whom a visitor plays. acts: (how often, name, function of a mark: (url, fields or None))."""

    session: str
    thinks: float
    acts: tuple


def build():
    """Make the studios; return everybody's Part."""
    from django.core.management import call_command
    from django.db import transaction

    call_command("migrate", verbosity=0)
    parts = []
    for _ in range(TEACHERS):
        with transaction.atomic():
            parts += _studio()
    return parts


def _studio():
    from django.utils import timezone

    from tests.big_studio import build as big

    today = timezone.localdate()
    owner = big(STUDENTS_EACH, today)
    players = list(owner.studio.students.order_by("pk"))
    return [_teacher(owner, players, today), *(_student(player) for player in players)]


def _session(user):
    from tests.browser.conftest import session_cookie

    return session_cookie(user, "")["value"]


def _teacher(owner, players, today):
    from django.urls import reverse

    tasks = {player.pk: _tasks(player) for player in players}
    pieces = {player.pk: player.checks.first().piece_id for player in players}

    def lesson(mark):
        player = random.choice(players).pk
        name = f"piece{pieces[player]}"
        heard = {f"{name}-tempo": random.randint(60, 120), f"{name}-note": mark}
        return reverse("lesson", args=[player]), {"on": today, "shown": today} | heard

    def page(name):
        return lambda _: (reverse(name, args=[random.choice(players).pk]), None)

    acts = (
        (25, "score", lambda _: (reverse("score"), None)),
        (10, "cues", lambda _: (reverse("cues"), None)),
        (5, "week", lambda _: (reverse("week"), None)),
        (20, "a student's page", page("student")),
        (15, "lesson page", page("lesson")),
        (15, "lesson saved", lesson),
        (10, "tick", lambda _: _tick(tasks[random.choice(players).pk])),
    )
    return Part(_session(owner.user), TEACHER_THINKS, acts)


def _student(player):
    from django.urls import reverse

    from studio.accounts.models import Role
    from tests.factories import seat

    player.membership = seat(player.studio, Role.STUDENT)
    player.save()
    tasks, piece = _tasks(player), player.checks.first().piece_id
    log = reverse("check_log", args=[piece])
    acts = (
        (60, "part", lambda _: (reverse("part"), None)),
        (20, "tick", lambda _: _tick(tasks)),
        (20, "log", lambda mark: (log, {"tempo": random.randint(60, 120), "note": mark})),
    )
    return Part(_session(player.membership.user), STUDENT_THINKS, acts)


def _tasks(player):
    from studio.entries.models import Task

    return list(Task.objects.filter(entry__student=player).values_list("pk", flat=True))


def _tick(tasks):
    return f"/tasks/{random.choice(tasks)}/tick/", {}


class Notes:
    """What all visitors saw: seconds by kind of act, and what went wrong."""

    def __init__(self):
        self.seconds, self.wrong = defaultdict(list), Counter()

    def ask(self, visitor, name, url, fields):
        """Ask once and note how it went."""
        began = time.perf_counter()
        try:
            status = (visitor.get(url) if fields is None else visitor.post(url, **fields))[0]
            if status != (200 if fields is None else 302):
                self.wrong[f"{name}: {status}"] += 1
        except (OSError, http.client.HTTPException) as error:
            self.wrong[f"{name}: {type(error).__name__}"] += 1
        self.seconds[name].append(time.perf_counter() - began)


def visit(part, port, notes, until, number):
    """Play one visitor until the time is over."""
    visitor, n = Visitor(port, part.session), 0
    weights = [often for often, _, _ in part.acts]
    time.sleep(random.uniform(0, min(part.thinks, until - time.monotonic())))
    while time.monotonic() < until:
        _, name, act = random.choices(part.acts, weights)[0]
        notes.ask(visitor, name, *act(f"visitor {number}, {n}"))
        visitor.leave()
        n += 1
        rest = max(0, until - time.monotonic())
        time.sleep(min(rest, random.expovariate(1 / part.thinks)))


def serve(folder, port):
    """Start the server and wait until it is well."""
    environment = deployed(
        folder, DATABASE_URL=os.environ["DATABASE_URL"], BIND=f"127.0.0.1:{port}"
    )
    gunicorn = Path(sys.executable).parent / "gunicorn"
    with (folder / "log").open("wb") as log:
        server = subprocess.Popen(  # noqa: S603
            [gunicorn, "-c", "python:studio.running.serving", "studio.wsgi"],
            env=environment,
            stdout=log,
            stderr=log,
        )
    until = time.monotonic() + START
    while time.monotonic() < until:
        try:
            if Visitor(port).get("/health/")[0] == 200:
                return server
        except (OSError, http.client.HTTPException):
            time.sleep(0.2)
    server.kill()
    raise AssertionError("the server did not come up:\n" + (folder / "log").read_text())


def _children(pid):
    """Return the processes begun by one, by any thread of it, and by those."""
    threads = Path(f"/proc/{pid}/task").glob("*/children")
    found = [int(child) for thread in threads for child in thread.read_text().split()]
    return found + [below for child in found for below in _children(child)]


def _cpu(pid):
    """Return the processor seconds that a process has taken."""
    told = Path(f"/proc/{pid}/stat").read_text().rpartition(")")[2].split()
    return (int(told[11]) + int(told[12])) / os.sysconf("SC_CLK_TCK")


def errors(log):
    """Return the kinds of errors in the server's log; a locked database is an OperationalError."""
    found = Counter()
    for line in log.read_text().splitlines():
        for error in json.loads(line).get("error", ())[-1:]:
            found[error["type"]] += 1
    return found


def report(notes, seconds, wrong):
    """Print what came of it; return how many requests there were."""
    print(f"{'':18} {'requests':>9} {'median':>8} {'95 %':>8} {'99 %':>8} {'most':>8}")
    every = []
    for name, spent in sorted(notes.seconds.items()):
        print(f"{name:18} {_line(spent)}")
        every += spent
    print(f"{'all':18} {_line(every)}")
    print(f"{len(every) / seconds:.1f} requests a second; went wrong: {dict(wrong) or 'nothing'}")
    return len(every)


def _line(spent):
    spent = sorted(spent)
    figures = [spent[min(len(spent) - 1, int(len(spent) * part))] for part in (0.5, 0.95, 0.99, 1)]
    return f"{len(spent):9} " + " ".join(f"{figure * 1000:5.0f} ms" for figure in figures)


def main(seconds=SECONDS):
    """Build, serve, visit, report."""
    seconds, notes = int(seconds), Notes()
    with tempfile.TemporaryDirectory() as place:
        folder = Path(place)
        os.environ.setdefault("DATABASE_URL", f"sqlite:///{folder}/studio.sqlite3")
        os.environ |= deployed(folder, LOGS="plain")
        set_up()
        from django.db import connection

        parts = build()
        print(f"{len(parts)} visitors for {seconds} seconds on {connection.vendor}")
        connection.close()
        port = free_port()
        server = serve(folder, port)
        try:
            _play(parts, port, notes, seconds)
            processes = (server.pid, *_children(server.pid))
            memory, spent = [peak(pid) for pid in processes], sum(map(_cpu, processes))
        finally:
            server.terminate()
            server.wait(60)
        wrong = notes.wrong + errors(folder / "log")
    requests = report(notes, seconds, wrong)
    print(f"processor time of the server for each request: {1000 * spent / requests:.0f} ms")
    print(f"peak memory of the server's processes: {memory} MB, together {sum(memory)} MB")
    return 1 if wrong else 0


def _play(parts, port, notes, seconds):
    until = time.monotonic() + seconds
    threads = [
        threading.Thread(target=visit, args=(part, port, notes, until, number))
        for number, part in enumerate(parts)
    ]
    for thread in threads:
        thread.start()
    for thread in threads:
        thread.join()


if __name__ == "__main__":
    sys.exit(main(*sys.argv[1:]))
