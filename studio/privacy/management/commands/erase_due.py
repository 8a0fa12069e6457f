"""Erase whose day has come, and who has lain in the bin for a month; cron runs it every night."""

from django.core.management.base import BaseCommand
from django.utils import timezone

from studio.privacy.erasure import run


class Command(BaseCommand):
    help = __doc__

    def handle(self, **_):
        done = run(timezone.now())
        self.stdout.write(f"{done.put_down} put down, {done.erased} erased, {done.rows} rows gone.")
        if not done.clean:
            self.stderr.write(
                "The database was being read: run it again, so that its file is written over."
            )
