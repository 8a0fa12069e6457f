"""Everybody's dates at once: who is shared, what clashes, the plan, and taking it over."""

from datetime import date

import pytest
import time_machine
from django.db import connection
from django.test.utils import CaptureQueriesContext
from django.urls import reverse
from django.utils.html import escape

from studio import answers, workers
from studio.accounts.models import Change
from studio.entries.dates_queries import concerts, dated
from studio.entries.dates_queries import offered as offered_to_one
from studio.entries.models import Entry
from studio.week import together_page
from studio.week.queries import offered
from studio.week.together import Together
from tests.big_studio import build
from tests.factories import (
    AccompanistFactory,
    AuditionFactory,
    EntryFactory,
    InstitutionFactory,
    InstrumentFactory,
    OfferedDateFactory,
    StudioDayFactory,
)

pytestmark = pytest.mark.django_db

FRIDAY, SATURDAY = date(2027, 2, 5), date(2027, 2, 6)
URL = "/dates/?plan=1"


@pytest.fixture(autouse=True)
def november():
    with time_machine.travel("2026-11-25 18:00Z", tick=False):
        yield
    answers.forget()


@pytest.fixture
def pianist(people):
    return AccompanistFactory(studio=people.studio, name="Noa Vick", email="noa@pianos.example")


def audition(people, name, days=(FRIDAY, SATURDAY), **fields):
    """An audition near home that offers these days."""
    place = InstitutionFactory(
        studio=people.studio,
        name=f"{name} College",
        short_name=name,
        latitude=41.9,
        longitude=-87.7,
        time_zone="America/Chicago",
    )
    held = AuditionFactory(institution=place, date_choice="chosen", **fields)
    return held, {on: OfferedDateFactory(audition=held, on=on) for on in days}


def enter(student, held, **fields):
    given = {"chosen_date": None, "date_state": "open", **fields}
    return EntryFactory(student=student, audition=held, **given)


@pytest.fixture
def two(people, pianist):
    """Sam and Mia, each for another place that offers a Friday and a Saturday, with one pianist."""
    found = []
    for student, name in ((people.sam_student, "Lakeside"), (people.mia_student, "Norwood")):
        held, dates = audition(people, name)
        found.append((enter(student, held, accompanist=pianist), dates))
    return found


def page(client, url=URL):
    return client.get(url).context["page"]


def take(client, shown, **posted):
    return client.post(
        reverse("together_accept"), {"plan": shown.together.digest, **posted}, follow=True
    )


def chosen():
    return sorted(Entry.objects.exclude(chosen_date=None).values_list("chosen_date__on", flat=True))


# What is known at once


def test_without_an_accompanist_the_page_says_what_to_do(as_teacher, people):
    held, _ = audition(people, "Lakeside")
    entry = enter(people.sam_student, held)
    text = as_teacher.get("/dates/").content.decode()
    assert "No accompanist is written down" in text
    assert reverse("accompanist_add") in text
    AccompanistFactory(studio=people.studio)
    assert "Nobody comes along to an audition yet" in as_teacher.get("/dates/").content.decode()
    entry.teacher_comes = True
    entry.save()
    assert page(as_teacher, "/dates/").empty is None


def test_without_auditions_the_page_leads_to_the_students(as_teacher):
    assert "No dates to choose yet" in as_teacher.get(URL).content.decode()


def test_what_is_chosen_now_is_looked_at_without_solving(as_teacher, people, two, monkeypatch):
    monkeypatch.setattr(workers, "ask", lambda *_: pytest.fail("nobody asked for a plan"))
    for entry, dates in two:
        entry.chosen_date = dates[SATURDAY]
        entry.save()
    shown = page(as_teacher, "/dates/")
    (trouble,) = shown.clashes_now
    assert "Noa Vick cannot be at" in trouble.text
    assert trouble.url in {entry.get_absolute_url() for entry, _ in two}
    two[0][0].chosen_date = two[0][1][FRIDAY]
    two[0][0].save()
    assert page(as_teacher, "/dates/").clashes_now == []


# The plan


def test_one_of_two_moves_so_that_the_pianist_can_be_at_both(as_teacher, people, two):
    shown = page(as_teacher)
    (clash,) = shown.answer.clashes
    assert clash.kind == "two places"
    planned = {date.when for line in shown.lines for date in line.dates}
    assert planned == {"Fri 5 Feb", "Sat 6 Feb"}
    costs = [line.cost for line in shown.lines]
    # A school day is 60 points by default; the way is the same on both days.
    assert costs == ["60 points more than alone", "no more than alone"]
    assert [date.moved for line in shown.lines for date in line.dates] == [True, False]
    assert "Proven: no other choice of dates comes to fewer points" in shown.answer.sentence
    (person,) = shown.people
    assert (person.name, person.email) == ("Noa Vick", "noa@pianos.example")
    assert [line.split(":")[0] for line in person.lines] == [
        f"Friday 5 February, {shown.lines[0].dates[0].name}",
        f"Saturday 6 February, {shown.lines[1].dates[0].name}",
    ]


def test_a_day_away_of_the_pianist_keeps_everybody_off_it(as_teacher, people, two, pianist):
    held, dates = audition(people, "Carrow")
    two[1][0].delete()
    enter(people.mia_student, held)
    StudioDayFactory(
        studio=people.studio,
        kind="accompanist away",
        accompanist=pianist,
        first=SATURDAY,
        last=SATURDAY,
    )
    (line,) = page(as_teacher).lines
    assert [date.when for date in line.dates] == ["Fri 5 Feb"], "Mia has nobody to share"


