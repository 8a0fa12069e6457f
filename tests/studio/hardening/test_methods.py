"""Only what a page is made for changes anything: no other method, no header that pretends."""

import pytest
from django.test import Client
from django.urls import reverse

from studio.accounts.models import Change
from tests.routes import ROUTES
from tests.studio.hardening.walking import LEAVE, undone
from tests.studio.test_access_walk import everything, turned_away

pytestmark = pytest.mark.django_db

OTHERS = ("HEAD", "OPTIONS", "TRACE", "PUT", "PATCH", "DELETE", "CONNECT", "BREW")
SAFE = ("GET", "HEAD", "OPTIONS", "TRACE")
PRETEND = {
    "X-HTTP-Method-Override": "POST",
    "X-HTTP-Method": "DELETE",
    "X-Method-Override": "DELETE",
}
TRUSTED_BY_NOBODY = (
    {"X-Forwarded-User": "ines"},
    {"X-Remote-User": "ines", "Remote-User": "ines"},
    {"X-Original-URL": "/students/", "X-Rewrite-URL": "/students/"},
    {"X-Forwarded-For": "127.0.0.1", "X-Real-IP": "127.0.0.1"},
    {"HX-Request": "true", "HX-Boosted": "true"},
    {"HX-Request": "true", "HX-Target": "main", "HX-Trigger": "task"},
    {"HX-Request": "true", "HX-Prompt": "yes", "HX-History-Restore-Request": "true"},
)


@pytest.mark.parametrize("role", ["owner", "sam", "nobody"])
def test_no_method_breaks_a_page_and_no_safe_one_changes_anything(clients, rows, role):
    client, before = clients[role], everything()
    for name, route in ROUTES.items():
        if name in LEAVE:
            continue
        url = reverse(name, args=route.args(rows))
        for method in OTHERS:
            with undone(client):
                answer = client.generic(method, url, headers=PRETEND)
                assert answer.status_code < 500, (name, method)
                if method in SAFE:
                    assert not Change.objects.exclude(pk__in=_known(before)).exists(), name
        with undone(client):
            client.get(url, headers=PRETEND)
            assert not Change.objects.exclude(pk__in=_known(before)).exists(), name
    assert everything() == before


def _known(before):
    return [row["id"] for row in before[Change]]


@pytest.mark.parametrize("method", ["PUT", "PATCH", "DELETE", "BREW"])
def test_methods_of_others_do_nothing_where_acts_are_posted(clients, rows, method):
    before, tried = everything(), 0
    for name, route in ROUTES.items():
        if route.post and not route.get:
            url = reverse(name, args=route.args(rows))
            assert clients["owner"].generic(method, url).status_code == 405, name
            tried += 1
    assert tried > 20
    assert everything() == before


@pytest.mark.parametrize("headers", TRUSTED_BY_NOBODY)
def test_no_header_opens_a_page(clients, rows, headers):
    private = [name for name, route in ROUTES.items() if route.get and "sam" not in route.get]
    assert len(private) > 60
    for name in private:
        url = reverse(name, args=ROUTES[name].args(rows))
        assert turned_away(clients["sam"].get(url, headers=headers), nobody=False), name
        answer = clients["nobody"].get(url, headers=headers)
        assert turned_away(answer, nobody=True) or "HX-Redirect" in answer, name


def test_an_act_is_posted_from_a_page_of_ours(company, rows):
    strict = Client(enforce_csrf_checks=True, raise_request_exception=False)
    strict.force_login(company.ines.user)
    before, tried = everything(), 0
    for name, route in ROUTES.items():
        if "owner" not in route.post or name in LEAVE | {"mail_stop"}:
            continue
        url = reverse(name, args=route.args(rows))
        for headers in ({}, {"HX-Request": "true"}, {"Origin": "https://evil.example"}):
            assert strict.post(url, headers=headers).status_code == 403, name
        tried += 1
    assert tried > 60
    assert everything() == before
