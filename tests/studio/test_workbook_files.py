"""Which files are read, and what is said of those that are not."""

import io
import zipfile

import openpyxl
import pytest

from studio.workbook.files import MAX_UPLOAD, read_files
from studio.workbook.grids import CannotRead, quoted, unquoted
from studio.workbook.tables import read_tables
from tests.studio.workbooks import STUDENTS, csv_file, saved, xlsx


def refused(name, content):
    with pytest.raises(CannotRead) as error:
        read_files([(name, content)])
    return str(error.value)


def zipped(*members, compression=zipfile.ZIP_DEFLATED):
    out = io.BytesIO()
    with zipfile.ZipFile(out, "w", compression) as archive:
        for name, content in members:
            archive.writestr(name, content)
    return out.getvalue()


def rows_of(files, sheet="students"):
    reading = read_tables(read_files(files))
    return [row.cells for row in reading.tables[sheet].rows]


SAM = {"student": "Sam Reyes", "instrument": "Horn"}
ACCENTS = [["student", "instrument"], ["Zoë Brontë-Muñoz", "Horn"]]


@pytest.mark.parametrize("encoding", ["utf-8", "utf-8-sig", "cp1252", "utf-16", "utf-16-le"])
@pytest.mark.parametrize("delimiter", [",", ";", "\t"])
def test_csv_is_read_in_every_usual_encoding_and_separator(encoding, delimiter):
    files = [csv_file("students", ACCENTS, encoding, delimiter)]
    assert rows_of(files) == [{"student": "Zoë Brontë-Muñoz", "instrument": "Horn"}]


def test_csv_that_tells_its_separator_is_read():
    name, content = csv_file("students", STUDENTS, delimiter=";")
    reading = read_tables(read_files([(name, b"sep=;\r\n" + content)]))
    assert reading.tables["students"].rows[0].number == 3
    assert reading.tables["students"].rows[0].cells == SAM


def test_several_csv_files_make_one_workbook():
    files = [
        csv_file("Students", STUDENTS),
        csv_file("lead_times", [["for", "task"], ["fee", "Pay"]]),
    ]
    assert set(read_tables(read_files(files)).tables) == {"students", "lead times"}


@pytest.mark.parametrize("name", ["students (2)", "Season - Students", "STUDENTS "])
def test_the_name_of_a_csv_may_be_dressed_up(name):
    assert rows_of([csv_file(name, STUDENTS)])[0] == SAM


def test_a_zip_of_csv_is_read_from_any_folder_in_it():
    name, content = csv_file("students", STUDENTS)
    packed = zipped((f"season/{name}", content), ("__MACOSX/._students.csv", b"\x00\x05\x16"))
    assert rows_of([("season.zip", packed)])[0] == SAM


def test_an_xlsx_is_read_with_the_last_values_of_its_formulas():
    book = openpyxl.Workbook()
    book.active.title = "students"
    for row in STUDENTS:
        book.active.append(row)
    content = saved(book)
    with zipfile.ZipFile(io.BytesIO(content)) as archive:
        members = [(name, archive.read(name)) for name in archive.namelist()]
    formula = b'<c r="C2"><f>30+30</f><v>60</v></c></row><row r="3">'
    heading = b'<c r="C1" t="inlineStr"><is><t>Monday</t></is></c></row><row r="2">'
    members = [
        (
            name,
            text.replace(b'</row><row r="3">', formula).replace(b'</row><row r="2">', heading)
            if name == "xl/worksheets/sheet1.xml"
            else text,
        )
        for name, text in members
    ]
    assert rows_of([("season.xlsx", zipped(*members))])[0]["Monday"] == 60


def test_a_formula_without_a_value_names_its_cell():
    rows = [["student", "instrument", "Monday"], ["Sam Reyes", "Horn", "=30+30"]]
    (row,) = rows_of(xlsx(students=rows))
    assert "Cell C2 holds a formula without a value" in row["Monday"].advice


