"""A season in and out from the shell."""

from io import StringIO

import pytest
from django.core.management import CommandError, call_command

from studio.accounts.models import Change
from studio.workbook.grids import CannotRead
from studio.workbook.loading import find_files, load
from tests.studio.workbooks import WRITERS, base, contents, empty_studio, rich_studio

pytestmark = pytest.mark.django_db


def run(*args):
    out, err = StringIO(), StringIO()
    call_command(*args, stdout=out, stderr=err)
    return out.getvalue()


@pytest.fixture
def file(tmp_path):
    path = tmp_path / "season.xlsx"
    path.write_bytes(base()[0][1])
    return path


def test_import_says_what_it_would_do_and_writes_nothing(file):
    studio = empty_studio()
    out = run("import_workbook", studio.name, str(file))
    assert "students: 2 to add, 0 to change, 0 left alone, 0 not in the file" in out
    assert "Nothing is written" in out
    assert not studio.students.exists()


def test_import_loads_when_told_and_records_it(file):
    studio = empty_studio()
    run("import_workbook", str(studio.pk), str(file), "--apply")
    assert studio.students.count() == 2
    assert (
        Change.objects.filter(studio=studio)
        .exclude(model__startswith="accounts.")
        .values("batch")
        .distinct()
        .count()
        == 1
    )


def test_import_lists_problems_and_fails(tmp_path):
    studio = empty_studio()
    path = tmp_path / "season.xlsx"
    path.write_bytes(base(students=[["student", "instrument"], ["Sam", "Hron"]])[0][1])
    err = StringIO()
    with pytest.raises(CommandError, match="Problems: 1\\. Nothing is loaded") as error:
        call_command("import_workbook", studio.name, str(path), "--apply", stderr=err)
    assert error.value.returncode == 1
    assert err.getvalue().startswith("students, row 2, instrument: “Hron” There is no instrument")


@pytest.mark.parametrize("name", ["season.xlsx", "season.zip", "season"])
def test_export_and_import_by_command_give_the_same_back(tmp_path, name):
    studio, copy = rich_studio(), empty_studio()
    run("export_workbook", studio.name, str(tmp_path / name))
    run("import_workbook", copy.name, str(tmp_path / name), "--apply")
    assert contents(copy) == contents(studio)


def test_a_missing_file_and_a_missing_studio_are_named(tmp_path):
    studio = empty_studio()
    with pytest.raises(CommandError, match="no file or folder"):
        run("import_workbook", studio.name, str(tmp_path / "none.xlsx"))
    with pytest.raises(CommandError, match="no studio “Elsewhere”"):
        run("export_workbook", "Elsewhere", str(tmp_path / "a.xlsx"))
    with pytest.raises(CannotRead, match="no .csv files"):
        find_files(tmp_path)


def test_two_studios_of_one_name_are_told_apart_by_number(tmp_path):
    first, second = empty_studio(), empty_studio()
    with pytest.raises(CommandError, match=f"{first.pk}, {second.pk}"):
        run("export_workbook", first.name, str(tmp_path / "a.xlsx"))


def test_a_folder_is_loaded_in_one_go(tmp_path):
    studio, copy = rich_studio(), empty_studio()
    for name, content in WRITERS["csv"](studio):
        (tmp_path / name).write_bytes(content)
    made = load(tmp_path, copy)
    assert made.created > 100
    assert contents(copy) == contents(studio)
