"""Nobody is led from one of our addresses to another site."""

from urllib.parse import quote, urljoin, urlsplit

import pytest
from django.shortcuts import redirect
from django.urls import reverse

from studio.accounts.pages import next_url
from tests.routes import ROUTES
from tests.studio.hardening.walking import all_forms, forms_in, is_page, is_signed_in, pages, undone

pytestmark = pytest.mark.django_db

ELSEWHERE = (
    "https://evil.example/",
    "//evil.example",
    "///evil.example",
    "////evil.example/",
    "https:evil.example",
    "https:/evil.example",
    "https:///evil.example",
    r"\\evil.example",
    r"/\evil.example",
    r"\/evil.example",
    "/\t/evil.example",
    "\n//evil.example",
    "/\r\n/evil.example",
    "%2f%2fevil.example",
    "javascript:alert(1)",
    "JaVaScRiPt:alert(1)",
    "data:text/html,x",
    "http://testserver@evil.example/",
    "http://testserver.evil.example/",
    "//testserver:80@evil.example/",
    "/x\r\nSet-Cookie: a=b",
    " https://evil.example/",
    "\x00//evil.example",
    "https://evil.example\\@testserver/",
)


def leads_away(location):
    """Whether a browser would leave the site; browsers drop tabs and breaks, and turn \\ to /."""
    plain = "".join(letter for letter in location if letter > "\x1f").strip().replace("\\", "/")
    there = urlsplit(urljoin("http://testserver/here/", plain))
    return there.scheme not in {"http", "https"} or there.hostname != "testserver"


@pytest.mark.parametrize("wanted", ELSEWHERE)
def test_no_page_of_another_site_is_a_next_one(rf, wanted):
    for request in (rf.post("/here/", {"next": wanted}), rf.get("/here/", {"next": wanted})):
        found = next_url(request, "/ours/")
        assert not leads_away(found)
        assert not {"\r", "\n", "\x00"} & set(redirect(found)["Location"])


def test_a_page_of_ours_is_one(rf):
    assert next_url(rf.post("/here/", {"next": "/students/?q=a#b"}), "/ours/") == "/students/?q=a#b"


@pytest.mark.parametrize("role", ["owner", "sam"])
def test_no_form_leads_away(clients, rows, role):
    client, led = clients[role], 0
    for form in all_forms(client, role, rows):
        if form.method != "post":
            continue
        for wanted in ("//evil.example", r"/\evil.example", "javascript:alert(1)"):
            with undone(client):
                address = f"{form.action}{'&' if '?' in form.action else '?'}next={quote(wanted)}"
                answer = client.post(address, form.filled(next=wanted))
                if answer.status_code in {301, 302, 303}:
                    led += 1
                    assert not leads_away(answer.url), (form.route, wanted)
                assert not leads_away(answer.get("HX-Redirect", "/"))
    assert is_signed_in(client)
    assert led > (60 if role == "owner" else 5)


@pytest.mark.parametrize("role", ["owner", "nobody"])
def test_no_page_links_away_because_its_address_says_so(clients, rows, role):
    client, seen = clients[role], 0
    for name, url in pages(role, rows):
        for wanted in ("//evil.example", "javascript:alert(1)"):
            answer = client.get(url, {"next": wanted, "back": wanted, "url": wanted})
            if answer.status_code in {301, 302}:
                assert not leads_away(answer.url), name
            elif is_page(answer):
                seen += 1
                text = answer.content.decode()
                assert f'href="{wanted}' not in text, name
                assert all(not leads_away(form.action) for form in forms_in(answer, url)), name
    assert seen > (100 if role == "owner" else 10)


@pytest.mark.parametrize("wanted", ELSEWHERE)
def test_signing_in_leads_to_pages_of_ours_alone(client, company, wanted):
    typed = {"login": company.ines.user.email, "password": "a long enough secret", "next": wanted}
    answer = client.post(reverse("account_login"), typed)
    assert answer.status_code == 302
    assert not leads_away(answer.url)


@pytest.mark.parametrize("name", ["student", "history", "workbook_export"])
def test_whoever_signs_in_is_led_back_to_this_site(client, rows, name):
    url = reverse(name, args=ROUTES[name].args(rows))
    answer = client.get(url, headers={"x-forwarded-host": "evil.example"})
    assert not leads_away(answer.url)
    assert answer.url == f"{reverse('account_login')}?next={url}"
