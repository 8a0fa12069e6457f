"""The main links: who sees which, and where one is."""

import pytest

from studio.accounts.context import nav

pytestmark = pytest.mark.django_db


@pytest.mark.parametrize(
    ("path", "label"),
    [
        ("/score/", "Score"),
        ("/cues/", "Score"),
        ("/week/2026-11-30/", "Week"),
        ("/letters/", "Week"),
        ("/dates/", "Week"),
        ("/dates/3/edit/", "Institutions"),
        ("/students/3/lesson/", "Students"),
        ("/entries/3/", "Students"),
        ("/auditions/3/edit/", "Institutions"),
        ("/requirements/3/", "Repertoire"),
        ("/days/minutes/", "Days"),
        ("/lead-times/", "Studio"),
    ],
)
def test_one_link_says_where_one_is(people, path, label):
    assert [link.label for link in nav(path, people.ines) if link.current] == [label]


def test_an_assistant_is_not_led_where_only_teachers_go(people):
    labels = {link.label for link in nav("/", people.ana)}
    assert "Score" in labels
    assert labels & {"Studio", "Workbook"} == set()


def test_students_and_strangers_have_no_main_links(people):
    assert nav("/part/", people.sam) == nav("/", None) == []
