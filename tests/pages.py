"""What a browser would post from a page: the values that stand in its forms."""

from dataclasses import dataclass, field
from html.parser import HTMLParser


class _Fields(HTMLParser):
    """Collects the fields of each form of a page, as a browser would send them."""

    def __init__(self):
        super().__init__()
        self.forms, self._select, self._area = [], None, None

    def handle_starttag(self, tag, attrs):
        attrs = dict(attrs)
        if tag == "form":
            self.forms.append((attrs.get("action", ""), {}))
        elif not self.forms:
            return
        elif tag == "input" and attrs.get("name"):
            self._input(attrs)
        elif tag == "select":
            self._select = attrs.get("name")
            if "multiple" not in attrs:
                self._first = True
        elif tag == "option" and self._select:
            self._option(attrs)
        elif tag == "textarea":
            self._area = attrs.get("name")
            self._add(self._area, "")

    def _input(self, attrs):
        kind = attrs.get("type", "text")
        if kind in {"checkbox", "radio"} and "checked" not in attrs:
            return
        if kind not in {"submit", "button", "file"}:
            self._add(attrs["name"], attrs.get("value", "on" if kind == "checkbox" else ""))

    def _option(self, attrs):
        if "selected" in attrs:
            self._add(self._select, attrs.get("value", ""))

    def _add(self, name, value):
        self.forms[-1][1].setdefault(name, []).append(value)

    def handle_endtag(self, tag):
        if tag == "select":
            self._select = None
        elif tag == "textarea":
            self._area = None

    def handle_data(self, data):
        if self._area:
            values = self.forms[-1][1][self._area]
            values[-1] = (values[-1] + data).removeprefix("\n")


def form_of(response, field):
    """Return what a browser would post from the form of a page that has a field of that name.

    A dict of lists, so that a test can change what the user types: `form["town"] = "Norwood"`.
    """
    reader = _Fields()
    reader.feed(response.content.decode())
    found = [values for _, values in reader.forms if field in values]
    assert found, f"no form with {field}"
    values = found[0]
    values.pop("csrfmiddlewaretoken", None)
    return values


@dataclass
class Post:
    """A form that is posted: where, its fields with what stands in them, those that are seen."""

    where: str
    fields: dict = field(default_factory=dict)
    asked: set = field(default_factory=set)


class Offers(HTMLParser):
    """What a page offers: addresses to read, and Posts."""

    def __init__(self, page, here):
        super().__init__()
        self.links, self.forms, self.here, self.open = [], [], here, None
        self.feed(page)

    def handle_starttag(self, tag, attrs):
        found = dict(attrs)
        if address := found.get("href") if tag == "a" else found.get("hx-get"):
            self.links.append(self.here + address if address[0] == "?" else address)
        if tag == "form":
            self.open = Post(found.get("action") or self.here)
            if found.get("method") == "post":
                self.forms.append(self.open)
        elif self.open and found.get("name") and tag != "button":
            self.open.fields[found["name"]] = found.get("value") or ""
            if found.get("type") != "hidden":
                self.open.asked.add(found["name"])

    def handle_endtag(self, tag):
        self.open = None if tag == "form" else self.open
