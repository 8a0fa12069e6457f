"""The network of a student's deadlines: the table, what binds, what is too late, the sheet."""

import re
from datetime import date

import pytest
import time_machine
from django.urls import reverse

from studio.entries.bridge import Season
from studio.entries.deadlines_page import DeadlinesPage
from studio.entries.models import Task
from studio.entries.queries import whole_season
from tests.factories import (
    DeadlineFactory,
    EntryFactory,
    LessonCheckFactory,
    TaskFactory,
    UserFactory,
)

pytestmark = [pytest.mark.django_db, pytest.mark.usefixtures("in_january")]


@pytest.fixture
def in_january():
    with time_machine.travel("2027-01-12T18:00:00Z", tick=False):
        yield


@pytest.fixture
def entry(people):
    return EntryFactory(
        student=people.sam_student,
        audition__institution__short_name="Carrow",
        chosen_date__on=date(2027, 3, 6),
    )


@pytest.fixture
def load(people):
    def loaded():
        student = whole_season(people.ines).get(pk=people.sam_student.pk)
        return DeadlinesPage(Season(student), people.ines)

    return loaded


def chain(entry, on, takes, **due):
    """Three tasks one after the other to one deadline; the first takes some days."""
    due = DeadlineFactory(audition=entry.audition, on=on, name="essay", **due)
    write = TaskFactory(entry=entry, deadline=due, on=None, name="Write it", lead=2, takes=takes)
    read = TaskFactory(
        entry=entry, deadline=due, on=None, name="Read it", doer="teacher", after=write
    )
    send = TaskFactory(entry=entry, deadline=due, on=None, name="Send it", after=read, takes=1)
    return write, read, send


def rows(page):
    return {row.cue.name: row for group in page.groups for row in group.rows}


def test_every_task_says_from_when_until_when_and_what_it_waits_for(load, entry):
    chain(entry, date(2027, 2, 1), takes=7)
    write, send = (rows(load())[name] for name in ("Write it", "Send it"))
    assert (write.earliest, write.latest, write.finish) == (
        "Tue 12 Jan",
        "Sat 23 Jan",
        "Sat 30 Jan",
    )
    assert (write.slack, write.waits) == ("11 days", "nothing")
    assert (send.earliest, send.latest, send.finish) == ("Tue 19 Jan", "Sun 31 Jan", "Mon 1 Feb")
    assert "Read it" in send.waits


def test_the_chain_that_binds_is_marked_and_said(load, entry, as_teacher, people):
    chain(entry, date(2027, 2, 1), takes=7)
    TaskFactory(entry=entry, on=date(2027, 2, 20), name="Something else")
    page = load()
    (group,) = page.groups
    assert group.binding.words == "11 days in hand"
    binding = {row.cue.name for row in group.rows if row.binds}
    assert binding == set(group.binding.names)
    assert "Something else" not in binding
    text = as_teacher.get(reverse("deadlines", args=[people.sam_student.pk])).content.decode()
    assert '<span class="deadlines-mark">binds</span>' in text


def test_what_is_impossible_is_said_with_the_fewest_dates_to_move(load, entry, as_teacher, people):
    chain(entry, date(2027, 1, 16), takes=10)
    page = load()
    assert {cue.name for cue in page.impossible} >= {"Send it"}
    (moving,) = page.moves
    assert (moving.move.to, moving.move.days) == (date(2027, 1, 23), 7)
    assert "Carrow essay would have to be taken until Saturday 23 January" in moving.words
    assert moving.ask.startswith("Ask Carrow for an extension")
    (group,) = page.groups
    assert group.binding.words == "too late"
    assert group.binding.names == ("Write it", "Read it", "Send it")
    url = reverse("deadlines", args=[people.sam_student.pk])
    text = as_teacher.get(url).content.decode()
    assert "Too late as things stand" in text
    assert moving.url in text


def test_a_date_of_ones_own_and_the_audition_itself_are_asked_for_elsewhere(load, entry):
    first = TaskFactory(entry=entry, on=date(2027, 1, 20), name="Build the case", takes=70)
    TaskFactory(entry=entry, on=None, of_day=True, name="Pack", after=first)
    asks = {moving.move.kind: moving for moving in load().moves}
    assert "The date is the studio's own" in asks["own date"].ask
    assert asks["own date"].words.startswith("Carrow: Build the case")
    assert asks["deadline"].ask == "Ask Carrow for a later date."
    assert asks["deadline"].url == entry.get_absolute_url() + "#date"


def test_music_that_is_late_asks_for_lessons(load, entry):
    from tests.studio.test_bridge import prepare

    piece = prepare(entry, name="Solo")
    for day, tempo in ((4, 70), (8, 74), (12, 78)):
        on = date(2027, 1, day)
        LessonCheckFactory(student=entry.student, piece=piece, on=on, tempo=tempo, target=112)
    due = DeadlineFactory(audition=entry.audition, kind="recording", on=date(2027, 1, 20))
    fields = {"deadline": due, "on": None, "needs": "pieces ready"}
    TaskFactory(entry=entry, name="Make the recording", **fields)
    (moving,) = load().moves
    assert moving.move.kind == "ready"
    assert moving.url == reverse("lesson", args=[entry.student_id])


