"""No page carries a script or a style of its own, and nothing from elsewhere."""

from html.parser import HTMLParser
from urllib.parse import urlsplit

import pytest
from django.conf import settings

from tests.studio.hardening.walking import is_page, pages

pytestmark = pytest.mark.django_db
FETCHED = {
    "img": "src",
    "script": "src",
    "link": "href",
    "iframe": "src",
    "audio": "src",
    "video": "src",
    "object": "data",
    "embed": "src",
    "use": "href",
    "image": "href",
}
ROW_OF_OURS = ("write.js", "innerHTML")  # a blank row of the page itself, with its number put in


class Wrong(HTMLParser):
    """Collects what the policy would have to forbid, and what is fetched from elsewhere."""

    def __init__(self):
        super().__init__()
        self.found, self.tags = [], 0

    def handle_starttag(self, tag, attrs):
        self.tags += 1
        attrs = dict(attrs)
        if tag == "style" or (tag == "script" and "src" not in attrs and not is_data(attrs)):
            self.found.append(tag)
        self.found += [f"{tag} {name}" for name in attrs if name == "style" or name[:2] == "on"]
        self.found += [
            f"{tag} {name}={value}"
            for name, value in attrs.items()
            if (value or "").strip().lower().startswith("javascript:") or name == "srcdoc"
        ]
        address = attrs.get(FETCHED.get(tag, ""), "") or ""
        if urlsplit(address).netloc or tag in {"iframe", "object", "embed", "base"}:
            self.found.append(f"{tag} {address}")


def is_data(attrs):
    return attrs.get("type") in {"application/json"}


def wrong_in(html):
    reader = Wrong()
    reader.feed(html)
    assert reader.tags
    return reader.found


@pytest.mark.parametrize(("role", "least"), [("owner", 90), ("sam", 12), ("gil", 8), ("nobody", 6)])
def test_no_page_has_a_script_or_style_in_it(clients, rows, role, least):
    seen = 0
    for name, url in pages(role, rows):
        answer = clients[role].get(url)
        if is_page(answer) and answer.content:
            assert wrong_in(answer.content.decode()) == [], name
            seen += 1
    assert seen >= least


@pytest.mark.parametrize(
    "html",
    [
        "<style>p {}</style>",
        "<script>1</script>",
        '<p style="color: red">',
        "<p ONCLICK=x>",
        "<a href=' JavaScript:x'>",
        "<img src=//elsewhere.example/x.png>",
        "<iframe src=/x>",
        "<svg><use href='https://elsewhere.example/x.svg#a'/></svg>",
    ],
)
def test_each_of_them_would_be_found(html):
    assert len(wrong_in(html)) == 1


def test_what_is_found_is_wrong():
    assert (
        wrong_in('<script src="/a.js"></script><script type="application/json">{}</script>') == []
    )


def test_no_script_of_ours_writes_markup_or_runs_text():
    ours = sorted(set((settings.BASE_DIR / "static" / "js").glob("*.js")))
    ours = [path for path in ours if path.name != "htmx.min.js"]
    assert len(ours) >= 4
    for path in ours:
        text = path.read_text(encoding="utf-8")
        for way in (
            "innerHTML",
            "outerHTML",
            "insertAdjacentHTML",
            "document.write",
            "eval(",
            "new Function",
            "localStorage",
            "sessionStorage",
            "indexedDB",
            "postMessage",
        ):
            if (path.name, way) != ROW_OF_OURS:
                assert way not in text, (path.name, way)


def test_what_drives_the_pages_runs_no_text_and_asks_nobody_else():
    base = (settings.BASE_DIR / "templates" / "base.html").read_text(encoding="utf-8")
    for setting in (
        '"allowEval":false',
        '"selfRequestsOnly":true',
        '"allowScriptTags":false',
        '"historyCacheSize":0',
        '"includeIndicatorStyles":false',
    ):
        assert setting in base
