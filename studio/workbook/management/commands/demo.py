"""Show the invented studio in a database of its own, with today in the middle of its season."""

import io
import logging
import os
import socket
from pathlib import Path

from django.conf import settings
from django.core.management import call_command
from django.core.management.base import BaseCommand, CommandError
from django.db import connection
from django.utils import timezone

from planner.zones import zone
from studio.workbook import demo

HOST = "127.0.0.1"
KEPT = "Kept from earlier today. Edits stay until tomorrow; make demo FRESH=1 starts anew."
BUILT = "Built for today. Edits stay until tomorrow."
SIGN_INS = """
  {name}, {season}
  {state}

  Open      http://{host}:{port}/
  Password  {password}   (the same for all)

{people}

  Ctrl-C stops it.
"""


class Command(BaseCommand):
    help = __doc__

    def add_arguments(self, parser):
        parser.add_argument("--port", type=int, default=8000)
        parser.add_argument("--fresh", action="store_true", help="Build it anew, edits are lost.")
        parser.add_argument("--no-serve", action="store_true", help="Build it only.")

    def handle(self, *, port, fresh, no_serve, **_):
        file = demo_file()
        if not no_serve:
            refuse_taken(port)
        today = timezone.localdate(timezone=zone(demo.ZONE))
        stamp = file.with_suffix(".built")
        built = fresh or not file.exists() or not demo.is_stamp(stamp, today)
        if built:
            self.stdout.write("Building the invented studio, a few seconds ...")
            forget(file, stamp)
        call_command("migrate", verbosity=0)
        if built:
            demo.build(today)
            demo.write_stamp(stamp, today)
        self.stdout.write(welcome(port, BUILT if built else KEPT))
        if not no_serve:
            serve(port)


def demo_file():
    """Return the demo's database file; refuse any other database, it would be overwritten."""
    name = str(settings.DATABASES["default"]["NAME"])
    if connection.vendor != "sqlite" or Path(name).name != demo.DATABASE:
        raise CommandError(
            "The demo writes only to a database file of its own. Start it with `make demo`, or "
            f"with DATABASE_URL=sqlite:///…/{demo.DATABASE}."
        )
    return Path(name)


def refuse_taken(port):
    """Say so before anything is built if something else listens on the port."""
    with socket.socket() as probe:
        probe.setsockopt(socket.SOL_SOCKET, socket.SO_REUSEADDR, 1)
        try:
            probe.bind((HOST, port))
        except OSError as error:
            raise CommandError(
                f"Port {port} is taken ({error.strerror}). Stop what runs there, or start the "
                f"demo elsewhere: make demo PORT={port + 1}"
            ) from error


def serve(port):
    """Serve quietly, so that the sign-ins stay on the screen; refusals and errors are shown."""
    os.environ["DJANGO_RUNSERVER_HIDE_WARNING"] = "true"
    logging.disable(logging.INFO)  # loading the site sets every logger up anew
    call_command("runserver", f"{HOST}:{port}", use_reloader=False, stdout=io.StringIO())


def forget(file, stamp):
    """Remove the demo's database with all that belongs to it."""
    connection.close()
    stamp.unlink(missing_ok=True)
    for suffix in ("", "-wal", "-shm"):
        Path(f"{file}{suffix}").unlink(missing_ok=True)


def welcome(port, state):
    """Return the address and the sign-ins as a block to read."""
    studio = demo.studio()
    width = max(len(email) for _, email, _ in demo.PEOPLE)
    people = [f"  {email:{width}}  {name}, {role}" for name, email, role in demo.PEOPLE]
    return SIGN_INS.format(
        name=studio.name,
        season=studio.season,
        state=state,
        host=HOST,
        port=port,
        password=demo.PASSWORD,
        people="\n".join(people),
    )
