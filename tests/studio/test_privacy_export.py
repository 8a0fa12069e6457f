"""What is taken along: all that is stored about one student, and nothing about another."""

import io
import json
import re
import zipfile
from html.parser import HTMLParser

import pytest
from django.test import Client
from django.urls import reverse

from studio.accounts import history
from studio.accounts.models import Change
from studio.privacy import holdings
from tests.factories import LessonCheckFactory, StudioDayFactory
from tests.studio.leavings import EMAIL, NAME, NOTES, PARENT, full_student

pytestmark = pytest.mark.django_db


def taken(who, student):
    """Return (response, data.json, about.html) of what `who` takes along."""
    client = Client()
    client.force_login(who.user)
    response = client.get(reverse("student_export", args=[student.pk]))
    with zipfile.ZipFile(io.BytesIO(response.content)) as files:
        assert files.namelist() == ["data.json", "about.html"]
        about = files.read("about.html").decode()
        return response, json.loads(files.read("data.json")), about


@pytest.fixture
def zeb(people):
    return full_student(people.studio, people.mia_student)


@pytest.fixture
def parent(zeb):
    return zeb.guardians.get(name=PARENT).membership


def test_every_row_is_there(people, zeb):
    _, data, about = taken(people.ines, zeb)
    for line in holdings.HOLDINGS:
        assert len(data["kinds"][line.model]) == line.of(zeb.pk).count() or line.model == (
            "accounts.change"
        ), line.model
    (row,) = data["kinds"]["students.student"]
    assert (row["name"], row["email"], row["notes"]) == (NAME, EMAIL, NOTES)
    assert row["instrument"] == "Horn"
    (log, *_) = data["kinds"]["entries.practicelog"]
    assert log["minutes"] == zeb.practice_logs.first().minutes
    assert NAME in about and NOTES in about


def test_the_history_is_there(people, zeb):
    with history.acting(people.theo.user):
        zeb.town = "Elsewhere-on-Sea"
        zeb.save()
    told = taken(people.ines, zeb)[1]["kinds"]["accounts.change"]
    (last,) = [row for row in told if row["by"] == "Theo Brandt"]
    assert (last["before"]["town"], last["after"]["town"]) == (
        "Vexleigh-under-Crook",
        "Elsewhere-on-Sea",
    )
    assert len(told) >= Change.objects.filter(student_pk=zeb.pk).count()


def test_what_is_secret_is_not(people, zeb):
    _, data, about = taken(people.ines, zeb)
    text = json.dumps(data) + about
    user = zeb.membership.user
    for secret in (zeb.feed_token, user.password, user.usersession_set.get().session_key):
        assert secret not in text
    assert '"secret' not in text


def test_the_student_and_their_guardian_get_what_they_may_see(people, zeb, parent):
    for who in (zeb.membership, parent):
        _, data, about = taken(who, zeb)
        text = json.dumps(data) + about
        assert NOTES not in text and PARENT not in text
        assert not {"entries.wish", "entries.datewish", "students.guardian"} & set(data["kinds"])
        assert all(row["model"] != "entries.wish" for row in data["kinds"]["accounts.change"])
        assert {"entries.lessoncheck", "entries.task", "days.auditionday"} <= set(data["kinds"])
        assert ("usersessions.usersession" in data["kinds"]) == (who == zeb.membership)


def test_another_student_is_named_nowhere(people, zeb, parent):
    mia = people.mia_student
    both = StudioDayFactory(studio=people.studio, name="Duet of Mia Okafor and another")
    both.students.set([zeb, mia])
    LessonCheckFactory(student=zeb, note="Better than Mia Okafor, mia okafor’s too")
    zeb.notes = "Sister of Mia Okafor"
    zeb.save()
    for who in (people.ines, zeb.membership, parent):
        _, data, about = taken(who, zeb)
        assert "mia okafor" not in (json.dumps(data) + about).casefold()
        assert "another student" in about
    assert NAME not in json.dumps(taken(people.ines, mia)[1])


def test_the_page_reads_as_the_site_does(people, zeb):
    zeb.lesson_day, zeb.at_school = 0, True
    zeb.save()
    about = taken(people.ines, zeb)[2]
    row = taken(people.ines, zeb)[1]["kinds"]["students.student"][0]
    assert (row["lesson_day"], row["at_school"]) == (0, True)
    for words in ("<td>Monday</td>", "<td>yes</td>", "Day of the lesson", "In a lesson"):
        assert words in about, words
    assert "<td>True</td>" not in about and "<td>None</td>" not in about


class Loads(HTMLParser):
    """What a page would load or run."""

    def __init__(self):
        super().__init__()
        self.found = []

    def handle_starttag(self, tag, attrs):
        names = {name for name, _ in attrs}
        loads = tag in {"script", "link", "img", "iframe", "style", "object", "a"}
        if loads or names & {"src", "href"} or any(name.startswith("on") for name in names):
            self.found.append(tag)


HOSTILE = '<script>x</script>"; filename="a.exe"\r\nSet-Cookie: a=b <img src=x onerror=y>'


def test_hostile_names_change_neither_headers_nor_page(people, zeb):
    zeb.name = HOSTILE
    zeb.save()
    response, data, about = taken(people.ines, zeb)
    assert data["student"] == HOSTILE
    page = Loads()
    page.feed(about)
    assert page.found == []
    assert re.fullmatch(r'attachment; filename="[\w.-]+"', response["Content-Disposition"])
    assert "Set-Cookie" not in response.headers and "no-store" in response["Cache-Control"]
