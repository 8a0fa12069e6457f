"""No page offers what its reader may not do: every link leads somewhere, every form is heard."""

import re

import pytest
from django.db import transaction
from django.test import Client
from django.urls import reverse

from studio.entries.models import Entry, Task
from tests.pages import Offers
from tests.routes import make_rows

pytestmark = pytest.mark.django_db
LEFT_ALONE = ("/account", "/static/")  # another program's pages, and files
# Role, and how many different addresses they reach by clicking, at least.
READERS = (("ana", 60), ("sam", 15), ("gil", 15), ("paz", 1))


def alike(method, address):
    """Return an address without its keys: one of each kind is tried."""
    return method, re.sub(r"\d+", "1", re.split(r"[?#]", address)[0])


@pytest.mark.parametrize(("role", "most"), READERS)
def test_whatever_a_page_offers_is_there(company, role, most):
    make_rows(company)
    company.gil_guardian.ticks = True
    company.gil_guardian.save()
    Task.objects.update(doer="student")
    Entry.objects.update(accompanist=company.paz_accompanist)
    client = Client()
    client.force_login(getattr(company, role).user)
    seen, waiting = set(), ["/"]
    while waiting:
        address = waiting.pop()
        if alike("get", address) in seen or not tried(address):
            continue
        seen.add(alike("get", address))
        page = client.get(address, follow=True)
        assert page.status_code == 200, address
        if page["Content-Type"].startswith("text/html"):
            offers = Offers(page.content.decode(), page.request["PATH_INFO"])
            waiting += offers.links
            for form in offers.forms:
                if alike("post", form.where) not in seen and tried(form.where):
                    seen.add(alike("post", form.where))
                    assert heard(client, form), (address, form.where)
    assert len(seen) >= most


def tried(address):
    return address.startswith("/") and not address.startswith(LEFT_ALONE)


def heard(client, form):
    """Whether a form does something, and may be taken back where the next page says so."""
    with transaction.atomic():
        page = client.post(form.where, form.fields, follow=True)
        answers = [page.status_code]
        if page["Content-Type"].startswith("text/html"):
            offers = Offers(page.content.decode(), form.where)
            back = [each.where for each in offers.forms if each.where.endswith("/undo/")]
            answers += [client.post(where).status_code for where in back]
        transaction.set_rollback(True)
    return set(answers) <= {200, 302, 409, 422}


def test_a_guardian_without_a_child_here_is_told_whom_to_ask(company):
    company.gil_guardian.students.clear()
    client = Client()
    client.force_login(company.gil.user)
    assert "Ask the teacher of your studio." in client.get(reverse("privacy")).content.decode()
    assert client.get(reverse("part")).status_code == 200
