"""Every route of the site, tried by everybody, with everything that is not theirs.

A route without a line in ROUTES fails. For each route, role and method: those in `get` or `post`
come in; nobody else does, and then not one row has changed.
"""

import pytest
from django.apps import apps
from django.db import transaction
from django.test import Client
from django.urls import URLPattern, URLResolver, get_resolver, reverse

from tests.routes import ROUTES, make_rows

pytestmark = pytest.mark.django_db


def all_routes(patterns, prefix=""):
    for pattern in patterns:
        if isinstance(pattern, URLResolver):
            yield from all_routes(pattern.url_patterns, prefix + str(pattern.pattern))
        elif isinstance(pattern, URLPattern):
            yield pattern.name or f"unnamed: {prefix}{pattern.pattern}"


def test_every_route_has_its_line():
    routes = set(all_routes(get_resolver().url_patterns))
    assert routes - set(ROUTES) == set(), "say in ROUTES who may come in"
    assert set(ROUTES) - routes == set(), "these routes are gone"


@pytest.fixture
def people(company):
    """Everybody, with Sam's guardian and the pianist."""
    return company


@pytest.fixture
def rows(people):
    return make_rows(people)


@pytest.fixture
def clients(people):
    """A signed-in client for everybody."""
    seats = {
        "owner": people.ines,
        "teacher": people.theo,
        "assistant": people.ana,
        "sam": people.sam,
        "mia": people.mia,
        "gil": people.gil,
        "paz": people.paz,
        "otto": people.otto,
    }
    signed_in = {"nobody": Client()}
    for name, seat in seats.items():
        signed_in[name] = Client()
        signed_in[name].force_login(seat.user)
    return signed_in


def everything():
    """Return all that is stored, to see whether anything changed."""
    names = ("accounts", "students", "institutions", "requirements", "entries", "days")
    models = [model for name in names for model in apps.get_app_config(name).get_models()]
    return {model: list(model.objects.order_by("pk").values()) for model in models}


def came_in(response):
    to_login = response.status_code == 302 and response.url.startswith(reverse("account_login"))
    return response.status_code in {200, 302, 400, 409, 422} and not to_login


def turned_away(response, nobody):
    if nobody:
        return not came_in(response)
    return response.status_code in {404, 405}


PRIVATE = "Sam Reyes"  # the name of the student whose rows are asked for
STRANGERS = {"nobody", "otto", "mia", "paz"}


@pytest.mark.parametrize("name", sorted(ROUTES))
def test_only_those_of_the_table_come_in(name, rows, clients):
    route = ROUTES[name]
    url = reverse(name, args=route.args(rows))
    before = everything()
    for method in ("get", "post"):
        for role, client in clients.items():
            case = (method, role)
            with transaction.atomic():
                response = getattr(client, method)(url)
                if role in getattr(route, method):
                    assert came_in(response), (*case, response.status_code)
                else:
                    assert turned_away(response, role == "nobody"), (*case, response.status_code)
                    assert everything() == before, case
                transaction.set_rollback(True)
            if role in STRANGERS and not response.streaming and name != "student_feed":
                assert PRIVATE not in response.content.decode(errors="replace"), case
