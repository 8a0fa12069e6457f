"""What people type is words: stored through every form, asked for in every address, never run."""

import re

import pytest
from django.http import HttpResponse
from django.test import Client
from django.urls import reverse
from django.utils.html import escape

from studio.handouts import pdf
from tests.routes import ROUTES
from tests.studio.hardening.walking import FREE, all_forms, is_page, is_signed_in, pages
from tests.studio.test_access_foreign import asked_in_queries
from tests.studio.test_access_walk import everything
from tests.studio.test_private_pages import poisoned

pytestmark = pytest.mark.django_db

SCRIPT = "<script>alert(1)</script>"
PAYLOAD = f"""{SCRIPT}"'><img src=x onerror=alert(1)>{{{{7*7}}}}{{% now 'Y' %}}"""
RAW = (SCRIPT, "<img src=x", "'><img", '"><img')
ENDS = {  # what would take the page away that others are reached by
    "studio_feed_renew",
    "student_feed_renew",
    "undo",
    "mail_stop",
}


def raw_in(text):
    """Return what stands in a page as markup that was meant as words."""
    return [part for part in RAW if part in text]


def filled(form):
    """Return the form with the payload in every field that takes words, or None without one."""
    free = [name for name, kind in form.kinds.items() if kind in FREE and "__n__" not in name]
    return form.filled(**dict.fromkeys(free, PAYLOAD)) if free else None


def refused_fields(answer):
    """Return the names of the fields that did not take the payload."""
    return re.findall(r'name="([\w-]+)"[^>]*aria-invalid="true"', answer.content.decode())


def store(client, form):
    """Post the payload; where a field refuses it, leave that one as it was. Return the answers."""
    typed = filled(form)
    answers = [client.post(form.action, typed)]
    for _ in range(8):
        if answers[-1].status_code != 422 or not (wrong := refused_fields(answers[-1])):
            break
        for name in wrong:
            typed[name] = form.fields.get(name, [""])
        answers.append(client.post(form.action, typed))
    return answers


@pytest.fixture
def sheets_as_html(monkeypatch):
    """Let the views of sheets answer with the HTML that is drawn."""
    drawn = []
    monkeypatch.setattr(pdf, "_kept", lambda html, make: drawn.append(html) or b"%PDF-1.7")
    return drawn


def test_words_stored_through_every_form_stay_words(clients, rows, company, sheets_as_html):
    client, stored, told = clients["owner"], set(), 0
    for form in all_forms(client, "owner", rows):
        if form.method != "post" or form.route in ENDS or filled(form) is None:
            continue
        for answer in store(client, form):
            told += answer.status_code == 422
            assert answer.status_code < 500, form.route
            assert raw_in(answer.content.decode()) == [], form.route
        if answer.status_code in {200, 302}:
            stored.add(form.route)
    assert is_signed_in(client)
    assert len(stored) > 25, sorted(stored)
    assert told > 10

    shown = 0
    for role in clients:
        for name, url in pages(role, rows):
            answer = clients[role].get(url)
            assert answer.status_code < 500, (role, name)
            if is_page(answer):
                text = answer.content.decode()
                assert raw_in(text) == [], (role, name)
                shown += escape(SCRIPT) in text
                assert not re.search(r"onerror=alert\(1\)(&gt;|>)49", text), (role, name)
    assert shown > 40
    assert len(sheets_as_html) > 5
    assert any(escape(SCRIPT) in html for html in sheets_as_html)
    assert [part for html in sheets_as_html for part in raw_in(html)] == []


def test_sheets_and_letters_show_words_of_every_column_as_words(company, rows, sheets_as_html):
    poisoned(everything())
    for role in ("ines", "sam"):
        client = Client()
        client.force_login(getattr(company, role).user)
        for name in ("part_sheet", "student_part_sheet", "day_sheet", "readiness_sheet"):
            if {"ines": "owner"}.get(role, role) in ROUTES[name].get:
                client.get(reverse(name, args=ROUTES[name].args(rows)))
    assert len(sheets_as_html) >= 4
    assert [html for html in sheets_as_html if "<script>" in html or "<img" in html] == []


# Reflected


@pytest.mark.parametrize("role", ["owner", "sam", "nobody"])
def test_words_in_any_query_stay_words(clients, rows, role):
    names = sorted({"".join(pair) for pair in asked_in_queries()} | {"next", "error", "message"})
    assert len(names) > 10
    seen = 0
    for name, url in pages(role, rows):
        answer = clients[role].get(url, dict.fromkeys(names, PAYLOAD))
        assert answer.status_code < 500, name
        if is_page(answer):
            assert raw_in(answer.content.decode()) == [], name
            seen += 1
    assert seen > {"owner": 90, "sam": 10, "nobody": 6}[role]


@pytest.mark.parametrize(
    "path",
    [
        "/nothing/{}/",
        "/students/{}/",
        "/invitations/{}/",
        "/calendar/{}/part.ics",
        "/mail/{}/",
        "/days/{}/sheets.pdf",
        "/static/{}.js",
        "/{}",
    ],
)
def test_words_in_the_path_stay_words(clients, path):
    for role in ("owner", "nobody"):
        answer = clients[role].get(path.format(PAYLOAD))
        assert answer.status_code in {302, 404}
        text = b"".join(answer).decode() if answer.streaming else answer.content.decode()
        assert raw_in(text) == []


def test_markup_let_through_would_be_found(clients, rows, monkeypatch):
    def careless(*_, **__):
        return HttpResponse(f"<p>{PAYLOAD}</p>")

    monkeypatch.setattr("studio.students.views.render", careless)
    answer = clients["owner"].get(reverse("students"))
    assert len(raw_in(answer.content.decode())) == 3
