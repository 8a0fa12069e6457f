"""Whatever is stored about a student has its line, and the pages show it to those it is for."""

import re
from datetime import date

import pytest
from django.apps import apps
from django.conf import settings
from django.test import Client
from django.urls import reverse

from studio.accounts.access import REACH
from studio.accounts.models import Membership, User
from studio.privacy import holdings, retention
from studio.privacy.holdings import HOLDINGS
from studio.students.models import Student
from tests.studio.leavings import NOTES, full_student

# They lead to an account or a student, and tell nothing of a student.
OF_OTHERS = {
    "students.accompanist": "has a seat of their own",
    "accounts.erasure": "who put somebody down: a teacher",
}


def leads_to(targets):
    """Return the models from which links that are stored lead to one of `targets`, and these."""
    found = set(targets)
    while True:
        more = {
            model
            for model in apps.get_models()
            for field in (*model._meta.concrete_fields, *model._meta.many_to_many)
            if field.is_relation and field.related_model in found
        }
        if more <= found:
            return {model._meta.label_lower for model in found}
        found |= more


def test_every_model_about_a_student_has_its_line():
    about = leads_to({Student, User, Membership}) | {
        label for label, reach in REACH.items() if reach.student
    }
    assert about - {line.model for line in HOLDINGS} - set(OF_OTHERS) == set()


def test_every_field_of_a_student_has_its_line():
    named = [name for line in HOLDINGS for name in line.fields]
    meta = Student._meta
    fields = {f.name for f in (*meta.concrete_fields, *meta.many_to_many)}
    assert sorted(named) == sorted(fields)


def test_a_model_without_a_line_is_found():
    about = leads_to({Student})
    assert {"students.dayaway", "students.guardian", "days.auditionday"} <= about
    assert "institutions.audition" not in about


def test_what_only_staff_reaches_is_shown_to_staff_alone():
    for line in HOLDINGS:
        rule = REACH.get(line.model)
        if rule and rule.student is None and line.model.startswith("entries."):
            assert line.shown == holdings.NOTHING, line.model


@pytest.mark.django_db
def test_every_kind_of_row_is_counted(people):
    student = full_student(people.studio, people.mia_student)
    counted = dict(zip(HOLDINGS, holdings.counts(student, HOLDINGS), strict=True))
    assert [line.model for line, number in counted.items() if not number] == []
    for line, number in counted.items():
        assert number == line.of(student.pk).count(), line.model
    nobody = holdings.counts(people.mia_student, HOLDINGS)
    assert sum(nobody) < sum(counted.values())


def signed_in(who):
    client = Client()
    client.force_login(who.user)
    return client


@pytest.mark.django_db
def test_who_reads_what(people):
    student = full_student(people.studio, people.mia_student)
    page = reverse("student_privacy", args=[student.pk])
    seats = {"owner": people.ines, "student": student.membership}
    seats["guardian"] = student.guardians.get(name__startswith="Ottoline").membership
    told = {role: signed_in(who).get(page).content.decode() for role, who in seats.items()}
    for role, text in told.items():
        assert ("The teacher’s notes" in text) == (role == "owner"), role
        assert ("Erase Zebbie for good" in text) == (role == "owner"), role
        assert NOTES not in text
        assert "Checks of pieces" in text and reverse("student_export", args=[student.pk]) in text


@pytest.mark.django_db
def test_students_and_guardians_find_their_page(company):
    for who in (company.sam, company.gil):
        client = signed_in(who)
        assert reverse("privacy") in client.get(reverse("account")).content.decode()
        here = client.get(reverse("privacy"))
        assert here.url == reverse("student_privacy", args=[company.sam_student.pk])
    company.gil_guardian.students.add(company.mia_student)
    both = signed_in(company.gil).get(reverse("privacy")).content.decode()
    assert "about Sam" in both and "about Mia" in both


@pytest.mark.django_db
def test_the_studios_page_tells_who_is_put_down(people, as_teacher):
    people.sam_student.erase_on = date(2027, 3, 9)
    people.sam_student.save()
    text = as_teacher.get(reverse("privacy")).content.decode()
    assert "9 Mar 2027" in text and "Sam Reyes" in text and "Mia Okafor" not in text
    assert "Nobody has been erased yet" in text
    assert reverse("privacy") in as_teacher.get(reverse("studio")).content.decode()


TODAY = date(2027, 8, 31)


@pytest.mark.parametrize(
    ("last", "playing", "months", "over"),
    [
        (date(2026, 8, 31), False, 12, True),  # twelve whole months
        (date(2026, 9, 1), False, 12, False),  # a day less
        (date(2027, 2, 28), False, 6, True),  # February has no 31st
        (date(2027, 3, 1), False, 6, False),
        (date(2028, 1, 1), False, 1, False),  # a date ahead
        (date(2020, 1, 1), True, 1, False),  # something of this season is theirs
        (date(2020, 1, 1), False, None, False),  # the studio keeps everybody
        (None, False, 1, False),  # nothing is known: nobody can say it
    ],
)
def test_whose_time_is_over(last, playing, months, over):
    assert retention.is_over(retention.Known(last, playing), TODAY, months) == over


@pytest.mark.parametrize("months", [1, 2, 11, 12, 13, 240])
def test_so_many_months_earlier(months):
    then = retention.months_before(date(2027, 1, 31), months)
    assert (2027 - then.year) * 12 + 1 - then.month == months
    assert then.day in {28, 29, 30, 31}


SOURCE = re.compile(
    r"""(?:\b(?:src|srcset|poster|data)\s*=\s*["']|<(?:link|script|iframe|img)\b[^>]*(?:href|src)\s*="""
    r"""\s*["']|url\(\s*["']?|@import\s+["'])\s*(?:https?:)?//""",
    re.IGNORECASE,
)


def test_no_template_and_no_style_asks_another_server():
    folders = (settings.BASE_DIR / "templates", settings.BASE_DIR / "static" / "css")
    files = [f for folder in folders for f in folder.rglob("*") if f.suffix in {".html", ".css"}]
    assert len(files) > 100
    assert [f.name for f in files if SOURCE.search(f.read_text())] == []


@pytest.mark.parametrize(
    "text",
    [
        '<script src="https://x.example/a.js">',
        '<link rel="stylesheet" href="//x.example/a.css">',
        "@import 'http://x.example/a.css';",
        "a { background: url(https://x.example/a.png) }",
    ],
)
def test_such_a_source_is_found(text):
    assert SOURCE.search(text)
