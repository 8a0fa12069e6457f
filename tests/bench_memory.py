"""How much memory a web worker and its solver worker take at most: run by `make bench`.

Peak resident memory (VmHWM of /proc) in whole megabytes, after each kind of page of a studio of
60 students. The studio is built by one process and shown by another, which holds nothing but what
a web worker holds.
"""

import os
import subprocess
import sys
import tempfile
from datetime import date
from pathlib import Path

import django

SIZE = 60
TODAY = date(2026, 11, 25)


def peak(pid):
    """Return the most memory that a process has held, in megabytes."""
    lines = Path(f"/proc/{pid}/status").read_text().splitlines()
    return next(int(line.split()[1]) for line in lines if line.startswith("VmHWM")) // 1024


def build():
    """Make the studio."""
    from django.core.management import call_command

    from tests import big_studio

    call_command("migrate", verbosity=0)
    big_studio.build(SIZE, TODAY)


def show():
    """Print a line for each kind of page."""
    from django.test import Client
    from django.urls import reverse

    from studio.accounts.models import Membership
    from studio.workers import POOL

    owner = Membership.objects.get(role="owner")
    client = Client()
    client.force_login(owner.user)
    students = list(owner.studio.students.values_list("pk", flat=True))
    entry = owner.studio.students.first().entries.first()
    pages = {
        "signing in": [],
        "score and parts": [reverse("score"), *(reverse("student", args=[s]) for s in students)],
        "plans": [reverse("plan", args=[pk]) for pk in students],
        "hours against auditions": [reverse("plan_frontier", args=[pk]) for pk in students],
        "a day sheet": [reverse("day_sheet", args=[entry.pk])],
    }
    print(f"{'peak memory after':26} {'web worker':>12} {'solver worker':>14}")
    for name, urls in pages.items():
        for url in urls:
            response = client.get(url)
            assert response.status_code == 200, url
            b"".join(response) if response.streaming else response.content  # noqa: B018
        solver = POOL.workers[0].process
        solver = f"{peak(solver.pid)} MB" if solver else "none yet"
        print(f"{name:26} {peak('self'):>9} MB {solver:>14}", flush=True)


def main(step=None):
    """Build in one process, show in another; step: what this process is to do."""
    if step is None:
        with tempfile.TemporaryDirectory() as folder:
            places = {"DATABASE_URL": f"sqlite:///{folder}/bench.sqlite3"}
            for name in ("build", "show"):
                command = [sys.executable, "-m", "tests.bench_memory", name]
                subprocess.run(command, env=os.environ | places, check=True)  # noqa: S603
        return
    os.environ["DJANGO_SETTINGS_MODULE"] = "tests.settings"
    django.setup()
    import time_machine

    with time_machine.travel(TODAY, tick=True):
        {"build": build, "show": show}[step]()


if __name__ == "__main__":
    main(*sys.argv[1:])
