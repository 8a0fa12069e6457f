"""Pages with a secret in their address still let a browser send their forms."""

from django.urls import reverse

from studio.accounts.models import Invitation, Role
from tests.factories import StudioFactory, seat


def test_somebody_invited_joins_from_the_page(open_page):
    studio = StudioFactory(name="Riverside Strings")
    empty = studio.memberships.create(role=Role.OWNER)
    link = Invitation.issue(empty, "first@riverside.example")
    page = open_page()
    page.goto(link)
    page.get_by_label("Your name").fill("F. Owner")
    page.get_by_label("Password").fill("a long enough secret")
    page.get_by_role("button", name="Join the studio").click()
    page.get_by_role("heading", name="No students yet").wait_for()


def test_a_calendar_gets_a_new_address_from_the_page(open_page):
    owner = seat(StudioFactory(), Role.OWNER)
    page = open_page(owner.user)
    page.goto(reverse("studio_feed"))
    before = page.get_by_label("Copy this").input_value()
    page.get_by_role("button", name="Take a new address").click()
    page.wait_for_function("old => document.getElementById('feed-url').value !== old", arg=before)
