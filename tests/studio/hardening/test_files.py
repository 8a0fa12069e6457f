"""Files sent in to harm: bombs, paths that lead out, entities, and what only says what it is."""

import io
import zipfile
import zlib
from urllib.parse import urlencode

import pytest
from django.conf import settings
from django.core.files.uploadedfile import SimpleUploadedFile
from django.urls import reverse

from studio.workbook import files, uploads
from studio.workbook.files import MAX_MEMBERS, MAX_UNPACKED, MAX_UPLOAD, MEGABYTE, read_files
from studio.workbook.grids import MAX_COLUMNS, CannotRead
from tests.studio.test_access_walk import everything
from tests.studio.test_workbook_files import refused, zipped
from tests.studio.workbooks import STUDENTS, csv_file, xlsx

SHEET = b'<worksheet xmlns="http://schemas.openxmlformats.org/spreadsheetml/2006/main"><sheetData>'


def with_part(part, content):
    """Return a workbook with one of its parts written over, or added."""
    ((name, whole),) = xlsx(students=STUDENTS)
    with zipfile.ZipFile(io.BytesIO(whole)) as archive:
        members = {each: archive.read(each) for each in archive.namelist()}
    return name, zipped(*(members | {part: content}).items())


# Entities


LAUGHS = b'<?xml version="1.0"?><!DOCTYPE l [<!ENTITY a "ha">%s]><x>&j;</x>' % b"".join(
    b'<!ENTITY %c "%s">' % (letter, (b"&%c;" % (letter - 1)) * 10) for letter in b"bcdefghij"
)
OUTSIDE = b'<!DOCTYPE x [<!ENTITY a SYSTEM "file:///etc/hostname">]><x>&a;</x>'
PARTS = (
    "xl/workbook.xml",
    "xl/worksheets/sheet1.xml",
    "xl/styles.xml",
    "xl/_rels/workbook.xml.rels",
    "[Content_Types].xml",
    "docProps/core.xml",
    "xl/sharedStrings.xml",
)


@pytest.mark.parametrize("part", PARTS)
@pytest.mark.parametrize("bomb", [LAUGHS, OUTSIDE, LAUGHS.decode().encode("utf-16")])
def test_a_part_that_declares_entities_is_not_opened(part, bomb, monkeypatch):
    monkeypatch.setattr(files, "read_xlsx", lambda *_, **__: pytest.fail("opened"))
    assert "declares things no workbook needs" in refused(*with_part(part, bomb))


def test_a_part_of_another_name_is_not_opened_by_the_reader_either():
    """What the look before misses by its name, the parser of the workbook refuses itself."""
    from openpyxl.xml import DEFUSEDXML

    assert DEFUSEDXML


# Bombs


def lying(name, content, says):
    """Return a zip whose directory says that a member is `says` bytes long."""
    whole = bytearray(zipped((name, content)))
    real = len(content).to_bytes(4, "little")
    at = 0
    while (at := whole.find(real, at)) >= 0:
        whole[at : at + 4] = says.to_bytes(4, "little")
        at += 4
    return bytes(whole)


def test_a_bomb_that_says_it_is_small_is_cut_off():
    packed = lying("students.csv", b"student\n" + b"a" * 30_000_000, 400)
    told = refused("season.zip", packed)
    assert "cannot be unpacked" in told


def test_a_workbook_that_says_it_is_small_is_cut_off():
    name, whole = with_part("xl/worksheets/sheet1.xml", SHEET + b" " * 30_000_000)
    packed = whole.replace(
        (len(SHEET) + 30_000_000).to_bytes(4, "little"), (400).to_bytes(4, "little")
    )
    assert packed != whole
    assert "cannot be unpacked" in refused(name, packed)


def test_zips_in_zips_are_not_opened():
    inner = zipped(("students.csv", b"0" * 900_000))
    assert "without .csv files" in refused("a.zip", zipped(("inner.zip", inner)))
    assert "not a spreadsheet" in refused("a.zip", zipped(("inner.csv", inner)))


def test_limits_are_what_the_manual_says():
    assert (MAX_UPLOAD, MAX_UNPACKED, MAX_MEMBERS) == (10 * MEGABYTE, 100 * MEGABYTE, 500)


def test_one_huge_cell_is_refused():
    told = refused("students.csv", b"student,instrument\n" + b"a" * 1_500_000 + b",Horn\n")
    assert "cannot be read" in told


def test_an_open_quote_takes_no_more_than_a_cell():
    told = refused("students.csv", b'student,instrument\n"' + b"a,\n" * 900_000)
    assert "cannot be read" in told


def test_columns_without_end_are_cut_off():
    (grid,) = read_files([csv_file("students", [["student"] * 9_000, ["x"] * 9_000])])
    assert {len(cells) for _, cells in grid.rows} == {MAX_COLUMNS}


