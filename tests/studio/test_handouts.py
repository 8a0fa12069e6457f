"""Sheets on paper: one page each, both papers, right order, nothing fetched, nothing stale."""

import io
import threading
from datetime import date, time

import pikepdf
import pytest
import time_machine
from django.core.cache import caches
from django.db import connection
from django.test.utils import CaptureQueriesContext
from django.urls import reverse
from pypdf import PdfReader

from studio.days.models import AuditionDay
from studio.handouts import pdf
from tests.factories import (
    AuditionDayFactory,
    DeadlineFactory,
    EntryFactory,
    StudentFactory,
    TaskFactory,
    full_entry,
)

DONE = {"state": "done", "done_on": date(2026, 11, 20)}
pytestmark = pytest.mark.django_db

FEBRUARY = date(2027, 2, 6)
SIZES = {"letter": (612, 792), "a4": (595.2756, 841.8898)}
LONG_NAME = "Nguyễn Thị Ánh Dương Řeháková-Žižkovská"


@pytest.fixture(autouse=True)
def november():
    with time_machine.travel("2026-11-25 18:00Z", tick=False):
        yield
    caches["sheets"].clear()


@pytest.fixture
def entry(people):
    entry = EntryFactory(student=people.sam_student, chosen_date__on=FEBRUARY)
    AuditionDayFactory(entry=entry)
    return entry


def sheet(client, entry, paper="letter"):
    response = client.get(reverse("day_sheet", args=[entry.pk]), {"paper": paper})
    assert response["Content-Type"] == "application/pdf"
    return PdfReader(io.BytesIO(response.content))


def crowd(entry):
    """Give an entry's day as much as one ever has."""
    entry.student.name = LONG_NAME
    entry.student.save()
    room = "Recital Hall of the Old Conservatory Building, third floor, far end of the corridor"
    AuditionDay.objects.filter(entry=entry).update(
        check_in_place=room,
        entrance=room,
        parking=room,
        warm_up_room=room[:80],
        audition_room=room[:80],
        bring="\n".join(f"Thing {n} of a long list, with its two spare copies" for n in range(14)),
        extras="\n".join(
            f"{11 + n}:30 Test {n} of the afternoon, hall B (45 min)" for n in range(6)
        ),
        contacts="Desk on the day: 555 0142\nPianist, by text only: 555 0143",
    )


@pytest.mark.parametrize("paper", SIZES)
def test_a_day_sheet_is_one_page_of_the_paper_asked_for(as_student, entry, paper):
    (page,) = sheet(as_student, entry, paper).pages
    size = float(page.mediabox.width), float(page.mediabox.height)
    assert size == pytest.approx(SIZES[paper], abs=0.1)


@pytest.mark.parametrize("paper", SIZES)
def test_a_crowded_day_still_keeps_to_one_page(as_teacher, entry, paper):
    crowd(entry)
    (page,) = sheet(as_teacher, entry, paper).pages
    text = " ".join(page.extract_text().split())
    assert "Řeháková" in text
    assert "Thing 0" in text
    assert "Thing 13" in text
    assert "Confirm times and rooms with the institution before you travel." in text


def test_a_sheet_says_the_same_as_the_page(as_teacher, entry):
    AuditionDay.objects.update(travel_minutes=60, audition_room="214, second floor")
    words = " ".join(sheet(as_teacher, entry).pages[0].extract_text().split())
    page = as_teacher.get(reverse("day", args=[entry.pk]))
    day = page.context["day"]
    for line in day.lines:
        assert line.time in words
        assert line.title in words
    assert day.zone in words
    assert "Audition room" not in day.unknown


def test_unknown_things_are_asked_for_on_paper(as_teacher, entry):
    AuditionDay.objects.update(call=None, check_in_place="")
    words = " ".join(sheet(as_teacher, entry).pages[0].extract_text().split())
    assert "ask the institution" in words
    assert "The call time is not known" in words


def test_a_sheet_carries_its_language_and_title(as_teacher, entry):
    response = as_teacher.get(reverse("day_sheet", args=[entry.pk]))
    with pikepdf.open(io.BytesIO(response.content)) as file:
        root = file.Root
        assert str(root.Lang) == "en"
        assert bool(root.MarkInfo.Marked)
        assert bool(root.ViewerPreferences.DisplayDocTitle)
        assert file.docinfo["/Title"] == "Day sheet, Sam Reyes"


