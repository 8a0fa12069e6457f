"""The workbook's pages: what a file would do, loading it, taking it home, and who may."""

import io
import os
from datetime import timedelta
from pathlib import Path

import openpyxl
import pytest
import time_machine
from django.core.files.uploadedfile import SimpleUploadedFile
from django.urls import reverse
from django.utils import timezone

from studio.accounts.models import Change
from studio.students.models import Student
from studio.workbook import uploads
from studio.workbook.contexts import description
from studio.workbook.files import read_files
from studio.workbook.sheets import SHEETS
from tests import factories as make
from tests.studio.workbooks import WRITERS, base, contents, csv_file, planned, rich_studio, xlsx

pytestmark = pytest.mark.django_db
HORN = [["instrument", "family", "position"], ["Horn", "brass", 200]]


@pytest.fixture(autouse=True)
def folder(tmp_path, monkeypatch):
    """Uploads wait in a folder of the test's own."""
    monkeypatch.setattr(uploads, "FOLDER", tmp_path / "uploads")
    return tmp_path / "uploads"


def uploaded(files):
    return {"files": [SimpleUploadedFile(name, content) for name, content in files]}


def check(client, files):
    return client.post(reverse("workbook_check"), uploaded(files))


def load(client, response, **fields):
    digest = response.context["plan"].digest
    return client.post(reverse("workbook_apply"), {"digest": digest, **fields}, follow=True)


def text(response):
    return response.content.decode()


LEE = [["student", "instrument", "town"], ["Lee Park", "Horn", "Norwood"]]


def test_a_file_is_shown_before_anything_is_written(as_teacher, people):
    response = check(as_teacher, xlsx(students=LEE))
    assert response.status_code == 200
    assert "Load it: add 1, change 0" in text(response)
    assert "Lee Park" in text(response)
    assert not Student.objects.filter(name="Lee Park").exists()


def test_loading_writes_what_was_shown_in_the_loaders_name_and_can_be_undone(as_teacher, people):
    response = load(as_teacher, check(as_teacher, xlsx(students=LEE)))
    assert "Loaded: 1 added" in text(response)
    student = people.studio.students.get(name="Lee Park")
    change = Change.objects.get(model="students.student", object_pk=student.pk)
    assert change.by == people.ines.user
    assert reverse("undo", args=[change.batch]) in text(response)
    as_teacher.post(reverse("undo", args=[change.batch]))
    assert not people.studio.students.filter(name="Lee Park").exists()


def test_problems_are_listed_and_nothing_can_be_loaded(as_teacher, people):
    rows = [*LEE, ["Ada Quill", "Hron", ""]]
    response = check(as_teacher, xlsx(students=rows))
    assert response.status_code == 422
    page = text(response)
    assert all(word in page for word in ("students, row 3", "Hron", "Did you mean “Horn”?"))
    assert reverse("workbook_apply") not in page
    assert load(as_teacher, response).status_code == 422
    assert not Student.objects.filter(name="Lee Park").exists()


def test_what_changes_is_shown_before_and_after(as_teacher, people):
    response = check(as_teacher, xlsx(students=[["student", "town"], ["Sam Reyes", "Carrow"]]))
    page = text(response)
    assert "<del>Harbour Falls</del>" in page
    assert "<ins>Carrow</ins>" in page


def test_a_studio_that_changed_meanwhile_is_shown_again_instead_of_written(as_teacher, people):
    shown = check(as_teacher, xlsx(students=[["student", "town"], ["Sam Reyes", "Carrow"]]))
    Student.objects.filter(name="Sam Reyes").update(town="Hollins Bay")
    response = load(as_teacher, shown)
    assert response.status_code == 409
    assert "The studio has changed since" in text(response)
    assert "<del>Hollins Bay</del>" in text(response)
    assert Student.objects.get(name="Sam Reyes").town == "Hollins Bay"
    load(as_teacher, response)
    assert Student.objects.get(name="Sam Reyes").town == "Carrow"


def test_another_students_change_meanwhile_does_not_matter(as_teacher, people):
    shown = check(as_teacher, xlsx(students=[["student", "town"], ["Sam Reyes", "Carrow"]]))
    Student.objects.filter(name="Mia Okafor").update(town="Hollins Bay")
    load(as_teacher, shown)
    assert Student.objects.get(name="Sam Reyes").town == "Carrow"