def test_a_cell_that_shows_an_error_is_reported():
    rows = [["student", "town"], ["Sam Reyes", "#REF!"]]
    (row,) = rows_of(xlsx(students=rows))
    assert (row["town"].shown, "shows an error" in row["town"].advice) == ("#REF!", True)


def test_titles_empty_rows_and_merged_headings_do_not_matter():
    book = openpyxl.Workbook()
    page = book.active
    page.title = " Students "
    page["A1"] = "Quayside Brass, our students"
    page.merge_cells("A1:D1")
    page["A3"], page["C3"] = "STUDENT ", "minutes of practice"
    page.merge_cells("A3:A4")
    page.merge_cells("C3:D3")
    page["B4"], page["C4"], page["D4"] = "instrument", "Mon day", "tuesday"
    page["A7"], page["B7"], page["C7"] = " Sam Reyes\xa0", "Horn", 30
    page["A9"] = "   "
    reading = read_tables(read_files([("season.xlsx", saved(book))]))
    assert (reading.problems, reading.notes) == ([], [])
    (row,) = reading.tables["students"].rows
    assert (row.number, row.cells["Monday"], row.cells["instrument"]) == (7, 30, "Horn")
    assert row.cells["student"] == " Sam Reyes\xa0"


def test_headings_stand_in_any_order_and_under_their_longer_names():
    rows = [["home town", "E-Mail", "Name", "instrument"], ["Carrow", "s@x.example", "Sam", "Horn"]]
    assert rows_of(xlsx(students=rows))[0] == {
        "town": "Carrow",
        "e-mail": "s@x.example",
        "student": "Sam",
        "instrument": "Horn",
    }


def problems(files):
    reading = read_tables(read_files(files))
    return [(p.sheet, p.row, p.column, p.advice) for p in reading.problems], reading.notes


def test_a_misspelled_heading_is_a_problem_with_its_suggestion():
    found, _ = problems(xlsx(students=[["student", "instrment"], ["Sam", "Horn"]]))
    ((sheet, row, column, advice),) = found
    assert (sheet, row, column) == ("students", 1, "instrment")
    assert "“instrument”" in advice


def test_a_heading_of_the_teachers_own_is_noted():
    found, notes = problems(
        xlsx(students=[["student", "instrument", "shoe size"], ["S", "Horn", 9]])
    )
    assert (found, notes) == ([], ["students: the column “shoe size” is not read."])


def test_a_heading_that_comes_twice_is_a_problem():
    found, _ = problems(xlsx(students=[["student", "town", "Town"], ["S", "A", "B"]]))
    assert "“town” comes twice" in found[0][3]


def test_sheets_of_other_names_are_noted_and_misspelled_ones_are_problems():
    found, notes = problems(
        xlsx(students=STUDENTS, Shopping=[["milk"]], Institutons=[["a"], ["b"]])
    )
    assert notes == ["The sheet “Shopping” is not one of the workbook's: not read."]
    assert [(sheet, "“institutions”" in advice) for sheet, _, _, advice in found] == [
        ("Institutons", True)
    ]


def test_a_workbook_without_one_sheet_of_ours_says_what_they_are_called():
    found, _ = problems(xlsx(Shopping=[["milk", "eggs"]]))
    assert "instruments, students, away" in found[0][3]


def test_a_sheet_without_headings_says_what_they_should_be():
    found, _ = problems(xlsx(students=[["Sam Reyes", "Horn"], ["Mia", "Horn"]]))
    assert "student, goes by, instrument" in found[0][3]


def test_a_sheet_that_comes_twice_is_a_problem():
    found, _ = problems([csv_file("students", STUDENTS), csv_file("students (1)", STUDENTS)])
    assert "comes twice" in found[0][3]


OLE = b"\xd0\xcf\x11\xe0\xa1\xb1\x1a\xe1"