def test_all_faces_are_ours_and_embedded(as_teacher, entry):
    response = as_teacher.get(reverse("day_sheet", args=[entry.pk]))
    with pikepdf.open(io.BytesIO(response.content)) as file:
        fonts = file.pages[0].Resources.Font
        faces = {str(font.DescendantFonts[0].FontDescriptor.FontName) for font in fonts.values()}
        assert faces
        assert all("Anacrusis" in face for face in faces), faces


def test_no_name_stands_in_the_files_name(as_teacher, entry):
    response = as_teacher.get(reverse("day_sheet", args=[entry.pk]))
    assert response["Content-Disposition"] == 'inline; filename="day-sheet.pdf"'
    assert response["Cache-Control"] == "private, no-store"


def walk(tag):
    """Yield the elements of a PDF's structure below `tag`, in order."""
    kids = tag.get("/K", [])
    for kid in kids if isinstance(kids, pikepdf.Array) else [kids]:
        if isinstance(kid, pikepdf.Dictionary):
            yield kid
            yield from walk(kid)


def tag_page(tag):
    """Return the page on which an element stands."""
    own = next((each for each in [tag, *walk(tag)] if "/Pg" in each), None)
    return pikepdf.Page(own["/Pg"])


def test_a_date_prints_a_page_each_in_order_of_the_call(as_teacher, entry, people):
    crowd(entry)
    for name, call in (("Early Bird", time(9)), ("Late Riser", time(15)), ("No Call", None)):
        other = EntryFactory(
            student=StudentFactory(studio=people.studio, name=name),
            audition=entry.audition,
            chosen_date=entry.chosen_date,
        )
        AuditionDayFactory(entry=other, call=call)
    response = as_teacher.get(reverse("day_sheets", args=[FEBRUARY]), {"paper": "letter"})
    pages = [page.extract_text() for page in PdfReader(io.BytesIO(response.content)).pages]
    assert len(pages) == 4
    for page, name in zip(pages, ("Early Bird", "Nguyễn", "Late Riser", "No Call"), strict=True):
        assert name in page
    with pikepdf.open(io.BytesIO(response.content)) as file:
        titles = [tag for tag in walk(file.Root.StructTreeRoot) if tag.get("/S") == "/H1"]
        assert len(titles) == 4, "each sheet keeps its structure"
        assert [file.pages.index(tag_page(tag)) for tag in titles] == [0, 1, 2, 3]
    assert response["Content-Disposition"] == 'inline; filename="day-sheets-2027-02-06.pdf"'


def test_a_date_on_which_nobody_plays_has_no_sheets(as_teacher, entry):
    assert as_teacher.get(reverse("day_sheets", args=["2027-02-07"])).status_code == 404
    assert as_teacher.get("/days/2027-02-30/sheets.pdf").status_code == 404


def test_an_entry_without_a_date_has_no_sheet(as_teacher, entry):
    entry.chosen_date = None
    entry.save()
    assert as_teacher.get(reverse("day_sheet", args=[entry.pk])).status_code == 404


@pytest.mark.parametrize("name", ["day_sheet", "day_sheets"])
def test_sheets_ask_as_often_for_many_students_as_for_one(as_teacher, people, name):
    entry = full_entry(people.sam_student)
    args = [entry.pk if name == "day_sheet" else entry.chosen_date.on]
    counts = []
    for more in (0, 5):
        for n in range(more):
            student = StudentFactory(studio=people.studio, name=f"Student {n}")
            EntryFactory(student=student, audition=entry.audition, chosen_date=entry.chosen_date)
        with CaptureQueriesContext(connection) as asked:
            assert as_teacher.get(reverse(name, args=args)).status_code == 200
        counts.append(len(asked))
    assert counts[0] == counts[1] <= 12


# pdf.py


def test_an_unchanged_sheet_is_drawn_once(as_teacher, entry, monkeypatch):
    drawn = []
    draw = pdf._draw
    monkeypatch.setattr(pdf, "_draw", lambda html: drawn.append(html) or draw(html))
    first = as_teacher.get(reverse("day_sheet", args=[entry.pk])).content
    assert as_teacher.get(reverse("day_sheet", args=[entry.pk])).content == first
    assert len(drawn) == 1
    AuditionDay.objects.update(audition_room="118")
    assert as_teacher.get(reverse("day_sheet", args=[entry.pk])).content != first
    assert len(drawn) == 2


