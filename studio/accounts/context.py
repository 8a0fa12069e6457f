"""What every page's frame needs: who is asking, where they can go, what just happened."""

import re
from dataclasses import dataclass
from functools import partial

from django.contrib.messages import get_messages
from django.urls import reverse

from studio.accounts.access import STAFF, TEACHERS

# Label, route, who sees it, and the beginnings of other addresses that lie under it; =: that one
# page alone, whatever its beginning.
NAV = (
    ("Score", "score", STAFF, "/cues/"),
    ("Week", "week", STAFF, "/letters/ =/dates/"),
    (
        "Students",
        "students",
        STAFF,
        "/entries/ /tasks/ /checks/ /away/ /recommenders/ /takes/ /trial-lessons/",
    ),
    ("Institutions", "institutions", STAFF, "/auditions/ /deadlines/ /dates/"),
    ("Repertoire", "pieces", STAFF, "/requirements/ /requirement/ /recording-rules/"),
    ("Days", "days", STAFF, "/results/"),
    ("Workbook", "workbook", TEACHERS, ""),
    (
        "Studio",
        "studio",
        TEACHERS,
        "/people/ /history/ /bin/ /instruments/ /accompanists/ /own-days/ /lead-times/ /feed/ "
        "/privacy/",
    ),
)


UNSAID = re.compile(r"initial-|password|csrf")  # what a form carries along, and what is secret


@dataclass(frozen=True)
class Link:
    """One link of the navigation; current: the page lies under it."""

    label: str
    url: str
    current: bool


@dataclass(frozen=True)
class Notice:
    """A message in the page; `undo_url` takes back what it tells of."""

    level: str
    text: str
    undo_url: str | None


def page(request):
    """Template context of every page."""
    who = getattr(request, "who", None)
    return {
        "who": who,
        "nav": nav(request.path, who),
        "notices": NoticeList(request),
        "typed": partial(typed, request),
    }


def typed(request):
    """Return the texts that were posted, for a page that says that there is nothing to save to."""
    names = [name for name in request.POST if not UNSAID.search(name)]
    texts = (text.strip() for name in names for text in request.POST.getlist(name))
    return [text for text in texts if len(text.split()) > 1]


def nav(path, who):
    """Return the asker's main links, the current one marked."""
    if who is None:
        return []
    current = _current(path)
    return [
        Link(label, reverse(name), label == current)
        for label, name, roles, _ in NAV
        if who.role in roles
    ]


def _current(path):
    """Return the label under which a page lies, or None."""
    alone = (label for label, _, _, under in NAV if f"={path}" in under.split())
    beginnings = ((label, (reverse(name), *under.split())) for label, name, _, under in NAV)
    within = (label for label, known in beginnings if path.startswith(known))
    return next(alone, None) or next(within, None)


class NoticeList:
    """Messages, read (and so used up) only when the page shows them."""

    def __init__(self, request):
        self.request = request

    def __iter__(self):
        for message in get_messages(self.request):
            tags = message.tags.split()
            batch = next((tag[5:] for tag in tags if tag.startswith("undo:")), None)
            yield Notice(
                level=message.level_tag,
                text=str(message),
                undo_url=batch and reverse("undo", args=[batch]),
            )
