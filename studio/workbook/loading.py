"""Finding the files of a workbook, and loading them in one go for commands and the demo."""

from pathlib import Path

from studio.accounts.models import Studio
from studio.workbook.applying import apply
from studio.workbook.files import read_files
from studio.workbook.grids import CannotRead
from studio.workbook.plan import plan


def find_files(path):
    """Return [(name, bytes)] of an .xlsx, a .zip, one .csv, or a folder of .csv."""
    path = Path(path)
    if not path.exists():
        raise CannotRead(f"There is no file or folder {path}.")
    found = sorted(path.glob("*.csv")) if path.is_dir() else [path]
    if not found:
        raise CannotRead(f"There are no .csv files in {path}.")
    return [(file.name, file.read_bytes()) for file in found]


def find_studio(wanted):
    """Return the studio of this number or name; raise LookupError."""
    named = list(Studio.objects.filter(name=wanted))
    if not named and str(wanted).isdecimal():
        named = list(Studio.objects.filter(pk=wanted))
    if len(named) == 1:
        return named[0]
    if not named:
        raise LookupError(f"There is no studio “{wanted}”.")
    numbers = ", ".join(str(studio.pk) for studio in named)
    raise LookupError(f"Several studios are called “{wanted}”; give one's number: {numbers}.")


def load(path, studio, *, draw_up=None):
    """Load the workbook at `path` into `studio` and return its Plan.

    Raises CannotRead for a file that is none, CannotApply where problems stand.
    """
    made = plan(studio, read_files(find_files(path)))
    apply(made, draw_up=draw_up)
    return made