@pytest.mark.parametrize(
    "content", [b"student\x00,a\n", b"student\n\x07bell\n", b"a" * 300 + b"\0"]
)
def test_bytes_that_no_text_has_are_refused(content):
    refused("students.csv", content)


def test_a_sheet_far_below_costs_no_empty_rows():
    cell = b'<row r="1048576"><c r="XFD1048576" t="n"><v>1</v></c></row></sheetData></worksheet>'
    name, content = with_part("xl/worksheets/sheet1.xml", SHEET + cell)
    with pytest.raises(CannotRead):
        grids = read_files([(name, content)])
        assert sum(len(grid.rows) for grid in grids) <= 1
        raise CannotRead


# Paths


OUT = ("../../students.csv", "/etc/students.csv", r"..\..\students.csv", "C:\\students.csv")


@pytest.mark.parametrize("path", OUT)
def test_a_path_in_a_zip_leads_nowhere(path, tmp_path, monkeypatch):
    monkeypatch.chdir(tmp_path)
    monkeypatch.setattr(zipfile.ZipFile, "extract", lambda *_: pytest.fail("written"))
    monkeypatch.setattr(zipfile.ZipFile, "extractall", lambda *_: pytest.fail("written"))
    name, content = csv_file("students", STUDENTS)
    (grid,) = read_files([("season.zip", zipped((path, content)))])
    assert grid.name == "students"
    assert list(tmp_path.iterdir()) == []


def raw_upload(client, name, content):
    """Post a file under a name that no client of ours would send."""
    head = f'--b\r\nContent-Disposition: form-data; name="files"; filename="{name}"\r\n\r\n'
    body = head.encode() + content + b"\r\n--b--\r\n"
    url = reverse("workbook_check")
    return client.generic("POST", url, body, content_type="multipart/form-data; boundary=b")


@pytest.mark.django_db
@pytest.mark.parametrize(
    "name", ["../../../evil.csv", "/tmp/evil.csv", "a\x00b.csv", "..", "told.json", "x" * 400]
)
def test_an_uploads_name_names_no_file(as_teacher, tmp_path, monkeypatch, name):
    monkeypatch.setattr(uploads, "FOLDER", tmp_path / "kept")
    _, content = csv_file("instruments", [["instrument", "family"], ["Zink", "brass"]])
    assert raw_upload(as_teacher, name, content).status_code in {200, 400, 422}
    written = [path.relative_to(tmp_path) for path in tmp_path.rglob("*") if path.is_file()]
    assert {path.parts[0] for path in written} <= {"kept"}
    assert {path.name for path in written} <= {"0", "told.json"}


@pytest.mark.django_db
def test_what_waits_is_for_the_sites_owner_alone(as_teacher, tmp_path, monkeypatch):
    monkeypatch.setattr(uploads, "FOLDER", tmp_path / "kept")
    _, content = csv_file("instruments", [["instrument", "family"], ["Zink", "brass"]])
    file = SimpleUploadedFile("instruments.csv", content)
    as_teacher.post(reverse("workbook_check"), {"files": file})
    (folder,) = (tmp_path / "kept").iterdir()
    assert folder.stat().st_mode & 0o077 == 0


# What a request may hold


@pytest.mark.django_db
def test_an_upload_over_the_limit_is_refused_and_nothing_kept(as_teacher, tmp_path, monkeypatch):
    monkeypatch.setattr(uploads, "FOLDER", tmp_path / "kept")
    file = SimpleUploadedFile("students.csv", b"a" * (MAX_UPLOAD + 1))
    page = as_teacher.post(reverse("workbook_check"), {"files": file})
    assert page.status_code == 422
    assert "the limit is 10 MB" in page.content.decode()
    assert not (tmp_path / "kept").exists() or list((tmp_path / "kept").iterdir()) == []


@pytest.mark.django_db
def test_a_form_of_too_many_fields_or_too_many_letters_is_refused(as_teacher, people):
    before = everything()
    many = {f"f{number}": "" for number in range(5_001)}
    long = {"name": "a" * 2_500_001}
    form = "application/x-www-form-urlencoded"
    for fields in (many, long):
        answer = as_teacher.post(reverse("student_add"), urlencode(fields), content_type=form)
        assert answer.status_code == 400
    assert everything() == before


@pytest.mark.django_db
def test_too_many_files_are_refused(as_teacher):
    several = [SimpleUploadedFile(f"{number}.csv", b"a") for number in range(101)]
    assert as_teacher.post(reverse("workbook_check"), {"files": several}).status_code == 400


def test_the_proxy_takes_no_larger_body_than_the_site():
    told = (settings.BASE_DIR / "studio/running/deploy/Caddyfile").read_text(encoding="utf-8")
    assert "max_size" in told


def test_damaged_packing_is_named():
    name, content = csv_file("students", STUDENTS)
    whole = bytearray(zipped((name, content * 40)))
    start = whole.find(zlib.compress(content)[2:4])
    whole[60:80] = b"\xff" * 20
    assert start
    assert "damaged" in refused("season.zip", bytes(whole))