def test_tasks_are_drawn_up_when_ticked(as_teacher, people):
    entry = make.EntryFactory(student=people.sam_student)
    make.LeadTimeFactory(studio=people.studio, kind="fee", name="Pay the fee")
    audition = entry.audition
    rows = [
        ["institution", "season", "audition", "deadline", "for", "date"],
        [audition.institution.name, audition.season, audition.name, "Fee", "fee", "2026-12-01"],
    ]
    shown = check(as_teacher, xlsx(deadlines=rows))
    assert "Draw up 1 task for 1 entry" in text(shown)
    assert 'value="1" checked' in text(shown)
    response = load(as_teacher, shown, draw_up="1")
    assert "Tasks drawn up from the deadlines: 1." in text(response)
    assert entry.tasks.get().name == "Pay the fee"


def test_the_preview_can_be_asked_for_again_and_goes_once_loaded(as_teacher, people, folder):
    shown = check(as_teacher, xlsx(students=LEE))
    again = as_teacher.get(reverse("workbook_check"))
    assert "Load it: add 1" in text(again)
    load(as_teacher, shown)
    assert list(folder.iterdir()) == []
    assert as_teacher.get(reverse("workbook_check")).url == reverse("workbook")


def test_an_upload_is_gone_after_a_day(as_teacher, people, folder):
    with time_machine.travel(timezone.now() - timedelta(hours=25), tick=False):
        check(as_teacher, xlsx(students=LEE))
        (old,) = folder.iterdir()
        stamp = timezone.now().timestamp()
    os.utime(old, (stamp, stamp))
    check(as_teacher, xlsx(students=LEE))
    assert not old.exists()
    assert len(list(folder.iterdir())) == 1


def test_an_upload_is_its_owners_alone(client, as_teacher, people, folder):
    check(as_teacher, xlsx(students=LEE))
    token = as_teacher.session[uploads.SESSION_KEY]
    client.logout()
    client.force_login(people.otto.user)
    session = client.session
    session[uploads.SESSION_KEY] = token
    session.save()
    assert client.get(reverse("workbook_check")).url == reverse("workbook")
    response = client.post(reverse("workbook_apply"), {"digest": "x"}, follow=True)
    assert "no longer here" in text(response)
    assert not Student.objects.filter(name="Lee Park").exists()


def test_a_folder_of_csv_is_loaded_at_once(as_teacher, people):
    files = [csv_file("instruments", HORN), csv_file("students", LEE)]
    assert check(as_teacher, files).context["plan"].created == 2 - 1  # Horn is there already


def test_a_file_that_is_none_is_said_to_be_none(as_teacher, people):
    response = check(as_teacher, [("season.pdf", b"%PDF-1.7")])
    assert response.status_code == 422
    assert "season.pdf is a PDF, not a spreadsheet." in text(response)


def test_no_file_at_all_is_asked_for(as_teacher, people):
    response = as_teacher.post(reverse("workbook_check"))
    assert response.status_code == 422
    assert "Nothing is loaded yet." in text(response)


class Unread(io.BytesIO):
    """A request's body that must not be read."""

    def read(self, *args):
        raise AssertionError("the body was read")


def test_fifty_megabytes_are_refused_before_they_are_read(as_teacher, people):
    response = as_teacher.generic(
        "POST",
        reverse("workbook_check"),
        content_type="multipart/form-data; boundary=x",
        CONTENT_LENGTH="50000000",
        **{"wsgi.input": Unread()},
    )
    assert response.status_code == 413
    assert "The upload is 50 MB; the limit is 10 MB." in text(response)


def test_uploading_needs_the_pages_own_token(people):
    from django.test import Client

    client = Client(enforce_csrf_checks=True)
    client.force_login(people.ines.user)
    assert check(client, xlsx(students=LEE)).status_code == 403


@pytest.mark.parametrize(
    ("route", "kind"), [("workbook_export", "xlsx"), ("workbook_export_csv", "zip")]
)
def test_the_season_is_taken_home_and_loads_into_nothing_new(as_teacher, people, route, kind):
    response = as_teacher.get(reverse(route))
    assert f'filename="quayside-brass-2026-27.{kind}"' in response["Content-Disposition"]
    made = planned([(f"season.{kind}", response.content)], people.studio)
    assert (made.problems, made.created, made.changed, made.same) == ([], 0, 0, 3)


def test_the_empty_workbook_has_every_heading_and_nothing_else(as_teacher, people):
    response = as_teacher.get(reverse("workbook_empty"))
    book = openpyxl.load_workbook(io.BytesIO(response.content))
    assert {page.title: [cell.value for cell in page[1]] for page in book} == {
        sheet.name: list(sheet.headings) for sheet in SHEETS
    }
    assert all(page.max_row == 1 for page in book)
    assert all(page.freeze_panes == "A2" and page["A1"].font.bold for page in book)