@pytest.mark.parametrize(
    "url", ["http://127.0.0.1:9/x.png", "file:///etc/passwd", "data:text/plain,x", "ftp://x/y"]
)
def test_pages_fetch_nothing(url):
    with pytest.raises(ValueError, match="disallowed"):
        pdf.Nothing().fetch(url)


@pytest.mark.parametrize(
    "url",
    ["https://fonts.example/x.ttf", "file:///etc/passwd", (pdf.STATIC / "../manage.py").as_uri()],
)
def test_the_style_fetches_only_our_own_files(url):
    with pytest.raises(ValueError, match=r"disallowed|not a file of ours"):
        pdf.StaticOnly().fetch(url)


def test_what_people_type_is_drawn_as_text(as_teacher, entry):
    AuditionDay.objects.update(notes='<img src="file:///etc/passwd"> & more')
    words = sheet(as_teacher, entry).pages[0].extract_text()
    assert '<img src="file:///etc/passwd"> & more' in " ".join(words.split())


def test_two_threads_print_one_after_the_other(entry):
    made, page = [], "<html lang=en><title>x</title><p>sheet {}</p>"

    def draw(n):
        made.append(pdf._kept(page.format(n), lambda: pdf._draw(page.format(n))))

    threads = [threading.Thread(target=draw, args=[n]) for n in range(4)]
    for thread in threads:
        thread.start()
    for thread in threads:
        thread.join()
    assert len({*made}) == 4
    assert all(file.startswith(b"%PDF") for file in made)


# The part


@pytest.mark.parametrize("paper", SIZES)
def test_a_part_prints_what_its_page_shows(as_student, people, paper):
    entry = full_entry(people.sam_student)
    response = as_student.get(reverse("part_sheet"), {"paper": paper})
    file = PdfReader(io.BytesIO(response.content))
    size = float(file.pages[0].mediabox.width), float(file.pages[0].mediabox.height)
    assert size == pytest.approx(SIZES[paper], abs=0.1)
    words = " ".join(" ".join(page.extract_text() for page in file.pages).split())
    part = as_student.get(reverse("part")).context["part"]
    assert part.title in words
    assert part.sentence in words
    assert part.next.name in words
    for cue in part.cues:
        assert f"{cue.place}: {cue.task.name}" in words
    for slot in part.next.slots:
        assert slot.pieces[0].name in words
    assert entry.tasks.get().name in words


def test_a_part_names_what_is_done_in_one_line(as_student, people):
    entry = EntryFactory(student=people.sam_student, chosen_date__on=date(2027, 2, 6))
    for name, fields in (("the fee", DONE), ("the transcript", DONE), ("the essay", {})):
        deadline = DeadlineFactory(audition=entry.audition, name=name, on=date(2027, 1, 20))
        TaskFactory(entry=entry, deadline=deadline, on=None, name=f"Send {name}", **fields)
    response = as_student.get(reverse("part_sheet"))
    words = " ".join(PdfReader(io.BytesIO(response.content)).pages[0].extract_text().split())
    assert "Done: the fee, the transcript." in words
    assert "The essay open" in words


def test_staff_print_the_same_part_as_the_student(client, people):
    full_entry(people.sam_student)
    client.force_login(people.ana.user)
    printed = client.get(reverse("student_part_sheet", args=[people.sam_student.pk])).content
    client.force_login(people.sam.user)
    assert client.get(reverse("part_sheet")).content == printed


def test_a_part_without_anything_in_it_still_prints(as_student, people):
    response = as_student.get(reverse("part_sheet"))
    words = PdfReader(io.BytesIO(response.content)).pages[0].extract_text()
    assert "Nothing is open." in words


def test_a_part_asks_as_often_for_many_auditions_as_for_one(as_student, people):
    counts = []
    for more in (1, 6):
        for _ in range(more):
            full_entry(people.sam_student)
        with CaptureQueriesContext(connection) as asked:
            assert as_student.get(reverse("part_sheet")).status_code == 200
        counts.append(len(asked))
    assert counts[0] == counts[1] <= 12
