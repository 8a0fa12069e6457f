"""Write a studio's season: PATH ends in .xlsx or .zip, or is a folder that gets .csv files."""

from pathlib import Path

from django.core.management.base import BaseCommand, CommandError

from studio.workbook.loading import find_studio
from studio.workbook.writing import TooLong, write_csvs, write_xlsx, write_zip


class Command(BaseCommand):
    help = __doc__

    def add_arguments(self, parser):
        parser.add_argument("studio", help="The studio's number or name.")
        parser.add_argument("path", help="A file ending in .xlsx or .zip, or a folder.")

    def handle(self, *, studio, path, **_):
        path = Path(path)
        try:
            self._write(find_studio(studio), path)
        except (LookupError, TooLong, OSError) as error:
            raise CommandError(str(error)) from error
        self.stdout.write(f"Written to {path}.")

    @staticmethod
    def _write(studio, path):
        if path.suffix.lower() == ".xlsx":
            path.write_bytes(write_xlsx(studio))
        elif path.suffix.lower() == ".zip":
            path.write_bytes(write_zip(studio))
        else:
            path.mkdir(parents=True, exist_ok=True)
            for name, content in write_csvs(studio):
                (path / name).write_bytes(content)
