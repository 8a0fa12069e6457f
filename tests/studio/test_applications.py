"""A student's applications: what is done, open, late, waited for, missing, or forgotten."""

from datetime import date
from decimal import Decimal

import pytest
import time_machine
from django.db import connection
from django.test.utils import CaptureQueriesContext
from django.urls import reverse

from studio.entries.applications import Applications, covered, with_applications
from studio.entries.bridge import Season
from studio.entries.models import Entry
from studio.institutions.models import Deadline
from tests.factories import (
    AccompanistFactory,
    DeadlineFactory,
    EntryFactory,
    RecommenderFactory,
    RecordingRulesFactory,
    RequirementFactory,
    TaskFactory,
)

pytestmark = pytest.mark.django_db


@pytest.fixture(autouse=True)
def clock():
    with time_machine.travel("2026-11-25 18:00Z", tick=False) as moved:
        yield moved


@pytest.fixture
def entry(people):
    return EntryFactory(
        student=people.sam_student,
        audition__institution__name="Fairmont School of Music",
        audition__institution__kind="school of music",
        chosen_date__on=date(2027, 2, 6),
    )


def asks(entry, kind, on=date(2026, 12, 15), *, task=None, **values):
    """A deadline of the entry's audition; task: values of a task for it."""
    named = {"name": kind} | values
    deadline = DeadlineFactory(audition=entry.audition, kind=kind, on=on, **named)
    if task is not None:
        TaskFactory(entry=entry, deadline=deadline, on=None, name=f"Do the {kind}", **task)
    return deadline


def page(people, student=None):
    season = Season(with_applications(people.ines, (student or people.sam_student).pk).get())
    return Applications(season)


def cell(people, title):
    (row,) = page(people).rows
    return next(each for each in row.cells if each.title == title)


def only(people, title):
    (item,) = cell(people, title).items
    return item


DONE = {"state": "done", "done_on": date(2026, 11, 20)}


# how far each is


def test_done_is_told_with_its_day(people, entry):
    asks(entry, "university application", task=DONE)
    item = only(people, "Applications")
    assert (item.when, item.state.words) == ("15 December", "done on 20 November")


def test_open_is_told_with_the_next_day(people, entry):
    asks(entry, "university application", task={"lead": 10})
    assert only(people, "Applications").state.words == "open, next step by 5 December"


def test_late_is_told_with_its_days(people, entry):
    asks(entry, "university application", date(2026, 11, 22), task={})
    state = only(people, "Applications").state
    assert state.step == "late"
    assert state.words == "Do the university application: 3 days late"  # 23, 24, 25


def test_what_can_no_longer_be_done_in_time_is_not_simply_open(people, entry):
    asks(entry, "university application", date(2026, 11, 26), task={"takes": 5})
    state = only(people, "Applications").state
    assert (state.step, state.words) == ("late", "Do the university application: too late")


def test_what_opens_after_another_waits_for_it(people, entry):
    first = asks(entry, "university application", date(2026, 12, 1), task={})
    asks(entry, "music application", opens_after=first, task={})
    university, music = cell(people, "Applications").items
    assert music.state.words == "waits for: university application"
    assert "Opens after: university application" in music.notes
    first.tasks.update(**DONE)
    university, music = cell(people, "Applications").items
    assert (university.state.step, music.state.step) == ("done", "open")


def test_what_no_task_is_drawn_up_for_is_open_and_says_so(people, entry):
    asks(entry, "essay")
    assert only(people, "Papers").state.words == "open, no task is drawn up for it"


def test_what_is_not_needed_is_neither_open_nor_done(people, entry):
    asks(entry, "essay", task={"state": "not needed"})
    assert only(people, "Papers").state.words == "not needed"


def test_the_rest_is_not_asked_for(people, entry):
    asks(entry, "transcript")
    unwritten = cell(people, "Papers").unwritten
    assert "transcript" not in unwritten
    assert unwritten == "letter, essay, CV, portfolio, repertoire list, aid form, sponsorship"