@pytest.mark.parametrize(
    ("name", "content", "words"),
    [
        ("season.xls", OLE + b"\0" * 600 + "Workbook".encode("utf-16-le"), "old workbook (.xls)"),
        ("season.xlsx", OLE + b"\0" * 600 + "EncryptedPackage".encode("utf-16-le"), "password"),
        ("season.pdf", b"%PDF-1.7\n", "a PDF"),
        ("season.xlsx", b"%PDF-1.7\n", "a PDF"),
        ("photo.csv", b"\x89PNG\r\n\x1a\n\0\0", "a picture"),
        ("season.xls", b"<html><table><tr><td>student", "web page"),
        ("season.xlsx", b"", "is empty"),
        ("students.csv", b"\x01\x02\x03\x04student", "not a spreadsheet"),
        ("students.csv", b"student\n\x81\x8d\x8f", "letters are in a code nobody knows"),
        ("season.xlsx", b"PK\x03\x04 and then nothing", "damaged"),
    ],
)
def test_what_is_no_spreadsheet_is_named(name, content, words):
    told = refused(name, content)
    assert name in told
    assert words in told


@pytest.mark.parametrize(
    ("member", "words"),
    [
        ("word/document.xml", "text document"),
        ("content.xml", "OpenDocument"),
        ("Index/Document.iwa", ".numbers"),
        ("xl/workbook.bin", ".xlsb"),
        ("readme.md", "without .csv files"),
    ],
)
def test_zips_of_other_programs_are_named(member, words):
    assert words in refused("season.zip", zipped((member, b"x")))


def test_a_zip_bomb_is_refused_before_it_is_unpacked(monkeypatch):
    bomb = zipped(("students.csv", b"0" * 150_000_000))
    assert len(bomb) < 200_000
    monkeypatch.setattr(zipfile.ZipFile, "read", lambda *_: pytest.fail("unpacked"))
    assert "150 MB together; the limit is" in refused("season.zip", bomb)


def test_a_zip_of_absurd_ratio_is_refused():
    assert "times its size" in refused("a.zip", zipped(("students.csv", b"0" * 50_000_000)))


def test_a_zip_of_very_many_files_is_refused():
    many = zipped(*((f"{n}.csv", b"a") for n in range(501)))
    assert "501 files" in refused("season.zip", many)


def test_a_file_over_the_limit_is_refused_with_the_limit():
    told = refused("students.csv", b"a" * (MAX_UPLOAD + 1))
    assert "the limit is 10 MB" in told


BOMB = b"""<?xml version="1.0"?><!DOCTYPE b [<!ENTITY a "aaaaaaaaaa"><!ENTITY c "&a;&a;&a;&a;">]>
<workbook xmlns="http://schemas.openxmlformats.org/spreadsheetml/2006/main">&c;</workbook>"""


def test_xml_that_declares_entities_is_refused():
    ((name, content),) = xlsx(students=STUDENTS)
    with zipfile.ZipFile(io.BytesIO(content)) as archive:
        members = [
            (n, BOMB if n == "xl/workbook.xml" else archive.read(n)) for n in archive.namelist()
        ]
    assert "declares things no workbook needs" in refused(name, zipped(*members))


def test_a_damaged_xlsx_is_refused():
    ((name, content),) = xlsx(students=STUDENTS)
    with zipfile.ZipFile(io.BytesIO(content)) as archive:
        members = [
            (n, b"<worksheet><sheetData><row" if "sheet1" in n else archive.read(n))
            for n in archive.namelist()
        ]
    assert "damaged" in refused(name, zipped(*members))


def test_more_rows_than_any_season_has_are_refused():
    rows = [["student", "instrument"], *([f"S {n}", "Horn"] for n in range(20_001))]
    assert "more than 20000 rows" in refused(*csv_file("students", rows))


@pytest.mark.parametrize("text", ["=1+1", "+44 20", "-1", "@home", "'=x", "''", "'quoted'", "＝1"])
def test_quoting_is_taken_back_exactly(text):
    assert quoted(text).startswith("'")
    assert unquoted(quoted(text)) == text


@pytest.mark.parametrize("text", ["'til May", "plain", "", "1-1"])
def test_a_teachers_own_apostrophe_stays(text):
    assert unquoted(text) == text
