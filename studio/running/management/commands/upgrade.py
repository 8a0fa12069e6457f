"""Bring the database up to the program: check, back up, migrate, collect static files.

Run it with the server stopped, after the new program and its requirements are in place.
"""

from django.core.management import call_command
from django.core.management.base import BaseCommand, CommandError, SystemCheckError

from studio.running.archive import Unusable
from studio.running.backups import applied_migrations, backup


class Command(BaseCommand):
    help = __doc__
    requires_system_checks = ()  # its own first step

    def handle(self, **_):
        self._check()
        kept = self._backup() if applied_migrations() else None
        try:
            call_command("migrate", verbosity=0, interactive=False)
        except Exception as error:
            raise CommandError(
                f"The database could not be brought up ({type(error).__name__}: {error}). Put the "
                "former program back" + (f", then: manage.py restore {kept}" if kept else ".")
            ) from error
        self.stdout.write("Migrated.")
        call_command("collectstatic", verbosity=0, interactive=False)
        self.stdout.write("Static files collected. Start the server again.")

    def _check(self):
        try:
            call_command("check", deploy=True, fail_level="WARNING", stdout=self.stdout)
        except SystemCheckError as error:
            raise CommandError(f"{error}\nNothing is changed. Mend this first.") from error

    def _backup(self):
        try:
            kept, _ = backup()
        except (Unusable, OSError) as error:
            raise CommandError(
                f"{error} Nothing is changed: no upgrade without a backup."
            ) from error
        self.stdout.write(f"Backed up to {kept}.")
        return kept
