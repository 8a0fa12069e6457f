"""What pages carry and say of themselves: no markup in what people type, nothing kept."""

import pytest
from django.db import models
from django.test import Client
from django.urls import reverse

from studio.accounts.models import Change
from tests.factories import full_entry
from tests.routes import ROUTES, make_rows
from tests.studio.test_access_walk import everything

pytestmark = pytest.mark.django_db
PAYLOAD = """1<script>x</script>"'><img src="file:///etc/hostname">"""


def signed_in(who, **options):
    client = Client(**options)
    client.force_login(who.user)
    return client


@pytest.fixture
def entry(people):
    return full_entry(people.sam_student)


def poisoned(rows):
    """Write a payload into every text of every row."""
    for model, some in rows.items():
        texts = [
            field
            for field in model._meta.concrete_fields
            if isinstance(field, models.CharField | models.TextField)
            and not field.choices
            and field.name not in ("feed_token", "secret_hash", "season", "country", "password")
            and not field.name.endswith("zone")
        ]
        for row in some if texts and model is not Change else ():
            payload = {f.attname: f"{row['id']}{PAYLOAD}"[: f.max_length] for f in texts}
            model._base_manager.filter(pk=row["id"]).update(**payload)


@pytest.mark.parametrize("role", ["owner", "sam"])
def test_what_people_type_is_never_marked_up(people, role):
    rows = make_rows(people)
    poisoned(everything())
    client = signed_in(people.ines if role == "owner" else people.sam)
    seen = 0
    for name, route in ROUTES.items():
        if role in route.get and name not in {"account_logout", "day_sheets"}:
            page = client.get(reverse(name, args=route.args(rows)), {"q": PAYLOAD, "next": PAYLOAD})
            text = page.content.decode(errors="replace")
            seen += "&lt;script&gt;" in text
            assert "<script>" not in text or "calendar" in page["Content-Type"], name
            assert "<img" not in text or "calendar" in page["Content-Type"], name
    assert seen > (30 if role == "owner" else 2)


def test_what_is_shown_to_somebody_signed_in_is_kept_nowhere(as_teacher, entry):
    for url in ("/students/", "/nothing-here/", reverse("day_sheet", args=[entry.pk])):
        assert as_teacher.get(url)["Cache-Control"] == "private, no-store", url
    for name in ("workbook_export", "studio_feed", "account_email"):
        assert "no-store" in as_teacher.get(reverse(name))["Cache-Control"], name


def test_every_answer_says_what_may_run(as_teacher, people, entry):
    strict = signed_in(people.ines, enforce_csrf_checks=True)
    answers = {
        200: as_teacher.get("/students/"),
        302: Client().get("/students/"),
        400: Client().get("/students/", headers={"host": "elsewhere.example"}),
        403: strict.post(reverse("people")),
        404: as_teacher.get("/nothing-here/"),
        405: as_teacher.get(reverse("assign", args=[entry.pk])),
    }
    for status, answer in answers.items():
        assert answer.status_code == status
        assert "script-src 'self'" in answer["Content-Security-Policy"], status


def test_whoever_is_signed_out_meanwhile_signs_in_on_a_page_of_its_own(entry):
    url = reverse("task_tick", args=[entry.tasks.first().pk])
    here = {"HX-Request": "true", "HX-Current-URL": "http://testserver/part/?x=1"}
    answer = Client().post(url, headers=here)
    assert answer["HX-Redirect"] == f"{reverse('account_login')}?next=/part/%3Fx%3D1"
    assert not answer.content
    elsewhere = Client().post(url, headers=here | {"HX-Current-URL": "https://elsewhere.example/"})
    assert "elsewhere" not in elsewhere["HX-Redirect"]
    assert Client().post(url).url == reverse("account_login")  # an act is no page to come back to


@pytest.mark.parametrize("wanted", ["https://x.example/", "//x.example", "javascript:x", "people"])
def test_no_form_leads_to_anywhere_but_a_page_of_ours(as_teacher, entry, wanted):
    url = reverse("task_drop", args=[entry.tasks.first().pk])
    answer = as_teacher.post(url, {"next": wanted})
    assert answer.url == f"{reverse('entry', args=[entry.pk])}#tasks"


def test_a_number_beyond_all_rows_is_not_found(as_teacher):
    assert as_teacher.get(f"/entries/{'9' * 30}/").status_code == 404
