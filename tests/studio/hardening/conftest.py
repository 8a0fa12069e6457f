"""A studio with something of everything, and a client for each who looks at it."""

import pytest
from django.test import Client

from tests.routes import make_rows


@pytest.fixture
def rows(company):
    """What addresses are made of: rows of Ines's studio."""
    return make_rows(company)


@pytest.fixture
def clients(company):
    """Clients that do not raise, by who is signed in."""
    seats = {"owner": company.ines, "sam": company.sam, "gil": company.gil, "paz": company.paz}
    found = {"nobody": Client(raise_request_exception=False)}
    for name, seat in seats.items():
        found[name] = Client(raise_request_exception=False)
        found[name].force_login(seat.user)
    return found
