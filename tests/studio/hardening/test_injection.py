"""Words that would be more than words elsewhere: in headers, letters, spreadsheets, calendars."""

import csv
import io
import re
import zipfile

import openpyxl
import pytest
from django.core import mail
from django.http import HttpResponse
from django.http.response import BadHeaderError
from django.test import Client
from django.urls import reverse
from icalendar import Calendar

from studio.accounts.models import Membership, Studio, User
from studio.entries.models import Task
from studio.students.models import Student
from studio.workbook.grids import RUN, quoted
from studio.workbook.writing import write_csvs, write_xlsx, write_zip
from tests.routes import ROUTES
from tests.studio.hardening.test_paper import greedy_of_all
from tests.studio.test_access_walk import everything
from tests.studio.workbooks import rich_studio

pytestmark = pytest.mark.django_db

BREAKS = ("\r\n", "\n", "\r", "\x0b", "\x0c", "\x85", "\u2028")
RUNS = ("=1+1", "+1", "-1", "@SUM(1)", "\t=1", "\r=1", "＝1")


# Headers


@pytest.mark.parametrize("end", BREAKS)
def test_no_name_reaches_a_header(company, rows, end):
    evil = f'a"{end}Set-Cookie: evil=1{end}{end}<p>'
    Student.objects.filter(pk=company.sam_student.pk).update(name=evil, known_as=evil)
    Studio.objects.filter(pk=company.studio.pk).update(name=evil)
    User.objects.update(name=evil)
    client, seen = Client(), 0
    client.force_login(company.ines.user)
    for name, route in ROUTES.items():
        if "owner" not in route.get or not name.endswith(("sheet", "sheets", "export", "calendar")):
            continue
        answer = client.get(reverse(name, args=route.args(rows)))
        said = answer.get("Content-Disposition", "")
        for header, value in answer.items():
            assert "set-cookie:" not in value.lower(), (name, header)
            assert value.isascii() and value.isprintable(), (name, header)
        assert "evil" not in answer.headers, name
        assert "evil" not in answer.cookies, name
        if "filename" in said:
            assert re.fullmatch(r'(inline|attachment); filename="[\w.-]+"', said), said
            seen += 1
    assert seen >= 8


def test_a_break_in_a_header_is_refused_by_the_framework():
    with pytest.raises(BadHeaderError):
        HttpResponse(headers={"X-Name": "a\r\nSet-Cookie: b"})


@pytest.mark.parametrize("end", BREAKS)
def test_no_name_writes_a_letters_head(company, end):
    evil = f"Ines{end}Bcc: thief@evil.example{end}{end}Body"
    Studio.objects.filter(pk=company.studio.pk).update(name=evil)
    User.objects.filter(pk=company.ines.user.pk).update(name=evil)
    Student.objects.filter(pk=company.sam_student.pk).update(
        name=evil, email="new@studio.example", membership=None
    )
    client = Client()
    client.force_login(company.ines.user)
    client.post(reverse("student_invite", args=[company.sam_student.pk]))
    client.post(reverse("people"), {"email": "colleague@studio.example", "role": "teacher"})
    client.post(reverse("account_reset_password"), {"email": company.theo.user.email})
    assert mail.outbox
    for letter in mail.outbox:
        message = letter.message()
        assert "Bcc" not in message
        assert len(letter.recipients()) == 1
        assert "thief" not in " ".join(letter.recipients())
        assert not {"\r", "\n"} & set(str(letter.subject))


@pytest.mark.parametrize(
    "email", ["a@b.example\nBcc: c@evil.example", "a@b.example,c@evil.example", "<a@b.example>"]
)
def test_an_address_is_one_address(company, email):
    client = Client()
    client.force_login(company.ines.user)
    answer = client.post(reverse("people"), {"email": email, "role": "teacher"})
    assert answer.status_code == 422
    assert mail.outbox == []


# Spreadsheets


def run_in_place(studio, start):
    """Let every text of a studio begin so that a spreadsheet would run it."""
    greedy_of_all(
        {model: rows for model, rows in everything().items() if model not in KEPT},
        "",
        start=start,
    )
    return Studio.objects.get(pk=studio.pk)


KEPT = (Membership, User)


@pytest.mark.parametrize("start", RUNS)
def test_no_cell_of_an_export_is_run(start):
    studio = run_in_place(rich_studio(), start)
    texts = 0
    for _, content in write_csvs(studio):
        for row in list(csv.reader(io.StringIO(content.decode("utf-8-sig"), newline="")))[1:]:
            for cell in row:
                assert not cell.startswith(tuple("=+@\t\r＝")), cell
                assert not cell.startswith("-") or is_number(cell), cell
                texts += cell.startswith("'")
    assert texts > 100
    book = openpyxl.load_workbook(io.BytesIO(write_xlsx(studio)))
    cells = [cell for sheet in book for row in sheet.iter_rows() for cell in row]
    assert sum(str(cell.value).startswith(start.strip()) for cell in cells if cell.value) > 50
    assert [cell.coordinate for cell in cells if cell.data_type == "f"] == []
    with zipfile.ZipFile(io.BytesIO(write_xlsx(studio))) as archive:
        assert all(b"<f>" not in archive.read(name) for name in archive.namelist())


def is_number(text):
    try:
        float(text)
    except ValueError:
        return False
    return True


def test_the_zip_is_made_of_the_same_cells():
    studio = rich_studio()
    with zipfile.ZipFile(io.BytesIO(write_zip(studio))) as archive:
        packed = {name: archive.read(name) for name in archive.namelist()}
    assert packed == dict(write_csvs(studio))


@pytest.mark.parametrize("start", RUN)
def test_each_beginning_is_quoted(start):
    assert quoted(f"{start}x").startswith("'")


# Calendars

LINES = "Sam\r\nEND:VEVENT\r\nUID:evil\r\nATTACH:http://e.example/;X,\\"


def test_words_of_a_calendar_begin_no_line(company, rows):
    Student.objects.filter(pk=company.sam_student.pk).update(name=LINES, known_as=LINES)
    Studio.objects.filter(pk=company.studio.pk).update(name=LINES)
    Task.objects.filter(pk=rows["task"]).update(name=LINES, note=LINES)
    for name, token in (
        ("student_feed", "student_token"),
        ("studio_feed_calendar", "studio_token"),
    ):
        body = Client().get(reverse(name, args=[rows[token]])).content.decode()
        unfolded = body.replace("\r\n ", "").replace("\r\n\t", "")
        assert "evil" in unfolded
        starts = {line.partition(":")[0].partition(";")[0] for line in unfolded.split("\r\n")}
        assert "ATTACH" not in starts
        assert "\n" not in unfolded.replace("\r\n", "")
        read = Calendar.from_ical(body)
        assert all("evil" not in str(event["uid"]) for event in read.walk("VEVENT"))
        assert len(read.walk("VEVENT")) == unfolded.count("BEGIN:VEVENT\r\n")
