"""Put the backup FILE in the database's place. Stop the server first.

What is there now is kept as a backup before. An older version's backup is brought up to this one.
"""

from django.core.management.base import BaseCommand, CommandError

from studio.running.archive import Unusable
from studio.running.backups import restore


class Command(BaseCommand):
    help = __doc__

    def add_arguments(self, parser):
        parser.add_argument("file", help="What `backup` wrote.")

    def handle(self, *, file, **_):
        try:
            kept, manifest = restore(file)
        except (Unusable, OSError) as error:
            raise CommandError(str(error)) from error
        rows = sum(manifest.rows.values())
        self.stdout.write(
            f"Restored: {rows} rows, as of {manifest.made_at}. "
            + (f"What was there before is kept in {kept}." if kept else "There was nothing before.")
        )
