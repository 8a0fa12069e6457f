"""What every answer says of itself: what may run, who may frame it, how long it may be kept."""

import json
import os
import subprocess
import sys
from http.cookies import SimpleCookie

import pytest
from django.conf import settings
from django.test import Client
from django.urls import reverse

from tests.routes import ROUTES
from tests.studio.hardening.walking import pages

pytestmark = pytest.mark.django_db

STATIC = "/static/js/app.js"
WANTED = {
    "default-src": "'none'",
    "script-src": "'self'",
    "style-src": "'self'",
    "base-uri": "'none'",
    "form-action": "'self'",
    "frame-ancestors": "'none'",
}

OPEN = {"'unsafe-inline'", "'unsafe-eval'", "'unsafe-hashes'", "*", "https:", "http:"}


def policy(answer):
    """Return the Content-Security-Policy of an answer as a dict."""
    parts = (part.strip().partition(" ") for part in answer["Content-Security-Policy"].split(";"))
    return {name: said for name, _, said in parts}


def content(answer):
    """Return what an answer holds, read to its end: there the client closes it by itself."""
    return b"".join(answer) if answer.streaming else answer.content


def answers(clients, rows):
    """Yield (what, answer) of every kind: pages, sheets, files, feeds, refusals, errors."""
    for role in ("owner", "nobody"):
        for name, url in pages(role, rows):
            yield (role, name), clients[role].get(url)
    owner, strict = clients["owner"], Client(enforce_csrf_checks=True)
    yield "static", owner.get(STATIC)
    yield "no such page", owner.get("/nothing-here/")
    yield "no such file", owner.get("/static/nothing.js")
    yield "no such host", owner.get("/", headers={"host": "elsewhere.example"})
    yield "forged", strict.post(reverse("account_login"), {"login": "a@b.example"})
    yield "wrong method", owner.get(reverse("assign", args=[rows["entry"]]))
    yield "no calendar", owner.get(reverse("student_feed", args=["none"]))


def test_every_answer_says_what_may_run_and_who_may_frame_it(clients, rows):
    seen = 0
    for what, answer in answers(clients, rows):
        assert answer.status_code < 500, what
        said = policy(answer)
        assert {name: said.get(name) for name in WANTED} == WANTED, what
        assert not OPEN & set(answer["Content-Security-Policy"].replace(";", " ").split()), what
        assert answer["X-Content-Type-Options"] == "nosniff", what
        assert answer["Referrer-Policy"] == "same-origin", what
        assert answer["Cross-Origin-Opener-Policy"] == "same-origin", what
        assert "Access-Control-Allow-Origin" not in answer or what == "static", what
        assert not {"Server", "X-Powered-By", "Via"} & set(answer.headers), what
        content(answer)
        seen += 1
    assert seen > 100


def test_an_error_says_so_too_and_nothing_else(clients, monkeypatch):
    def fail(*_, **__):
        raise RuntimeError("the secret of the house")

    monkeypatch.setattr("studio.students.views.render", fail)
    answer = clients["owner"].get(reverse("students"))
    assert answer.status_code == 500
    assert policy(answer)["script-src"] == "'self'"
    assert "secret of the house" not in answer.content.decode()
    assert "Traceback" not in answer.content.decode()


def test_every_answer_tells_what_it_is(clients, rows):
    for what, answer in answers(clients, rows):
        kind = answer.get("Content-Type", "")
        held = content(answer)
        assert kind or not held, what
        if kind.startswith("text/"):
            assert "charset=utf-8" in kind.replace('"', ""), what


def test_private_answers_are_kept_nowhere(clients, rows):
    for name, url in pages("owner", rows):
        answer = clients["owner"].get(url)
        if "nobody" not in ROUTES[name].get:
            assert "no-store" in answer["Cache-Control"], name


# A real site: the same settings with HTTPS=1, in a process of their own


DEPLOYED = {
    "HTTPS": "1",
    "SECRET_KEY": "k7-" * 25 + "drawn for this test",
    "ALLOWED_HOSTS": "studio.example.org",
    "SITE_URL": "https://studio.example.org",
    "EMAIL_URL": "dummymail://",
    "DATABASE_URL": "sqlite:///:memory:",
}
ASK = """
import json
from django.test import Client
import django
django.setup()
from django.core.management import call_command
call_command("migrate", verbosity=0)
plain = Client(headers={"host": "studio.example.org"})
safe = Client(headers={"host": "studio.example.org", "x-forwarded-proto": "https"})
asked = {"plain": plain.get("/account/login/?a=1"), "safe": safe.get("/account/login/")}
print(json.dumps({
    name: {
        "status": each.status_code, "headers": dict(each.headers),
        "cookies": each.cookies.output(header=""),
    } for name, each in asked.items()
}))
from django.conf import settings
print(json.dumps({name: getattr(settings, name) for name in %r}, default=str))
"""
SETTINGS = (
    "DEBUG",
    "SESSION_COOKIE_SECURE",
    "SESSION_COOKIE_HTTPONLY",
    "SESSION_COOKIE_SAMESITE",
    "SESSION_COOKIE_NAME",
    "CSRF_COOKIE_SECURE",
    "CSRF_COOKIE_SAMESITE",
    "CSRF_COOKIE_NAME",
    "SESSION_COOKIE_DOMAIN",
    "CSRF_COOKIE_DOMAIN",
)


