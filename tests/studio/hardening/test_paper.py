"""Drawing a sheet fetches nothing: not from the network, not from the disk, not into the file."""

import io
import threading
from contextlib import suppress
from http.server import BaseHTTPRequestHandler, HTTPServer

import pypdf
import pytest
from django.db import models
from django.test import Client
from django.urls import reverse

from studio.accounts.models import Change
from studio.handouts import pdf
from tests.routes import ROUTES
from tests.studio.test_access_walk import everything

MARK = "Nobody is to read this line"


@pytest.fixture
def listener():
    """A server of our own that notes who asks: (address, what was asked)."""
    asked = []

    class Note(BaseHTTPRequestHandler):
        def do_GET(self):
            asked.append(self.path)
            self.send_response(204)
            self.end_headers()

        def log_message(self, *_):
            pass

    server = HTTPServer(("127.0.0.1", 0), Note)
    thread = threading.Thread(target=server.serve_forever, daemon=True)
    thread.start()
    yield f"http://127.0.0.1:{server.server_port}", asked
    server.shutdown()
    server.server_close()
    thread.join()


@pytest.fixture
def secret(tmp_path):
    """A file of this machine, as an address."""
    path = tmp_path / "secret.txt"
    path.write_text(MARK)
    return path.as_uri()


def greedy(url):
    """Return each way in which markup asks for what lies at an address."""
    return (
        f'<img src="{url}">',
        f'<link rel=stylesheet href="{url}">',
        f'<link rel=attachment href="{url}">',
        f'<a rel=attachment href="{url}">x</a>',
        f"<style>@import url({url}); p {{ background: url({url}) }}</style>",
        f'<p style="background: url({url})">x</p>',
        f"<style>@font-face {{ font-family: x; src: url({url}) }} p {{ font-family: x }}</style>",
        f'<svg width=9 height=9><image href="{url}" width=9 height=9 /></svg>',
        f'<svg><use href="{url}#a"/></svg>',
        f'<object data="{url}"></object>',
        f'<embed src="{url}">',
        f'<base href="{url}"><img src=x>',
        f'<p style="content: url({url}); list-style: url({url})">x</p>',
    )


def drawn(html):
    """Return a PDF as it is drawn for people; markup is in it as markup."""
    with suppress(ValueError):
        return pdf._draw(f"<html lang=en><title>x</title><body>{html}").write_pdf(**pdf.OPTIONS)
    return b""


@pytest.mark.parametrize("at", range(len(greedy(""))))
def test_even_markup_that_came_through_fetches_nothing(at, listener, secret):
    address, asked = listener
    for url in (f"{address}/x", secret):
        made = drawn(greedy(url)[at])
        if made:
            assert held(made) == ("", 0)
    assert asked == []


def held(made):
    """Return (the mark, if it can be read; how many files are in it) of a PDF."""
    read = pypdf.PdfReader(io.BytesIO(made))
    text = " ".join(page.extract_text() for page in read.pages)
    notes = [note.get_object() for page in read.pages for note in page.get("/Annots", ())]
    pinned = sum(note["/Subtype"] == "/FileAttachment" for note in notes)
    return MARK if MARK in text else "", len(read.attachments) + pinned


def test_the_listener_hears_and_the_mark_is_found(listener, secret):
    """The same pages drawn without the guard: so the test above could fail."""
    import weasyprint

    address, asked = listener
    for html in greedy(f"{address}/x"):
        with suppress(ValueError):
            weasyprint.HTML(string=html).write_pdf()
    assert len(asked) > 5
    for html in greedy(secret)[2:4]:
        assert held(weasyprint.HTML(string=html).write_pdf()) == ("", 1)


@pytest.mark.django_db
def test_words_of_every_field_reach_sheets_and_fetch_nothing(company, rows, listener, secret):
    address, asked = listener
    greedy_of_all(everything(), f'<img src="{address}/x"><a rel=attachment href="{secret}">')
    for role, seat in (("owner", company.ines), ("sam", company.sam)):
        client, seen = Client(), 0
        client.force_login(seat.user)
        for name, route in ROUTES.items():
            if not name.endswith("_sheet") or role not in route.get:
                continue
            answer = client.get(reverse(name, args=route.args(rows)))
            if answer.get("Content-Type") == "application/pdf":
                assert held(answer.content) == ("", 0), name
                seen += 1
        assert seen >= 3
    assert asked == []


def greedy_of_all(rows, text, start=""):
    """Write `start`, the row's number and `text` into every text of every row that has the room."""
    for model, some in rows.items():
        names = [
            field.attname
            for field in model._meta.concrete_fields
            if isinstance(field, models.CharField | models.TextField)
            and not (field.choices or field.unique or "token" in field.name)
            and field.name not in {"season", "country", "password", "secret_hash", "points"}
            and not field.name.endswith("zone")
            and (field.max_length or 10_000) > len(text) + 5
        ]
        for row in some if names and model is not Change else ():
            kept = model._base_manager.filter(pk=row["id"])
            kept.update(**dict.fromkeys(names, f"{start}{row['id']}{text}"))
