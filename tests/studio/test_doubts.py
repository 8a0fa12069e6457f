"""Why a set may be the wrong one for an entry, and how a correction is passed on."""

from datetime import date

import pytest
import time_machine
from django.urls import reverse

from studio.entries.bridge import Season
from studio.entries.queries import whole_season
from studio.requirements.models import Kind
from tests.factories import (
    AssignmentFactory,
    EntryFactory,
    ErratumFactory,
    InstrumentFactory,
    LessonCheckFactory,
    RequirementFactory,
    RequirementSetFactory,
)

pytestmark = pytest.mark.django_db

# The studio wants a check of at most 30 days before 6 February: of 7 January or later.
FEBRUARY, LIMIT = date(2027, 2, 6), date(2027, 1, 7)
PUBLISHED = date(2026, 11, 22)


@pytest.fixture(autouse=True)
def today():
    with time_machine.travel("2027-01-12T18:00:00Z", tick=False):
        yield


@pytest.fixture
def entry(people):
    entry = EntryFactory(student=people.sam_student, chosen_date__on=FEBRUARY)
    change(entry.requirement_set, checked_on=date(2027, 1, 10))
    return entry


@pytest.fixture
def found(people):
    """Return the doubts about the only entry, and the day to look again from."""

    def load():
        season = Season(whole_season(people.ines).get(pk=people.sam_student.pk))
        (entry,) = season.entries
        return season.doubts(entry), season.look_again_from(entry)

    return load


@pytest.fixture
def short(found):
    return lambda: [doubt.short for doubt in found()[0]]


def change(row, **fields):
    for name, value in fields.items():
        setattr(row, name, value)
    row.save()


def test_a_set_that_was_checked_raises_no_doubt(entry, found):
    assert found() == ((), None)


def test_an_entry_without_a_set_has_nothing_to_doubt(entry, found):
    change(entry, requirement_set=None)
    assert found() == ((), None)


def test_every_reason_is_told_at_once(people, entry, short):
    trombone = InstrumentFactory(studio=people.studio, name="Bass trombone")
    change(entry.requirement_set, instrument=trombone, season="2025–26", checked_on=None)
    assert short() == ["wrong instrument", "another season’s list", "not verified"]


def test_a_copy_is_doubted_until_somebody_verifies_it(entry, short):
    asked = entry.requirement_set
    change(asked, copied_from=RequirementSetFactory(institution=asked.institution), checked_on=None)
    assert short() == ["copied, not verified"]
    change(asked, checked_on=date(2027, 1, 11))
    assert short() == []


# The age of the check


@pytest.mark.parametrize(
    ("now", "checked", "short_words", "again"),
    [
        ("2027-01-06", date(2027, 1, 6), [], LIMIT),
        ("2027-01-06", date(2026, 9, 3), [], LIMIT),
        ("2027-01-07", date(2027, 1, 6), ["check too old"], None),
        ("2027-01-07", LIMIT, [], None),
        ("2027-02-06", date(2026, 9, 3), ["check too old"], None),
        ("2027-02-07", date(2026, 9, 3), [], None),
    ],
)
def test_a_check_is_too_old_from_the_studios_limit_before_the_audition_on(
    entry, found, now, checked, short_words, again
):
    change(entry.requirement_set, checked_on=checked)
    with time_machine.travel(f"{now}T18:00:00Z", tick=False):
        told, look_again = found()
    assert [doubt.short for doubt in told] == short_words
    assert look_again == again


def test_the_limit_is_the_studios_own(people, entry, short):
    change(entry.requirement_set, checked_on=date(2027, 1, 6))
    assert short() == ["check too old"]
    change(people.studio, check_days=31)
    assert short() == []


@pytest.mark.parametrize("fields", [{"chosen_date": None}, {"result": "withdrawn"}])
def test_a_check_does_not_age_without_a_date_or_a_hope(entry, found, fields):
    change(entry.requirement_set, checked_on=date(2026, 9, 3))
    change(entry, **fields)
    assert found() == ((), None)


# Errata


@pytest.fixture
def piece(entry):
    """A piece chosen for a requirement that a correction of 22 November concerns."""
    solo = RequirementFactory(requirement_set=entry.requirement_set, name="Solo")
    ErratumFactory(requirement_set=entry.requirement_set, requirement=solo, on=PUBLISHED)
    return AssignmentFactory(entry=entry, requirement=solo, piece__work="Romance").piece


def heard(entry, piece, on, **more):
    LessonCheckFactory(student=entry.student, piece=piece, on=on, **more)


