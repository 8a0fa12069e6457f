"""Debian's chromium, driven as a person would. Where it is missing, these tests fail and say so."""

import os
import re
import shutil

import pytest
from django.conf import settings
from django.contrib.auth import BACKEND_SESSION_KEY, HASH_SESSION_KEY, SESSION_KEY
from django.contrib.sessions.backends.db import SessionStore
from django.core.cache import cache

CHROMIUM = shutil.which("chromium")
MISSING = "Debian's chromium is missing: install it with  sudo apt-get install -y chromium"
LAPTOP = {"width": 1440, "height": 900}
PHONE = {"width": 390, "height": 844}
QUIET = ["--no-sandbox", "--disable-gpu", "--disable-background-networking", "--no-first-run"]


def pytest_collection_modifyitems(items):
    for item in items:
        if "tests/browser" in str(item.path):
            item.add_marker(pytest.mark.browser)
            item.add_marker(pytest.mark.django_db(transaction=True))


@pytest.fixture(scope="session")
def chromium():
    """One running chromium for all browser tests."""
    if CHROMIUM is None:
        pytest.fail(MISSING)
    os.environ["DJANGO_ALLOW_ASYNC_UNSAFE"] = "1"  # playwright's loop runs in the test's thread
    from playwright.sync_api import sync_playwright

    with sync_playwright() as playwright:
        browser = playwright.chromium.launch(executable_path=CHROMIUM, args=QUIET)
        yield browser
        browser.close()


def session_cookie(user, url):
    """Return the cookie of a new session of `user`, as signing in would give it."""
    session = SessionStore()
    session[SESSION_KEY] = str(user.pk)
    session[BACKEND_SESSION_KEY] = "django.contrib.auth.backends.ModelBackend"
    session[HASH_SESSION_KEY] = user.get_session_auth_hash()
    session.save()
    return {"name": settings.SESSION_COOKIE_NAME, "value": session.session_key, "url": url}


def sign_in(page, user, password="a long enough secret"):
    """Sign in as `user` by the form, typing what a person would."""
    page.goto("/account/login/")
    page.get_by_label(re.compile("E-?mail")).fill(user.email)
    page.get_by_label("Password").fill(password)
    page.get_by_role("button", name="Sign in").click()


@pytest.fixture
def open_page(chromium, live_server):
    """Open pages: `open_page(user, phone=True, dark=True, script=False)`; closed after the test.

    A page's own script errors fail the test.
    """
    contexts, errors = [], []

    def opened(user=None, *, phone=False, dark=False, script=True):
        context = chromium.new_context(
            base_url=live_server.url,
            viewport=PHONE if phone else LAPTOP,
            color_scheme="dark" if dark else "light",
            has_touch=phone,
            java_script_enabled=script,
            accept_downloads=True,
        )
        if user:
            context.add_cookies([session_cookie(user, live_server.url)])
        contexts.append(context)
        page = context.new_page()
        page.on("pageerror", lambda error: errors.append(str(error)))
        return page

    yield opened
    for context in contexts:
        context.close()
    cache.clear()  # its table outlives a browser test, and with it what counts sign-ins
    assert errors == []
