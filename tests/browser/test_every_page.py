"""Every page that can be opened: accessible in light and dark, whole on a phone, quiet."""

from datetime import date

import pytest
from axe_playwright_python.sync_playwright import Axe
from django.urls import reverse

from studio.workbook import demo
from tests.browser.conftest import LAPTOP, PHONE
from tests.browser.season import entry_around_today
from tests.factories import with_scales
from tests.routes import ROUTES, make_rows

RULES = ["wcag2a", "wcag2aa", "wcag21a", "wcag21aa", "wcag22aa", "best-practice"]
DARK_RULES = ["color-contrast", "target-size"]  # what is different in the dark and on a phone
FILES = (".pdf", ".ics", ".xlsx", ".zip")
AXE = """rules => axe.run({
  runOnly: rules, resultTypes: ["violations"], preload: false, iframes: false,
}).then(found => found.violations.map(each => [each.id, each.nodes[0].html.slice(0, 160)]))"""
FINGER = 44
CLIPPED = """() => {
  const unseen = ".visually-hidden, .skip, thead, svg";
  const texts = document.createTreeWalker(document.body, NodeFilter.SHOW_TEXT);
  const found = [];
  while (texts.nextNode()) {
    const text = texts.currentNode, home = text.parentElement;
    if (!text.data.trim() || !home.checkVisibility() || home.closest(unseen)) continue;
    const range = document.createRange();
    range.selectNodeContents(text);
    const box = range.getBoundingClientRect();
    for (let around = home; around !== document.body; around = around.parentElement) {
      const style = getComputedStyle(around), edge = around.getBoundingClientRect();
      if (style.overflowX === "auto" || style.overflowX === "scroll") break;
      const cut = style.overflowX !== "visible" && box.right > edge.right + 1;
      if (cut || box.right > innerWidth + 1) { found.push(text.data.trim().slice(0, 60)); break; }
    }
  }
  return found;
}"""
SMALL = """least => [...document.querySelectorAll(".tick")]
  .filter(tick => tick.checkVisibility())
  .map(tick => [tick.textContent, tick.getBoundingClientRect()])
  .filter(([, box]) => box.width < least || box.height < least)
  .map(([words]) => words)"""


@pytest.fixture
def addresses(people):
    """The pages by who opens them, as a list of (route, address)."""
    rows = make_rows(people)
    entry = entry_around_today(people.sam_student)
    entry_around_today(people.mia_student, place="Lake Ardent Conservatory of Music")
    with_scales(entry, "major: to 2; minor: to 1; octaves: 2; tempo: 96; 5 to continue")
    task, given = entry.tasks.first(), entry.assignments.first()
    rows |= {"entry": entry.pk, "task": task.pk, "audition": entry.audition_id}
    rows |= {"institution": entry.audition.institution_id, "piece": given.piece_id}
    rows |= {"requirement_set": entry.requirement_set_id, "requirement": given.requirement_id}

    def of(role):
        for name, route in ROUTES.items():
            if role in route.get:
                yield name, reverse(name, args=route.args(rows))

    return of


def opened(page, addresses):
    """Open one page after another; yield the name of each. Files and redirects are none."""
    for name, url in addresses:
        if url.endswith(FILES):
            continue
        response = page.goto(url)
        is_page = "html" in response.headers.get("content-type", "")
        if is_page and response.request.redirected_from is None:
            assert response.status == 200, (name, response.status)
            yield name


def look(page):
    """Return what is wrong with the page, all folds open: in light, then on a phone in the dark."""
    page.evaluate(Axe().axe_script)
    page.evaluate("document.querySelectorAll('details').forEach(each => each.open = true)")
    page.emulate_media(color_scheme="light")
    page.set_viewport_size(LAPTOP)
    wrong = [f"light: {found}" for found in page.evaluate(AXE, RULES)]
    page.emulate_media(color_scheme="dark")
    page.set_viewport_size(PHONE)
    wrong += [f"dark: {found}" for found in page.evaluate(AXE, DARK_RULES)]
    width = page.evaluate("document.documentElement.scrollWidth")
    wrong += [f"wider than a phone: {width}"] if width > PHONE["width"] else []
    wrong += [f"clipped on a phone: {text}" for text in page.evaluate(CLIPPED)]
    wrong += [f"small for a finger: {tick}" for tick in page.evaluate(SMALL, FINGER)]
    return wrong