def in_a_process(folder, code, **changed):
    """Run Python `code`, or the arguments of manage.py, as a real site is set up."""
    environment = {**os.environ, **DEPLOYED, "RUN_DIR": str(folder), **changed}
    environment = {name: value for name, value in environment.items() if value is not None}
    environment["DJANGO_SETTINGS_MODULE"] = "studio.settings"
    command = ["-c", code] if isinstance(code, str) else ["manage.py", *code]
    return subprocess.run(
        [sys.executable, *command],
        cwd=settings.BASE_DIR,
        env=environment,
        capture_output=True,
        text=True,
        timeout=120,
    )


@pytest.fixture(scope="module")
def deployed(tmp_path_factory):
    """What a real site answers over HTTP and HTTPS, and its settings."""
    done = in_a_process(tmp_path_factory.mktemp("site"), ASK % (SETTINGS,))
    assert done.returncode == 0, done.stderr
    told, kept = (json.loads(line) for line in done.stdout.splitlines()[-2:])
    return told, kept


def test_a_real_site_leads_to_https_and_keeps_to_it(deployed):
    answered, _ = deployed
    plain, safe = answered["plain"], answered["safe"]
    assert plain["status"] == 301
    assert plain["headers"]["Location"] == "https://studio.example.org/account/login/?a=1"
    assert "Strict-Transport-Security" not in plain["headers"]  # browsers leave it unread there
    strict = safe["headers"]["Strict-Transport-Security"]
    assert strict == "max-age=31536000; includeSubDomains; preload"


def test_a_real_sites_cookies_go_to_it_alone(deployed):
    answered, kept = deployed
    cookies = SimpleCookie(answered["safe"]["cookies"])
    assert set(cookies) == {kept["CSRF_COOKIE_NAME"]}
    for cookie in cookies.values():
        assert (cookie["secure"], cookie["samesite"], cookie["domain"]) == (True, "Lax", "")
        assert cookie["path"] == "/"
    for name in ("SESSION_COOKIE_NAME", "CSRF_COOKIE_NAME"):
        assert kept[name].startswith("__Host-")
    assert kept["SESSION_COOKIE_SECURE"] and kept["SESSION_COOKIE_HTTPONLY"]
    assert (kept["SESSION_COOKIE_SAMESITE"], kept["SESSION_COOKIE_DOMAIN"]) == ("Lax", None)
    assert kept["DEBUG"] is False


def test_the_sessions_cookie_is_out_of_a_scripts_reach(company):
    client = Client()
    client.post(
        reverse("account_login"),
        {"login": company.ines.user.email, "password": "a long enough secret"},
    )
    cookie = client.cookies[settings.SESSION_COOKIE_NAME]
    assert (cookie["httponly"], cookie["samesite"]) == (True, "Lax")


def test_the_deployment_checks_find_nothing(tmp_path):
    done = in_a_process(tmp_path, ["check", "--deploy", "--fail-level", "WARNING"])
    assert done.returncode == 0
    assert done.stdout == "System check identified no issues (0 silenced).\n"


@pytest.mark.parametrize(
    ("changed", "told"),
    [
        ({"HTTPS": "0"}, "security.W008"),
        ({"DEBUG": "1"}, "security.W018"),
        ({"SECRET_KEY": "short"}, "security.W009"),
        ({"EMAIL_URL": ""}, "running.E001"),
        ({"SITE_URL": "http://studio.example.org"}, "running.E002"),
    ],
)
def test_the_deployment_checks_find_what_is_open(tmp_path, changed, told):
    done = in_a_process(tmp_path, ["check", "--deploy", "--fail-level", "WARNING"], **changed)
    assert done.returncode == 1
    assert told in done.stderr + done.stdout


def test_a_real_site_does_not_start_without_a_key_of_its_own(tmp_path):
    done = in_a_process(tmp_path, ["check"], SECRET_KEY=None)
    assert done.returncode == 1
    assert "Set SECRET_KEY" in done.stderr
