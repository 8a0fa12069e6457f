"""Every page that can be opened: accessible in light and dark, whole on a phone, quiet."""

import pytest
from axe_playwright_python.sync_playwright import Axe
from django.urls import reverse

from tests.routes import ROUTES, make_rows

RULES = {"runOnly": ["wcag2a", "wcag2aa", "wcag21a", "wcag21aa", "wcag22aa", "best-practice"]}
NOT_PAGES = (".pdf", ".ics", ".xlsx", ".zip")


@pytest.fixture
def addresses(people):
    """The pages by who opens them, as (role, route, address)."""
    rows = make_rows(people)

    def of(role):
        for name, route in ROUTES.items():
            url = reverse(name, args=route.args(rows))
            if role in route.get and not url.endswith(NOT_PAGES):
                yield name, url

    return of


@pytest.mark.parametrize("role", ["nobody", "owner", "sam"])
def test_no_page_has_a_barrier(role, people, addresses, open_page):
    user = {"nobody": None, "owner": people.ines.user, "sam": people.sam.user}[role]
    page, axe, found = open_page(user), Axe(), []
    for name, url in list(addresses(role)):
        page.goto(url)
        for scheme in ("light", "dark"):
            page.emulate_media(color_scheme=scheme)
            violations = axe.run(page, options=RULES).response["violations"]
            found += [(name, scheme, v["id"], v["nodes"][0]["html"][:120]) for v in violations]
    assert found == []


@pytest.mark.parametrize("role", ["nobody", "owner", "sam"])
def test_no_page_is_wider_than_a_phone(role, people, addresses, open_page):
    user = {"nobody": None, "owner": people.ines.user, "sam": people.sam.user}[role]
    page, wide, said = open_page(user, phone=True), [], []
    page.on("console", lambda message: said.append((page.url, message.text)))
    for name, url in list(addresses(role)):
        page.goto(url)
        width = page.evaluate("document.documentElement.scrollWidth")
        if width > page.viewport_size["width"]:
            wide.append((name, width))
    assert wide == []
    assert [line for line in said if "Content Security Policy" in line[1]] == []