def test_the_page_describes_every_heading(as_teacher, people):
    page = text(as_teacher.get(reverse("workbook")))
    for sheet, ours in zip(description(), SHEETS, strict=True):
        assert [line.heading for line in sheet.lines] == list(ours.headings)
        assert all(line.says or line.heading for line in sheet.lines)
        assert f"<summary>{sheet.name}</summary>" in page


def test_no_cell_of_an_export_can_run_as_a_formula():
    studio = rich_studio()
    for name in ("=1+1", "+1", "-1", "@x", "=HYPERLINK(1)"):
        make.PieceFactory(studio=studio, composer=name, work=name, notes=name)
    book = openpyxl.load_workbook(io.BytesIO(WRITERS["xlsx"](studio)[0][1]))
    cells = [cell for page in book for row in page for cell in row]
    assert {cell.data_type for cell in cells} <= {"s", "n", "d"}
    assert all(cell.quotePrefix for cell in cells if str(cell.value).startswith(tuple("=+@")))
    dangerous = [
        cell
        for name, content in WRITERS["csv"](studio)
        for grid in [content.decode("utf-8-sig")]
        for cell in grid.split('"')[1::2]
        if cell.startswith(tuple("=+@\t\r"))
    ]
    assert dangerous == []


def test_dates_times_and_numbers_are_exported_as_such():
    studio = rich_studio()
    book = openpyxl.load_workbook(io.BytesIO(WRITERS["xlsx"](studio)[0][1]))
    deadlines, days, pieces = book["deadlines"], book["days"], book["pieces"]
    kinds = {cell.value: place for place, cell in enumerate(deadlines[1])}
    assert deadlines[2][kinds["date"]].is_date
    assert deadlines[2][kinds["date"]].number_format == "yyyy-mm-dd"
    assert any(cell.number_format == "hh:mm" for cell in days[2])
    assert any(cell.value == 12.5 for row in pieces.iter_rows() for cell in row)


def test_a_text_longer_than_a_cell_is_refused_with_the_way_out(as_teacher, people):
    people.sam_student.notes = "x" * 40_000
    people.sam_student.save()
    response = as_teacher.get(reverse("workbook_export"))
    assert response.status_code == 422
    assert "Take the .csv instead" in text(response)
    assert as_teacher.get(reverse("workbook_export_csv")).status_code == 200


@pytest.mark.parametrize("seat", ["ana", "sam"])
@pytest.mark.parametrize(
    "route",
    ["workbook", "workbook_check", "workbook_export", "workbook_export_csv", "workbook_empty"],
)
def test_only_teachers_come_in(client, people, seat, route):
    client.force_login(getattr(people, seat).user)
    assert client.get(reverse(route)).status_code == 404


def test_a_file_cannot_reach_another_studio(client, as_teacher, people):
    elsewhere = make.StudentFactory(studio=people.otto.studio, name="Otto's Student", town="Far")
    before = contents(people.otto.studio)
    rows = [["student", "instrument", "town"], ["Otto's Student", "Horn", "Near"]]
    load(as_teacher, check(as_teacher, base(students=rows)))
    assert contents(people.otto.studio) == before
    elsewhere.refresh_from_db()
    assert elsewhere.town == "Far"


@pytest.mark.parametrize("route", ["workbook", "workbook_empty", "workbook_export_csv"])
def test_pages_cost_the_same_queries_for_one_student_and_thirty(
    as_teacher, people, route, django_assert_max_num_queries
):
    counts = []
    for more in (0, 28):
        for _ in range(more):
            make.StudentFactory(studio=people.studio)
        with django_assert_max_num_queries(40) as captured:
            as_teacher.get(reverse(route))
        counts.append(len(captured))
    assert counts[0] == counts[1]
    assert route == "workbook_export_csv" or counts[0] <= 12


def test_the_preview_costs_the_same_queries_for_one_row_and_thirty(
    as_teacher, people, django_assert_max_num_queries
):
    counts = []
    for number in (1, 30):
        rows = [["student", "instrument"], *([f"New {n}", "Horn"] for n in range(number))]
        with django_assert_max_num_queries(12) as captured:
            check(as_teacher, xlsx(students=rows))
        counts.append(len(captured))
    assert counts[0] == counts[1]


def test_files_that_wait_are_readable_by_the_site_only(as_teacher, people, folder):
    check(as_teacher, xlsx(students=LEE))
    (kept,) = folder.iterdir()
    assert Path(kept).stat().st_mode & 0o077 == 0
    assert read_files([("season.xlsx", (kept / "0").read_bytes())])