def test_another_rounds_deadline_is_left_out(people, entry):
    asks(entry, "essay", round="early")
    assert cell(people, "Papers").items == ()
    Entry.objects.filter(pk=entry.pk).update(round="Early")
    assert only(people, "Papers").name == "essay"


def test_a_day_counted_back_from_the_audition_is_worked_out(people, entry):
    asks(entry, "accompanist", None, before=7)
    item = cell(people, "Date and pianist").items[1]
    assert item.when == "30 January, 7 days before the audition"
    Entry.objects.filter(pk=entry.pk).update(chosen_date=None, date_state="open")
    item = cell(people, "Date and pianist").items[1]
    assert item.when == "7 days before the audition"


# letters, combined applications, what looks forgotten


def test_a_letter_names_who_writes_it(people, entry):
    deadline = asks(entry, "letter", task={})
    assert "Nobody is named who writes it" in only(people, "Papers").notes
    writer = RecommenderFactory(student=people.sam_student, name="Ms Ibsen")
    deadline.tasks.update(recommender=writer)
    assert "Ms Ibsen writes it" in only(people, "Papers").notes


@pytest.mark.parametrize(
    ("kind", "name", "both"),
    [
        ("music application", "music application", ["music application"]),
        (
            "university application",
            "University and music application",
            ["university application", "music application"],
        ),
        (
            "music application",
            "music application with scholarship",
            ["music application", "scholarship"],
        ),
        ("letter", "letter for the university", []),
    ],
)
def test_one_application_for_several_is_known_by_its_name(kind, name, both):
    assert list(covered(Deadline(kind=kind, name=name))) == both


def test_a_combined_application_leaves_nothing_forgotten(people, entry):
    asks(entry, "university application", name="university and music application")
    found = cell(people, "Applications")
    assert found.asks == ()
    assert found.unwritten == "scholarship"
    assert "One application for university and music" in found.items[0].notes


def test_a_university_without_its_applications_is_asked_about(people, entry):
    assert [ask.text for ask in cell(people, "Applications").asks] == [
        "No university application is written down; is there none?",
        "No music application is written down; is there none?",
    ]
    assert cell(people, "Applications").unwritten == "scholarship"


def test_what_the_university_above_asks_for_is_not_missed_at_its_school(people, entry):
    above = EntryFactory(
        student=people.sam_student,
        audition__institution__studio=people.studio,
        audition__institution__name="Fairmont University",
    )
    asks(above, "university application")
    entry.audition.institution.part_of = above.audition.institution
    entry.audition.institution.save()
    row = next(row for row in page(people).rows if row.entry == entry)
    assert [ask.text for ask in row.cells[0].asks] == [
        "No music application is written down; is there none?"
    ]


@pytest.mark.parametrize("values", [{"result": "offered"}, {"chosen_date__on": date(2026, 11, 24)}])
def test_nothing_is_forgotten_any_more_once_it_was_played(people, values):
    was = EntryFactory(student=people.sam_student, **values)
    RequirementFactory(requirement_set=was.requirement_set, round="screening")
    RequirementFactory(requirement_set=was.requirement_set, piano="with piano")
    (row,) = page(people).rows
    assert [ask for cell in row.cells for ask in cell.asks] == []


@pytest.mark.parametrize("kind", ["honour ensembles", "youth orchestra", "other"])
def test_no_other_place_is_asked_about_its_applications(people, entry, kind):
    entry.audition.institution.kind = kind
    entry.audition.institution.save()
    assert cell(people, "Applications").asks == ()


def test_a_recording_asked_for_without_a_day_is_in_red(people, entry):
    RequirementFactory(requirement_set=entry.requirement_set, round="screening")
    (ask,) = cell(people, "Recordings").asks
    assert (ask.text, ask.presses) == ("No day for a recording is written down.", True)
    asks(entry, "recording")
    assert cell(people, "Recordings").asks == ()