def test_a_correction_after_the_piece_was_learned_has_to_be_passed_on(entry, piece, found):
    heard(entry, piece, date(2026, 11, 21))
    heard(entry, piece, date(2026, 11, 30))
    ((doubt,), _) = found()
    assert doubt.short == "erratum to pass on"
    assert "Corrected on 22 November" in doubt.text
    assert "Romance" in doubt.text
    assert "Ask your teacher" in doubt.part


def test_a_piece_learned_after_the_correction_was_learned_right(entry, piece, short):
    heard(entry, piece, date(2026, 11, 21), source="student")
    heard(entry, piece, PUBLISHED)
    assert short() == []


def test_a_piece_that_was_never_heard_may_have_been_learned_before(entry, piece, short):
    assert short() == ["erratum to pass on"]


@pytest.mark.parametrize(
    ("told", "words"),
    [
        (date(2026, 11, 21), ["erratum to pass on"]),
        (PUBLISHED, []),
        (date(2026, 12, 1), []),
    ],
)
def test_a_correction_is_no_news_once_it_is_passed_on(entry, piece, short, told, words):
    change(entry, errata_told=told)
    assert short() == words


def test_a_correction_of_something_else_does_not_concern_the_piece(entry, piece, short):
    erratum = entry.requirement_set.errata.get()
    change(erratum, requirement=RequirementFactory(requirement_set=entry.requirement_set))
    assert short() == []
    change(erratum, requirement=None)
    assert short() == ["erratum to pass on"]


def test_two_pieces_are_named_and_the_rest_is_counted(entry, piece, found):
    change(entry.requirement_set.errata.get(), requirement=None)
    AssignmentFactory(entry=entry, piece__work="Aria")
    assert "It concerns Invented, Romance and Invented, Aria: pass" in found()[0][0].text
    AssignmentFactory(entry=entry, piece__work="Study")
    AssignmentFactory(entry=entry, piece__work="Scherzo")
    assert "Invented, Romance, Invented, Aria and 2 more: pass" in found()[0][0].text


def test_a_correction_of_a_group_concerns_what_stands_inside_it(entry, piece, short):
    group = RequirementFactory(requirement_set=entry.requirement_set, kind=Kind.ALL_OF)
    change(entry.requirement_set.errata.get(), requirement=group)
    assert short() == []
    change(entry.requirement_set.requirements.get(name="Solo"), parent=group)
    assert short() == ["erratum to pass on"]


@pytest.mark.parametrize("fields", [{"result": "not offered"}, {"chosen_date": "past"}])
def test_nobody_is_told_after_the_audition(entry, piece, short, fields):
    if "chosen_date" in fields:
        change(entry.chosen_date, on=date(2027, 1, 11))
    else:
        change(entry, **fields)
    assert short() == []


# On the entry's page


def page(client, entry):
    return client.get(reverse("entry", args=[entry.pk])).content.decode()


def test_the_entrys_page_says_from_when_on_to_look_again(as_teacher, entry):
    change(entry.requirement_set, checked_on=date(2026, 9, 3))
    with time_machine.travel("2026-11-25T18:00:00Z", tick=False):
        assert "Look again from 7 January." in page(as_teacher, entry)
    assert "Last checked on 3 September, more than 30 days before the audition" in page(
        as_teacher, entry
    )


def test_a_correction_is_passed_on_from_the_entrys_page(as_teacher, entry, piece):
    url = reverse("entry_errata", args=[entry.pk])
    assert url in page(as_teacher, entry)
    response = as_teacher.post(url)
    assert response.url == reverse("entry", args=[entry.pk]) + "#music"
    entry.refresh_from_db()
    assert entry.errata_told == PUBLISHED
    html = page(as_teacher, entry)
    assert url not in html
    assert "Corrected on" not in html


def test_a_correction_that_comes_later_is_news_again(as_teacher, entry, piece, short):
    as_teacher.post(reverse("entry_errata", args=[entry.pk]))
    assert short() == []
    ErratumFactory(requirement_set=entry.requirement_set, on=date(2026, 12, 1))
    assert short() == ["erratum to pass on"]


def test_a_correction_dated_in_the_future_cannot_be_passed_on(as_teacher, entry, piece):
    change(entry.requirement_set.errata.get(), on=date(2028, 11, 22))
    as_teacher.post(reverse("entry_errata", args=[entry.pk]))
    entry.refresh_from_db()
    assert entry.errata_told is None


def test_an_assistant_sees_the_correction_and_passes_nothing_on(client, people, entry, piece):
    client.force_login(people.ana.user)
    html = page(client, entry)
    assert "Corrected on 22 November" in html
    assert reverse("entry_errata", args=[entry.pk]) not in html