def test_what_does_not_fit_is_said_with_ways_out(as_teacher, people, pianist):
    for student, name in ((people.sam_student, "Lakeside"), (people.mia_student, "Norwood")):
        held, _ = audition(people, name, days=(SATURDAY,))
        enter(student, held, accompanist=pianist)
    response = as_teacher.get(URL)
    shown = response.context["page"]
    (conflict,) = shown.answer.conflicts
    assert set(conflict.students) == {str(people.sam_student.pk), str(people.mia_student.pk)}
    assert shown.left == [people.mia_student, people.sam_student]
    assert conflict.ways_out
    text = response.content.decode()
    assert "Does not fit" in text
    assert escape(conflict.ways_out[0].sentence) in text


def test_each_student_is_asked_about_as_on_their_own_page(people, two):
    """The same dates, wishes and days go into both, so that both pages say the same."""
    horn = people.sam_student.instrument
    two[0][1][FRIDAY].instruments.set([InstrumentFactory(studio=people.studio, name="Flute")])
    two[0][1][SATURDAY].instruments.set([horn])
    concert = StudioDayFactory(studio=people.studio, first=FRIDAY, last=FRIDAY)
    concert.students.set([people.mia_student])
    together = Together.load(people.ines)
    assert len(together.datings) == 2
    for dating in together.datings:
        student = dated(people.ines).get(pk=dating.student.pk)
        alone = type(dating)(
            type(dating.season)(student),
            list(offered_to_one(student)),
            list(concerts(student)),
        )
        assert dating.problem == alone.problem
    assert {(d.limited, d.suits) for d in offered(people.ines) if d.on == FRIDAY} == {
        (True, False),
        (False, False),
    }


def test_where_the_solver_fails_the_page_says_so_and_offers_it_again(as_teacher, two, monkeypatch):
    def busy(*_):
        raise workers.Unsolved(workers.BUSY)

    monkeypatch.setattr(workers, "ask", busy)
    text = as_teacher.get(URL).content.decode()
    assert workers.BUSY in text
    assert "Plan everybody’s dates" in text


# Taking it over


def test_all_is_taken_over_in_one_go_and_back_again(as_teacher, two):
    shown = page(as_teacher)
    response = take(as_teacher, shown)
    assert "Taken over: 2 dates." in response.content.decode()
    assert chosen() == [FRIDAY, SATURDAY]
    assert set(Entry.objects.values_list("date_state", flat=True)) == {"asked for"}
    batch = Change.objects.filter(model="entries.entry").latest("pk").batch
    as_teacher.post(reverse("undo", args=[batch]))
    assert chosen() == []


def test_one_student_can_be_taken_over_alone(as_teacher, people, two):
    take(as_teacher, page(as_teacher), student=people.mia_student.pk)
    assert two[0][0].student == people.sam_student
    two[0][0].refresh_from_db()
    assert two[0][0].chosen_date is None
    assert len(chosen()) == 1


def test_what_is_confirmed_stays(as_teacher, two):
    entry, dates = two[0]
    entry.chosen_date, entry.date_state = dates[FRIDAY], "confirmed"
    entry.save()
    take(as_teacher, page(as_teacher))
    entry.refresh_from_db()
    assert (entry.chosen_date, entry.date_state) == (dates[FRIDAY], "confirmed")
    assert chosen() == [FRIDAY, SATURDAY]


def test_another_plan_by_now_is_not_taken_over(as_teacher, two):
    shown = page(as_teacher)
    digest = shown.together.digest
    two[0][1][SATURDAY].full = True
    two[0][1][SATURDAY].save()
    response = as_teacher.post(reverse("together_accept"), {"plan": digest}, follow=True)
    assert "the plan is another by now" in response.content.decode()
    assert chosen() == []


@pytest.mark.parametrize("student", ["0", "x", "-1", "999999", "9" * 5000])
def test_nonsense_changes_nothing(as_teacher, two, student):
    take(as_teacher, page(as_teacher), student=student)
    assert chosen() == []


def test_an_assistant_reads_but_takes_nothing_over(client, people, two):
    client.force_login(people.ana.user)
    text = client.get(URL).content.decode()
    assert "60 points more than alone" in text
    assert reverse("together_accept") not in text


def test_a_date_that_is_assigned_is_left_to_the_institution(as_teacher, two):
    entry, _ = two[0]
    entry.audition.date_choice = "assigned"
    entry.audition.save()
    take(as_teacher, page(as_teacher))
    entry.refresh_from_db()
    assert entry.chosen_date is None


def test_the_page_asks_as_often_for_thirty_students_as_for_one(client):
    counts = []
    for size in (1, 30):
        owner = build(size, date(2026, 11, 25))
        pianist = AccompanistFactory(studio=owner.studio)
        Entry.objects.filter(student__studio=owner.studio).update(
            accompanist=pianist, teacher_comes=True
        )
        StudioDayFactory(studio=owner.studio, first=FRIDAY, last=FRIDAY)
        client.force_login(owner.user)
        with CaptureQueriesContext(connection) as asked:
            shown = client.get("/dates/")
        assert len(shown.context["page"].together.datings) == size
        counts.append(len(asked))
    assert counts[0] == counts[1] <= 12


def test_the_words_for_what_it_costs():
    assert together_page._cost(0) == "no more than alone"
    assert together_page._cost(1) == "1 point more than alone"
    assert together_page._cost(None) == "alone, there would be no plan"
