"""What belongs to another studio: asked for in the path, the query, a form's fields; and at random.

Rosa Quill learns in Otto's studio. Nobody of Ines's studio reads or moves anything of hers, and no
row of one studio ever points to a row of another.
"""

import re
from pathlib import Path
from types import SimpleNamespace

import pytest
from django.apps import apps
from django.conf import settings
from django.db import transaction
from django.forms import BaseForm, ModelChoiceField
from django.test import Client
from django.urls import NoReverseMatch, reverse
from hypothesis import HealthCheck, given
from hypothesis import settings as hypothesis_settings
from hypothesis import strategies as st

from studio.accounts.access import REACH, follow, readable
from studio.accounts.models import Role
from tests.factories import StudentFactory, seat
from tests.pages import form_of
from tests.routes import ROUTES, make_rows
from tests.studio.test_access_walk import came_in, everything, turned_away

pytestmark = pytest.mark.django_db

ROSA = "Rosa Quill"
ROLES = ("owner", "sam", "gil", "paz", "nobody")
OPEN = {"student_feed", "studio_feed_calendar", "invitation", "mail_stop"}  # the address is the key


@pytest.fixture
def rosa(company):
    """Otto's studio as people, so that rows can be made of it."""
    studio = company.otto.studio
    mine = seat(studio, Role.STUDENT, name=ROSA)
    return SimpleNamespace(
        studio=studio,
        otto=company.otto,
        ines=company.otto,
        sam=mine,
        ana=seat(studio, Role.ASSISTANT, name="Aldo Finch"),
        sam_student=StudentFactory(studio=studio, name=ROSA, membership=mine),
    )


@pytest.fixture
def theirs(rosa):
    return make_rows(rosa)


@pytest.fixture
def clients(company):
    found = {"nobody": Client()}
    for name, who in (("owner", "ines"), ("sam", "sam"), ("gil", "gil"), ("paz", "paz")):
        found[name] = Client()
        found[name].force_login(getattr(company, who).user)
    return found


def keyed():
    """The routes whose address is made of somebody's rows."""
    return sorted(name for name, route in ROUTES.items() if route.args(_Names()))


class _Names(dict):
    """Rows of which each is there."""

    def __missing__(self, name):
        return name


KEYED = [name for name in keyed() if name not in OPEN and not name.startswith(("account", "mfa"))]


@pytest.mark.parametrize("name", KEYED)
def test_nobody_reaches_another_studios_rows_by_the_path(name, theirs, clients):
    url = reverse(name, args=ROUTES[name].args(theirs))
    shared = name in {"day_sheets", "week_sheet"}  # a day is nobody's
    before = everything()
    for role in ROLES:
        for method in ("get", "post"):
            with transaction.atomic():
                response = getattr(clients[role], method)(url)
                if not shared:
                    assert turned_away(response, role == "nobody"), (role, method)
                assert ROSA not in _words(response), (role, method)
                assert everything() == before, (role, method)
                transaction.set_rollback(True)


def _words(response):
    return "" if response.streaming else response.content.decode(errors="replace")


def asked_in_queries():
    """The names of all parameters that any page reads from its address."""
    source = "".join(path.read_text() for path in Path(settings.BASE_DIR, "studio").rglob("*.py"))
    return sorted(set(re.findall(r'GET\.get(?:list)?\(\s*"(\w+)"|GET\["(\w+)"\]', source)))


@pytest.fixture
def ours(company):
    return make_rows(company)


OWNERS = sorted(name for name, route in ROUTES.items() if "owner" in route.get)


@pytest.mark.parametrize("name", OWNERS)
def test_no_page_takes_another_studios_rows_from_the_query(name, ours, theirs, clients):
    names = ["".join(pair) for pair in asked_in_queries()]
    assert len(names) > 5
    url = reverse(name, args=ROUTES[name].args(ours))
    before = everything()
    for key in ("student", "entry", "audition", "piece", "requirement_set"):
        response = clients["owner"].get(url, dict.fromkeys(names, theirs[key]))
        assert response.status_code < 500
        assert ROSA not in _words(response), key
    assert everything() == before


def forms_of(response):
    """Every form that a page was made with."""
    found = {}
    for context in response.context or ():
        for layer in getattr(context, "dicts", [context]):
            for value in layer.values() if hasattr(layer, "values") else ():
                if isinstance(value, BaseForm):
                    found[id(value)] = value
    return found.values()


@pytest.mark.parametrize("name", OWNERS)
def test_no_form_takes_another_studios_rows(name, ours, theirs, clients, company, rosa):
    url = reverse(name, args=ROUTES[name].args(ours))
    page = clients["owner"].get(url)
    if page.streaming or page.status_code != 200 or not page.context:
        return
    for form in forms_of(page):
        for field_name, field in form.fields.items():
            if not isinstance(field, ModelChoiceField) or not field.queryset.model._meta:
                continue
            foreign = readable(rosa.otto, field.queryset.model).first()
            assert not field.queryset.filter(pk__in=readable(rosa.otto, field.queryset.model))
            if foreign is None:
                continue
            with transaction.atomic():
                data = _filled(page, form, field_name) | {form.add_prefix(field_name): foreign.pk}
                answer = clients["owner"].post(url, data)
                assert answer.status_code in {404, 405, 422}, (field_name, answer.status_code)
                transaction.set_rollback(True)
    assert_no_row_crosses()


def _filled(page, form, name):
    try:
        return form_of(page, form.add_prefix(name))
    except AssertionError:  # a field that stands on no page
        return {}


def assert_no_row_crosses():
    """Every row points to rows of its own studio only."""
    for label, rule in REACH.items():
        model = apps.get_model(label)
        links = [
            field
            for field in (*model._meta.concrete_fields, *model._meta.many_to_many)
            if field.is_relation and field.related_model._meta.label_lower in REACH
        ]
        for row in model._base_manager.all() if links else ():
            mine = follow(row, rule.studio)
            for field in links:
                value = getattr(row, field.name)
                others = value.all() if field.many_to_many else filter(None, [value])
                for other in others:
                    path = REACH[field.related_model._meta.label_lower].studio
                    assert follow(other, path) == mine, (row, field.name, other)


def test_the_search_for_crossing_rows_finds_one(company, ours, theirs):
    assert_no_row_crosses()
    student = company.sam_student
    type(student).objects.filter(pk=student.pk).update(
        instrument=company.otto.studio.instruments.first()
    )
    with pytest.raises(AssertionError):
        assert_no_row_crosses()


MOST_ROWS = 1000  # below that a number may be a row of the owner's
ANY = st.one_of(
    st.integers(0, 10**30),
    st.sampled_from([2**31, 2**63 - 1, 2**63, 10**18]),
    st.text(max_size=40),
    st.sampled_from(["../../etc/passwd", "%00", "1'--", "{{7*7}}", "..", "１２"]),
)


@hypothesis_settings(
    max_examples=400,
    deadline=None,
    suppress_health_check=[HealthCheck.function_scoped_fixture],
)
@given(name=st.sampled_from(KEYED), role=st.sampled_from(ROLES), key=ANY, post=st.booleans())
def test_no_address_drawn_at_random_finds_anything(clients, name, role, key, post):
    try:
        url = reverse(name, args=[key])
    except NoReverseMatch:
        return
    response = getattr(clients[role], "post" if post else "get")(url)
    assert response.status_code < 500
    if role != "owner" or not str(key).isdigit() or int(key) > MOST_ROWS:
        assert not came_in(response) or name in {"week_sheet", "day_sheets"}, response.status_code
