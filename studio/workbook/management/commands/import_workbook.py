"""Say what loading a workbook would do; with --apply, load it.

PATH is an .xlsx, a .zip of .csv, one .csv, or a folder of .csv. Exits with 1 where problems stand.
"""

from argparse import BooleanOptionalAction

from django.core.management.base import BaseCommand, CommandError

from studio.accounts import history
from studio.workbook.applying import apply
from studio.workbook.files import read_files
from studio.workbook.grids import CannotRead
from studio.workbook.loading import find_files, find_studio
from studio.workbook.plan import plan


class Command(BaseCommand):
    help = __doc__

    def add_arguments(self, parser):
        parser.add_argument("studio", help="The studio's number or name.")
        parser.add_argument("path", help="An .xlsx, a .zip, a .csv, or a folder of .csv.")
        parser.add_argument("--apply", action="store_true", help="Load it.")
        parser.add_argument(
            "--draw-up",
            action=BooleanOptionalAction,
            default=None,
            help="Draw up the tasks of new entries and deadlines. Unless told: only where the "
            "workbook has no sheet of tasks.",
        )

    def handle(self, *, studio, path, draw_up, **options):
        try:
            made = plan(find_studio(studio), read_files(find_files(path)))
        except (CannotRead, LookupError) as error:
            raise CommandError(str(error)) from error
        for note in made.notes:
            self.stdout.write(note)
        if made.problems:
            for problem in made.problems:
                self.stderr.write(_line(problem))
            raise CommandError(f"Problems: {len(made.problems)}. Nothing is loaded.")
        self._report(made)
        if not options["apply"]:
            self.stdout.write("Nothing is written. Load it with --apply.")
            return
        with history.acting(None):
            drawn = apply(made, draw_up=draw_up)
        self.stdout.write(f"Loaded; {drawn} tasks drawn up.")

    def _report(self, made):
        for sheet in made.sheets:
            self.stdout.write(
                f"{sheet.name}: {len(sheet.created)} to add, {len(sheet.changed)} to change, "
                f"{sheet.same} left alone, {sheet.absent} not in the file"
            )
            for step in sheet.changed:
                for one in step.differences:
                    change = f"{one.heading}: {one.before} → {one.after}"
                    self.stdout.write(f"  row {step.number}, {step.label}: {change}")


def _line(problem):
    place = f"{problem.sheet}, row {problem.row}" if problem.row else problem.sheet
    column = f", {problem.column}" if problem.column else ""
    value = f" “{problem.value}”" if problem.value else ""
    return f"{place}{column}:{value} {problem.advice}"
