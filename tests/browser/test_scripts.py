"""Words that look like scripts, stored everywhere, in a browser: nothing runs or is fetched."""

import pytest
from django.urls import reverse

from tests.routes import ROUTES, make_rows
from tests.studio.test_access_walk import everything
from tests.studio.test_private_pages import poisoned

PAGES = (
    "score",
    "students",
    "student",
    "lesson",
    "entry",
    "institution",
    "piece",
    "history",
    "part",
    "day",
    "letters",
)


@pytest.fixture
def rows(company):
    made = make_rows(company)
    poisoned(everything())
    return made


@pytest.mark.parametrize("role", ["owner", "sam"])
def test_nothing_that_was_typed_runs(role, company, rows, open_page):
    page = open_page({"owner": company.ines, "sam": company.sam}[role].user)
    said, dialogs, asked = [], [], []
    page.on("console", lambda message: said.append(message.text))
    page.on("dialog", lambda dialog: (dialogs.append(dialog.message), dialog.dismiss()))
    page.on("request", lambda request: asked.append(request.url))
    seen = 0
    for name in PAGES:
        if role in ROUTES[name].get:
            page.goto(reverse(name, args=ROUTES[name].args(rows)))
            seen += "<script>x</script>" in page.locator("body").inner_text()
            assert page.locator("img[src^='file:'], main script").count() == 0, name
    assert seen >= (5 if role == "owner" else 1)
    assert dialogs == []
    assert [line for line in said if "Content Security Policy" in line] == []
    home = page.url.split("/")[2]
    assert {url.split("/")[2] for url in asked} == {home}


def test_the_policy_stops_a_script_that_came_through(company, open_page):
    page, said = open_page(company.ines.user), []
    page.on("console", lambda message: said.append(message.text))
    page.goto(reverse("students"))
    page.evaluate(
        """() => {
          const made = document.createElement("script");
          made.textContent = "window.ran = 1";
          document.body.append(made);
          const other = document.createElement("p");
          other.setAttribute("style", "color: red");
          document.body.append(other);
        }"""
    )
    assert page.evaluate("window.ran") is None
    assert len([line for line in said if "Content Security Policy" in line]) == 2