def test_an_assistant_reads_and_changes_nothing(client, people, entry):
    write, *_ = chain(entry, date(2027, 1, 16), takes=10)
    client.force_login(people.ana.user)
    text = client.get(reverse("deadlines", args=[people.sam_student.pk])).content.decode()
    assert "Write it" in text
    assert reverse("task_edit", args=[write.pk]) not in text
    assert reverse("deadline_edit", args=[write.deadline_id]) not in text


def test_the_drawing_shows_each_task_between_its_days(load, entry):
    write, read, send = chain(entry, date(2027, 2, 1), takes=7)
    drawing = load().drawing
    (staff,) = drawing.staves
    notes = {note.name: note for note in staff.notes}
    assert len({note.y for note in staff.notes}) == 3
    window = notes["Write it"].window
    assert window[0] == drawing.today < window[1] < notes["Write it"].x < notes["Send it"].x
    assert notes["Send it"].x < staff.fermata < drawing.right
    assert len(staff.slurs) == len(load().groups[0].binding.keys) - 1


def test_done_and_dropped_tasks_leave_the_network(load, entry):
    write, *_ = chain(entry, date(2027, 2, 1), takes=7)
    Task.objects.filter(pk=write.pk).update(state="done", done_on=date(2027, 1, 10))
    page = load()
    assert set(rows(page)) == {"Read it", "Send it"}
    assert page.groups[0].done == 1
    Task.objects.update(state="not needed", done_on=None)
    page = load()
    assert page.groups == []
    assert page.drawing is None


def test_without_tasks_the_page_says_what_comes_next(as_teacher, people):
    url = reverse("deadlines", args=[people.sam_student.pk])
    assert "Tasks come with the auditions" in as_teacher.get(url).content.decode()


def test_tasks_in_a_circle_are_said_to_be(load, entry, as_teacher, people):
    write, _, send = chain(entry, date(2027, 2, 1), takes=7)
    Task.objects.filter(pk=write.pk).update(after=send)
    text = as_teacher.get(reverse("deadlines", args=[people.sam_student.pk])).content.decode()
    assert "wait for each other" in text
    assert "Send it" in text


# The part and the sheet


def test_a_student_prints_their_own_sheet_and_no_others(client, people, entry):
    chain(entry, date(2027, 2, 1), takes=7)
    url = reverse("deadlines_sheet", args=[people.sam_student.pk])
    client.force_login(people.sam.user)
    for paper in ("letter", "a4"):
        response = client.get(url, {"paper": paper})
        assert response["Content-Type"] == "application/pdf"
        assert response.content.startswith(b"%PDF-")
    assert client.get(reverse("deadlines", args=[people.sam_student.pk])).status_code == 404
    client.force_login(people.mia.user)
    assert client.get(url).status_code == 404


def test_somebody_without_a_seat_finds_nothing(client, people, entry):
    client.force_login(UserFactory())
    for name in ("deadlines", "deadlines_sheet"):
        assert client.get(reverse(name, args=[people.sam_student.pk])).status_code == 404


def test_the_sheet_lists_everything_open_by_date(rf, people, entry, load):
    from django.template.loader import render_to_string

    from studio.entries.deadlines_page import DeadlineSheet

    chain(entry, date(2027, 2, 1), takes=7)
    undated = EntryFactory(student=people.sam_student, chosen_date=None, date_state="open")
    TaskFactory(entry=undated, on=None, of_day=True, name="Book the journey")
    sheet = DeadlineSheet(load().season)
    context = {"sheet": sheet, "studio": people.studio, "title": sheet.title, "paper": "a4"}
    html = render_to_string("handouts/deadlines_sheet.html", context)
    said = re.sub(r"<[^>]+>", " ", html)
    months = [month.label for month in sheet.months]
    assert months == ["January", "February"]
    order = [said.index(word) for word in ("Write it", "Read it", "Send it", "Book the journey")]
    assert order == sorted(order)
    assert html.count('<td class="deadlines-box">') == 4
    assert "Teacher" in said


def test_what_is_only_late_by_its_own_date_is_late_not_impossible(load, entry):
    TaskFactory(entry=entry, on=date(2027, 1, 8), name="Book a room")
    page = load()
    assert (page.impossible, page.moves) == ([], [])
    assert page.groups[0].rows[0].slack == "4 days behind"


def test_months_are_named_as_far_as_there_is_room(load, entry):
    TaskFactory(entry=entry, on=date(2027, 4, 20))
    names = [name for _, name in load().drawing.months]
    assert names == ["January 2027", "February", "March", "April"]
    entry.chosen_date.on = date(2028, 1, 30)
    entry.chosen_date.save()
    narrow = [name for _, name in load().drawing.months]
    assert narrow[:4] == ["Jan", "Feb", "March", "April"]
    assert len(narrow) == 13