def asked_of_others(page, ours):
    """Return a list to which every request is added that goes to another server than `ours`."""
    found = []

    def asked(request):
        if not request.url.startswith((ours, "data:", "blob:", "about:")):
            found.append((page.url, request.url))

    page.on("request", asked)
    return found


@pytest.fixture
def read_all(open_page, live_server):
    """Read pages as `user`: fails with what is wrong on each, by name."""

    def read(user, addresses):
        page, said = open_page(user), []
        page.on("console", lambda message: said.append((page.url, message.text)))
        asked = asked_of_others(page, live_server.url)
        found = {name: look(page) for name in opened(page, addresses)}
        assert {name: wrong for name, wrong in found.items() if wrong} == {}
        assert [line for line in said if "Content Security Policy" in line[1]] == []
        assert asked == []
        return found

    return read


@pytest.mark.parametrize(("role", "least"), [("nobody", 8), ("owner", 70), ("sam", 10)])
def test_everybody_can_read_every_page(role, least, people, addresses, read_all):
    user = {"nobody": None, "owner": people.ines.user, "sam": people.sam.user}[role]
    assert len(read_all(user, addresses(role))) >= least


def test_a_studio_with_nothing_in_it_can_be_read(people, read_all):
    people_of = "students accompanists own_days people history"
    lists = (
        f"score cues week letters together {people_of} institutions pieces requirement_sets days"
    )
    read_all(people.otto.user, [(name, reverse(name)) for name in lists.split()])


def test_a_whole_studio_can_be_read(db, read_all):
    studio = demo.build(date.today())
    student = studio.students.get(name__startswith="Maximiliana")
    entry = student.entries.first()
    of_student = dict.fromkeys(("student", "lesson", "checks", "readiness", "practice"), student)
    named = of_student | {"entry": entry, "day": entry}
    pages = [(name, reverse(name, args=[row.pk])) for name, row in named.items()]
    lists = "score cues week letters together students own_days days people"
    pages += [(name, reverse(name)) for name in lists.split()]
    read_all(studio.memberships.get(role="owner").user, pages)


def test_a_form_that_fails_can_be_read(people, open_page):
    page = open_page(people.ines.user)
    entry_around_today(people.sam_student)
    for name, args in (("institution_add", []), ("lesson", [people.sam_student.pk])):
        page.goto(reverse(name, args=args))
        for field in page.locator("main [required], main [name$=-tempo]:not([type=hidden])").all():
            field.fill("" if name == "institution_add" else "9999")
        with page.expect_response(lambda answer: answer.status == 422):
            page.locator("main form .button-main").first.click()
        page.locator(".form-errors").wait_for()
        assert look(page) == [], name


def test_a_request_to_another_server_is_found(open_page, live_server):
    page = open_page()
    asked = asked_of_others(page, live_server.url)
    page.goto("/account/login/")
    assert asked == []
    page.set_content('<img src="http://localhost:9/a.png"><img src="data:image/gif;base64,R0l">')
    page.wait_for_load_state()
    assert [url for _, url in asked] == ["http://localhost:9/a.png"]


def test_barriers_are_found(open_page):
    page = open_page()
    page.set_content(
        "<title>x</title><style>body { color: #888; background: #fff } p { width: 9rem }"
        ".tick { width: 1rem } p { white-space: nowrap; overflow: hidden } h1 { width: 50rem }"
        "@media (prefers-color-scheme: dark) { body { background: #777 } }</style>"
        "<h1>One</h1><p>Two words or three, and more</p><button class=tick>Four</button><input>"
    )
    found = " ".join(look(page))
    for wrong in ("light: ['color-contrast'", "light: ['label'", "dark: ['color-contrast'"):
        assert wrong in found
    for wrong in ("wider than a phone", "clipped on a phone: Two", "small for a finger: Four"):
        assert wrong in found
