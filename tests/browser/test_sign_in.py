"""A passkey is added and opens the way by itself, in a browser with a device that is made up."""

import re

from django.urls import reverse

from studio.accounts.models import Role
from tests.browser.conftest import sign_in
from tests.factories import StudioFactory, seat

DEVICE = {
    "protocol": "ctap2",
    "transport": "internal",
    "hasResidentKey": True,
    "hasUserVerification": True,
    "isUserVerified": True,
    "automaticPresenceSimulation": True,
}


def with_device(page):
    """Give the page's browser a device that says yes."""
    device = page.context.new_cdp_session(page)
    device.send("WebAuthn.enable")
    device.send("WebAuthn.addVirtualAuthenticator", {"options": DEVICE})


def test_a_passkey_signs_in_by_itself(open_page):
    ines = seat(StudioFactory(two_factor=True), Role.OWNER).user
    page, said = open_page(), []
    page.on("console", lambda message: said.append(message.text))
    with_device(page)
    sign_in(page, ines)
    page.get_by_text("asks for a second factor").wait_for()
    page.get_by_role("link", name="Add a passkey").click()
    page.get_by_label("Password").fill("a long enough secret")
    page.get_by_role("button", name="Go on").click()
    page.get_by_label("Sign in with it alone").check()
    page.get_by_role("button", name="Add it").click()
    page.get_by_role("heading", name="Recovery codes").wait_for()
    page.get_by_role("button", name="Sign out").click()
    page.goto(reverse("account_login"))
    page.get_by_role("button", name="Use a passkey").click()
    page.get_by_role("heading", name="No students yet").wait_for()
    assert [text for text in said if "Content Security Policy" in text] == []


def test_a_device_that_gives_none_is_told(open_page):
    page = open_page()
    with_device(page)  # which knows no passkey
    page.goto(reverse("account_login"))
    page.get_by_role("button", name="Use a passkey").click()
    page.get_by_role("alert").get_by_text("No passkey came from your device").wait_for()


def test_without_script_there_is_no_button_for_it(open_page):
    page = open_page(script=False)
    page.goto(reverse("account_login"))
    assert not page.get_by_role("button", name="Use a passkey").is_visible()
    assert page.get_by_role("link", name=re.compile("code instead")).is_visible()
