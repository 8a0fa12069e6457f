"""Numbers beyond all numbers, broken letters and what is no date, in every field of every form."""

from itertools import cycle
from urllib.parse import quote_plus

import pytest

from studio.accounts.models import Change
from tests.studio.hardening.walking import all_forms, is_signed_in, pages, undone
from tests.studio.test_access_foreign import asked_in_queries

pytestmark = pytest.mark.django_db

BEYOND = "9" * 20  # more than a column of 64 bits holds
LONG = "9" * 5_000  # more digits than Python makes an int of
NO_LETTER = b"\xed\xa0\x80"  # half a surrogate pair, which is no UTF-8
HOSTILE = (
    BEYOND,
    "-" + LONG,
    "NaN",
    "1e400",
    "²",
    "12\x00",
    NO_LETTER,
    "x" * 20_000,
    "0001-01-01",
    "99:99",
)
TYPED = {"number", "date", "time", "select", "radio", "checkbox"}  # never takes any of ODD
NEW_ROWS = ("row1-", "row2-", "row3-", "row__n__")  # row0 stands for them
ODD = (BEYOND, "1\x00", NO_LETTER)
FORM = "application/x-www-form-urlencoded"


def encoded(fields):
    """Return a form's body; bytes stand as they are, letters or not."""
    pairs = [
        (name, value)
        for name, values in fields.items()
        for value in (values if isinstance(values, list) else [values])
    ]
    return "&".join(f"{quote_plus(name)}={quote_plus(value)}" for name, value in pairs)


def post(client, form, fields):
    return client.post(form.action, encoded(fields), content_type=FORM)


def posted_forms(clients, rows, role):
    return [form for form in all_forms(clients[role], role, rows) if form.method == "post"]


@pytest.mark.parametrize(("role", "least"), [("owner", 90), ("sam", 8), ("gil", 1), ("paz", 1)])
def test_no_form_breaks_on_what_no_browser_sends(clients, rows, role, least):
    client, broken = clients[role], []
    forms = posted_forms(clients, rows, role)
    assert len(forms) >= least
    for form in forms:
        for value in HOSTILE:
            with undone(client):
                answer = post(client, form, dict.fromkeys(form.kinds, value))
                if answer.status_code >= 500:
                    broken.append((form.route, value[:25]))
    assert is_signed_in(client)
    assert broken == []


@pytest.mark.parametrize("role", ["owner", "sam"])
def test_a_typed_field_takes_nothing_that_is_not_of_its_kind(clients, rows, role):
    client, broken, written, tried = clients[role], [], [], 0
    odd = cycle(ODD)
    for form in posted_forms(clients, rows, role):
        for name, kind in form.kinds.items():
            if kind not in TYPED or name.startswith(NEW_ROWS):
                continue
            value, tried = next(odd), tried + 1
            with undone(client):
                before = Change.objects.count()
                answer = post(client, form, form.filled(**{name: value}))
                if answer.status_code >= 500:
                    broken.append((form.route, name, value))
                if Change.objects.count() != before and kind != "checkbox":
                    written.append((form.route, name, value))
    assert is_signed_in(client)
    assert tried > (300 if role == "owner" else 5)
    assert (broken, written) == ([], [])


@pytest.mark.parametrize("role", ["owner", "sam", "nobody"])
def test_no_page_breaks_on_what_its_address_asks(clients, rows, role):
    names = ["".join(pair) for pair in asked_in_queries()]
    broken, tried = [], 0
    for name, url in pages(role, rows):
        for value in (BEYOND, "-" + LONG, "1\x00", NO_LETTER, "NaN", "²", "9999-12-31"):
            answer = clients[role].get(f"{url}?{encoded(dict.fromkeys(names, value))}")
            tried += 1
            if answer.status_code >= 500:
                broken.append((name, value[:25]))
    assert tried > (600 if role == "owner" else 40)
    assert broken == []


@pytest.mark.parametrize("url", ["/students/?q=a%00", "/students/%00/", "/calendar/%00/part.ics"])
def test_an_address_with_a_zero_byte_is_refused(clients, url):
    for role in ("owner", "nobody"):
        assert clients[role].get(url).status_code == 400