def test_recordings_tell_what_is_missing(people, entry):
    RecordingRulesFactory(requirement_set=entry.requirement_set)
    (item,) = cell(people, "Recordings").items
    assert item.state.words == "No piece is chosen for it yet"
    assert item.url == reverse("recordings", args=[entry.pk])


def test_who_plays_is_asked_where_piano_is_wanted(people, entry):
    RequirementFactory(requirement_set=entry.requirement_set, piano="with piano")
    assert [ask.text for ask in cell(people, "Date and pianist").asks] == [
        "Some of it is with piano: who plays?"
    ]
    pianist = AccompanistFactory(studio=people.studio, name="L. Fauré")
    Entry.objects.filter(pk=entry.pk).update(accompanist=pianist)
    found = cell(people, "Date and pianist")
    assert found.asks == ()
    assert found.items[-1].state.words == "L. Fauré comes along"


def test_the_reply_tells_its_day(people, entry):
    assert cell(people, "Reply").unwritten == "reply"
    entry.audition.reply_by = date(2026, 12, 1)
    entry.audition.save()
    assert only(people, "Reply").state.words == "no offer yet"
    Entry.objects.filter(pk=entry.pk).update(result="offered")
    assert only(people, "Reply").state.step == "late"


# money


def test_fees_are_added_up_paid_and_to_be_paid(people, entry):
    asks(entry, "fee", cost=Decimal("62.50"), task={})
    asks(entry, "music application", cost=Decimal("75"), task=DONE)
    asks(entry, "scholarship", cost=Decimal("10"), task={"state": "not needed"})
    asks(entry, "fee", name="second fee", cost=None, task={})
    other = EntryFactory(student=people.sam_student, result="withdrawn")
    asks(other, "fee", cost=Decimal("1000"), task={})
    found = page(people)
    assert (found.to_pay, found.paid, found.unknown) == ("62.50 USD", "75 USD", 1)


def test_the_page_says_that_money_is_an_estimate(as_teacher, people, entry):
    people.studio.currency = "EUR"
    people.studio.save()
    asks(entry, "fee", cost=Decimal("62.50"), task={})
    text = as_teacher.get(reverse("applications", args=[people.sam_student.pk])).content.decode()
    assert "To be paid still: <strong>62.50 EUR</strong>" in text
    assert "Estimates, not financial advice." in text


# who sees it


def test_decided_auditions_stand_last_and_ask_nothing(people, entry):
    Entry.objects.filter(pk=entry.pk).update(result="not offered")
    found = page(people)
    assert found.rows == []
    (row,) = found.over
    assert all(each.asks == () for each in row.cells)


def test_only_the_students_own_are_shown(as_teacher, people, entry):
    EntryFactory(student=people.mia_student, audition__institution__name="Mia’s place")
    url = reverse("applications", args=[people.sam_student.pk])
    text = as_teacher.get(url).content.decode()
    assert "Fairmont School of Music" in text
    assert "Mia’s place" not in text


def test_a_student_and_a_stranger_find_nothing(client, people, entry):
    for who in (people.sam, people.otto):
        client.force_login(who.user)
        url = reverse("applications", args=[people.sam_student.pk])
        assert client.get(url).status_code == 404


def test_without_an_audition_it_says_what_comes_here(as_teacher, people):
    text = as_teacher.get(reverse("applications", args=[people.mia_student.pk])).content.decode()
    assert "No audition yet" in text


def test_it_asks_as_often_for_many_as_for_few(as_teacher, people, entry):
    def cost():
        with CaptureQueriesContext(connection) as queries:
            as_teacher.get(reverse("applications", args=[people.sam_student.pk]))
        return len(queries)

    asks(entry, "fee", task={})
    few = cost()
    for _ in range(6):
        more = EntryFactory(student=people.sam_student)
        RequirementFactory(requirement_set=more.requirement_set, round="screening")
        RecordingRulesFactory(requirement_set=more.requirement_set)
        asks(more, "letter", task={"recommender": RecommenderFactory(student=people.sam_student)})
    assert cost() == few <= 12
