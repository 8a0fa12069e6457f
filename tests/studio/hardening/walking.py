"""Every form of every page, as a browser finds it: where it posts, and what it would post."""

from contextlib import contextmanager
from dataclasses import dataclass, field
from html.parser import HTMLParser
from urllib.parse import urljoin, urlsplit

from django.db import transaction
from django.urls import Resolver404, resolve, reverse

from tests.routes import ROUTES

FREE = {"text", "search", "textarea"}  # what takes any words
NUMBERS = {"number"}
LEAVE = {"account_logout"}  # ends the walk
VOID = {"input", "br", "img", "meta", "link", "hr"}


@dataclass
class Form:
    """A form of a page.

    fields: what a browser would post, lists of values by name; kinds: the kind of each field, also
    of those that would not be posted as they stand.
    """

    page: str
    action: str
    method: str
    fields: dict = field(default_factory=dict)
    kinds: dict = field(default_factory=dict)

    @property
    def route(self):
        """The name of the route that it posts to; None where there is none."""
        try:
            return resolve(urlsplit(self.action).path).url_name
        except Resolver404:
            return None

    def filled(self, **values):
        """Return what is posted with some values put in; lists of values stay lists."""
        kept = {k: v for k, v in self.fields.items() if k != "csrfmiddlewaretoken"}
        return kept | values


class FormReader(HTMLParser):
    """Collects the forms of a page; fields that name their form by its id are put there too."""

    def __init__(self, url):
        super().__init__()
        self.url, self.forms, self._named = url, [], {}
        self._here = self._select = self._area = None

    def handle_starttag(self, tag, attrs):
        attrs = dict(attrs)
        if tag == "form":
            action = urljoin(self.url, attrs.get("action") or self.url)
            self._here = Form(self.url, action, attrs.get("method", "get").lower())
            self.forms.append(self._here)
            self._named[attrs.get("id")] = self._here
        elif tag == "option" and self._select:
            self._option(attrs)
        elif attrs.get("name") and tag in {"input", "textarea", "select", "button"}:
            self._field(tag, attrs)

    def _field(self, tag, attrs):
        form = self._named.get(attrs.get("form"), self._here)
        if form is None:
            return
        name, kind = attrs["name"], attrs.get("type", "text") if tag == "input" else tag
        form.kinds.setdefault(name, kind)
        if tag == "select":
            self._select = (form, name)
        elif tag == "textarea":
            self._area = (form, name)
            form.fields.setdefault(name, []).append("")
        elif kind in {"checkbox", "radio"}:
            if "checked" in attrs:
                form.fields.setdefault(name, []).append(attrs.get("value", "on"))
        elif tag == "input" and kind not in {"submit", "button", "file"}:
            form.fields.setdefault(name, []).append(attrs.get("value", ""))

    def _option(self, attrs):
        form, name = self._select
        if "selected" in attrs:
            form.fields.setdefault(name, []).append(attrs.get("value", ""))

    def handle_endtag(self, tag):
        if tag == "form":
            self._here = None
        elif tag == "select":
            self._select = None
        elif tag == "textarea":
            self._area = None

    def handle_data(self, data):
        if self._area:
            form, name = self._area
            values = form.fields[name]
            values[-1] = (values[-1] + data).removeprefix("\n")


def forms_in(page, url):
    """Return the Forms of an answer."""
    reader = FormReader(url)
    reader.feed(page.content.decode())
    return reader.forms


def pages(role, rows):
    """The pages that `role` reads, as (route, address)."""
    for name, route in ROUTES.items():
        if role in route.get and name not in LEAVE:
            yield name, reverse(name, args=route.args(rows))


def is_page(answer):
    """Whether an answer is a page to read."""
    return not answer.streaming and answer["Content-Type"].startswith("text/html")


def all_forms(client, role, rows):
    """Return each form that `role` comes across, once: what posts the same fields to a route."""
    found = {}
    for _, url in pages(role, rows):
        answer = client.get(url)
        if not is_page(answer) or answer.status_code != 200:
            continue
        for form in forms_in(answer, url):
            if form.route not in LEAVE:
                found.setdefault((form.route, form.method, *sorted(form.kinds)), form)
    return list(found.values())


@contextmanager
def undone(client):
    """Take back what is written meanwhile, also in the client: who signs in somewhere else goes."""
    cookies = client.cookies.copy()
    with transaction.atomic():
        yield
        transaction.set_rollback(True)
    client.cookies = cookies


def is_signed_in(client):
    """Whether the client still is who it was: a walk that lost its session walks nowhere."""
    return "_auth_user_id" in client.session
