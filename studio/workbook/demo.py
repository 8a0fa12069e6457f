"""The invented studio: its season moved by whole weeks, so that today is always the middle of it.

demo_fixtures/ is written as if today were ANCHOR. Every date in it is moved by the same number of
weeks, so that a Saturday stays a Saturday, and then read like any workbook.
"""

import csv
import hashlib
import re
import tempfile
from datetime import date, timedelta
from pathlib import Path

from django.conf import settings
from django.db import transaction

from studio.accounts import history
from studio.accounts.models import Membership, Role, Studio, User
from studio.entries.opening import open_studio
from studio.entries.pace import learn
from studio.students.models import Student
from studio.workbook.loading import load

ANCHOR = date(2027, 1, 12)
SEASON = "2026–27"
ZONE = "America/Chicago"
STUDIO = "Quayside Brass Studio"
DATABASE = "demo.sqlite3"
FIXTURES = settings.BASE_DIR / "demo_fixtures"
DAILY = frozenset({"practice"})
PASSWORD = "low brass at seven"  # noqa: S105 (known on purpose, and only ever in the demo's database)
OWNER = ("R. Amadi", "amadi@quayside.example", "teacher and owner")
ASSISTANT = ("J. Ferreira", "ferreira@quayside.example", "assistant")
STUDENTS = (
    ("Ines Okafor", "ines@quayside.example", "horn"),
    ("Park Jun-seo", "jun@quayside.example", "trumpet, short of time"),
    ("Maximiliana Konstantinopoulou-Fitzgerald", "mila@quayside.example", "horn, an hour ahead"),
)
PEOPLE = (OWNER, ASSISTANT, *STUDENTS)
ISO_DATE = re.compile(r"\b\d{4}-\d{2}-\d{2}\b")


def weeks_since_anchor(today):
    """Return the whole weeks from ANCHOR to `today`, rounded down."""
    return (today - ANCHOR).days // 7


def move(text, weeks, season):
    """Return the text of a cell with its dates moved and its season renamed."""

    def later(found):
        return (date.fromisoformat(found[0]) + timedelta(weeks=weeks)).isoformat()

    return ISO_DATE.sub(later, text).replace(SEASON, season)


def season_label(first, last):
    """Name a season by its years: 2026–27, or 2027 if it lies in one."""
    return f"{first.year}" if first.year == last.year else f"{first.year}–{last.year % 100:02}"


def season_on(today):
    """Return the label of the season that has `today` in its middle."""
    moved = timedelta(weeks=weeks_since_anchor(today))
    days = [date.fromisoformat(found) for found in _dates("deadlines")]
    return season_label(min(days) + moved, max(days) + moved)


def _dates(sheet):
    return ISO_DATE.findall((FIXTURES / f"{sheet}.csv").read_text(encoding="utf-8"))


def write_moved(folder, today):
    """Write demo_fixtures into `folder`, moved to `today`.

    What is logged day by day stands there for the whole week; today and what is still to come
    are left out.
    """
    weeks, season = weeks_since_anchor(today), season_on(today)
    for source in sorted(FIXTURES.glob("*.csv")):
        with (
            source.open(encoding="utf-8", newline="") as file,
            (Path(folder) / source.name).open("w", encoding="utf-8", newline="") as moved,
        ):
            rows = ([move(cell, weeks, season) for cell in row] for row in csv.reader(file))
            csv.writer(moved).writerows(row for row in rows if _happened(source.stem, row, today))


def _happened(sheet, row, today):
    days = ISO_DATE.findall(" ".join(row)) if sheet in DAILY else ()
    return all(date.fromisoformat(day) < today for day in days)


@transaction.atomic
def build(today):
    """Open the studio, load its season as of `today` through the workbook, and seat its people."""
    seat = open_studio(
        name=STUDIO, season=season_on(today), time_zone=ZONE, country="US", bare=True
    )
    owner = _user(*OWNER[:2])
    Membership.objects.filter(pk=seat.pk).update(user=owner)
    with history.acting(owner):
        with tempfile.TemporaryDirectory() as folder:
            write_moved(folder, today)
            load(folder, seat.studio)
        _seat(seat.studio, Role.ASSISTANT, *ASSISTANT[:2])
        for name, email, _ in STUDENTS:
            student = Student.objects.get(studio=seat.studio, name=name)
            student.membership = _seat(seat.studio, Role.STUDENT, name, email)
            student.save()
    learn(seat.studio)
    return seat.studio


def _user(name, email):
    return User.objects.create_user(email, PASSWORD, name=name)


def _seat(studio, role, name, email):
    return Membership.objects.create(studio=studio, role=role, user=_user(name, email))


def studio():
    """Return the demo's studio."""
    return Studio.objects.get(name=STUDIO)


def write_stamp(file, today):
    """Note for which day and from which fixtures the demo was built."""
    file.write_text(_stamp(today))


def is_stamp(file, today):
    """Whether the demo was built today, from these fixtures."""
    return file.exists() and file.read_text() == _stamp(today)


def _stamp(today):
    digest = hashlib.sha256()
    for source in sorted(FIXTURES.glob("*.csv")):
        digest.update(source.read_bytes())
    return f"{today} {digest.hexdigest()}"
