"""The table of the manual names tests that are there, and no requirement twice."""

import re

import pytest
from django.conf import settings

ROOT = settings.BASE_DIR
TEXT = (ROOT / "studio" / "running" / "ASVS.md").read_text(encoding="utf-8")
ROWS = [line for line in TEXT.splitlines() if re.match(r"\| (\d|all)", line)]
STATES = {"met", "partly", "gap", "by make", "not applicable"}
NAMED = sorted(set(re.findall(r"`([\w/]+\.py)(?:::(\w+))?`", TEXT)))


def path_of(file):
    """Return the file that the table names shortly."""
    if file.startswith("tests/"):
        return ROOT / file
    return ROOT / "tests" / "studio" / file.replace("h/", "hardening/", 1)


def test_the_table_is_read():
    assert len(ROWS) > 90
    assert len(NAMED) > 60


@pytest.mark.parametrize(("file", "test"), NAMED)
def test_every_test_of_the_table_is_there(file, test):
    text = path_of(file).read_text(encoding="utf-8")
    assert f"def {test}(" in text if test else "def test_" in text


@pytest.mark.parametrize("row", ROWS)
def test_a_row_says_how_it_stands_and_by_what(row):
    _, number, asked, state, by, _ = cells(row)
    assert re.fullmatch(r"all of it|\d+\.\d+\.\d+(,? (to )?\d+\.\d+\.\d+)*( \(level 3\))?", number)
    assert asked
    assert state in STATES
    if state == "met":
        assert "`" in by, "a test"
    if state in {"partly", "gap", "by make", "not applicable"}:
        assert len(re.sub(r"`[^`]*`", "", by)) > 10, "why"


def cells(row):
    return ["", *(cell.strip() for cell in row.strip("|").split("|")), ""]


def test_no_requirement_comes_twice():
    numbers = [number for row in ROWS for number in re.findall(r"\d+\.\d+\.\d+", cells(row)[1])]
    assert len(numbers) == len(set(numbers))
    assert len(numbers) > 130


def test_every_hardening_test_file_is_in_the_table():
    files = {path.name for path in (ROOT / "tests/studio/hardening").glob("test_*.py")}
    named = {file.removeprefix("h/") for file, _ in NAMED if file.startswith("h/")}
    assert files - named <= {"test_asvs.py"}
