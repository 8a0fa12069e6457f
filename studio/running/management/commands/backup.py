"""Write a backup of the database while the site goes on: one file, FILE or one named by the time.

It tells of minors: only its owner may read it. Keep it encrypted, and not on this machine alone.
"""

from django.core.management.base import BaseCommand, CommandError

from studio.running.archive import Unusable
from studio.running.backups import backup, keep_latest


class Command(BaseCommand):
    help = __doc__

    def add_arguments(self, parser):
        parser.add_argument(
            "file",
            nargs="?",
            help="A new file, or a folder. Unless told: the folder BACKUP_DIR.",
        )
        parser.add_argument(
            "--keep",
            type=int,
            metavar="N",
            help="Remove all but the latest N of the backups named by the time in that folder.",
        )

    def handle(self, *, file, keep, **_):
        if keep is not None and keep < 1:
            raise CommandError("Keep at least one backup: --keep 1 or more.")
        try:
            path, manifest = backup(file)
        except (Unusable, OSError) as error:
            raise CommandError(str(error)) from error
        rows = sum(manifest.rows.values())
        self.stdout.write(f"{path}: {len(manifest.rows)} tables, {rows} rows, read back and whole.")
        for gone in keep_latest(path.parent, keep) if keep else ():
            self.stdout.write(f"Removed {gone.name}.")
