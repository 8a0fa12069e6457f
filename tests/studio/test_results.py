"""Results: places on waiting lists, replies to offers, and who waits for news longest."""

from datetime import date

import pytest
import time_machine
from django.db import connection
from django.test.utils import CaptureQueriesContext
from django.urls import reverse

from studio.entries.models import Entry
from studio.entries.results import elsewhere, heard, overdue, reply
from tests.factories import DeadlineFactory, EntryFactory, TaskFactory

pytestmark = pytest.mark.django_db

TODAY = date(2027, 4, 19)


@pytest.fixture(autouse=True)
def clock():
    with time_machine.travel("2027-04-19 18:00Z", tick=False) as moved:
        yield moved


@pytest.fixture
def entry(people):
    return EntryFactory(
        student=people.sam_student,
        audition__institution__name="Lake Ardent Conservatory",
        audition__institution__short_name="Lake Ardent",
        audition__reply_by=date(2027, 5, 1),
        audition__results_on=date(2027, 3, 1),
        chosen_date__on=date(2027, 2, 6),
    )


def post(client, entry, **values):
    return client.post(reverse("entry_result", args=[entry.pk]), {"result": "waiting"} | values)


# the form


def test_a_place_on_the_waiting_list_is_kept(as_teacher, entry):
    post(as_teacher, entry, result="waiting list", result_on="2027-03-04", waiting_place="4")
    entry.refresh_from_db()
    assert entry.waiting_place == 4
    assert heard(entry, TODAY) == "On the waiting list, place 4, 4 March"


def test_a_reply_with_its_day_is_kept(as_teacher, entry):
    values = {"result": "offered", "result_on": "2027-03-04"}
    post(as_teacher, entry, **values, reply="accepted", replied_on="2027-04-12")
    entry.refresh_from_db()
    assert (entry.reply, entry.replied_on) == ("accepted", date(2027, 4, 12))
    assert reply(entry, TODAY).words == "The offer was accepted on 12 April"
    assert not reply(entry, TODAY).presses


@pytest.mark.parametrize(
    ("values", "words"),
    [
        ({"waiting_place": "4"}, "Only on the waiting list"),
        ({"reply": "accepted"}, "only once it is the result"),
        ({"result": "not offered", "reply": "declined"}, "only once it is the result"),
        ({"result": "offered", "replied_on": "2027-04-12"}, "Say what was replied"),
        (
            {"result": "offered", "reply": "accepted", "replied_on": "2027-04-20"},
            "still to come",
        ),
        (
            {
                "result": "offered",
                "result_on": "2027-03-04",
                "reply": "accepted",
                "replied_on": "2027-03-03",
            },
            "before the offer was heard of",
        ),
        ({"result": "waiting list", "waiting_place": "-1"}, "greater than or equal to 0"),
    ],
)
def test_what_does_not_go_together_is_refused(as_teacher, entry, values, words):
    answer = post(as_teacher, entry, **values)
    assert answer.status_code == 422
    assert words in answer.content.decode()
    entry.refresh_from_db()
    assert (entry.result, entry.reply, entry.waiting_place) == ("waiting", "", None)


# the reply


@pytest.mark.parametrize(
    ("by", "words", "presses"),
    [
        (date(2027, 5, 1), "Reply to the offer by Saturday 1 May, in 12 days", True),
        (date(2027, 5, 3), "Reply to the offer by Monday 3 May, in 14 days", True),
        (date(2027, 5, 4), "Reply to the offer by Tuesday 4 May, in 15 days", False),
        (TODAY, "Reply to the offer by Monday 19 April, today", True),
        (
            date(2027, 4, 18),
            "The reply was due on Sunday 18 April, 1 day ago: ask whether the place stands",
            True,
        ),
        (
            None,
            "An offer, and no day to reply by is written down: ask the institution",
            True,
        ),
    ],
)
def test_a_reply_presses_when_its_day_is_near_past_or_not_known(entry, by, words, presses):
    entry.result, entry.audition.reply_by = Entry.Result.OFFERED, by
    said = reply(entry, TODAY)
    assert (said.words, said.presses) == (words, presses)


def test_only_an_offer_wants_a_reply(entry):
    for result in set(Entry.Result) - {Entry.Result.OFFERED}:
        entry.result = result
        assert reply(entry, TODAY) is None


@pytest.mark.parametrize(
    ("kinds", "whose", "place"),
    [
        (("university", "school of music"), "sam_student", "Fairmont"),
        (("university", "honour ensembles"), "sam_student", ""),
        (("youth orchestra", "university"), "sam_student", ""),
        (("university", "university"), "mia_student", ""),
    ],
)
def test_who_has_accepted_a_degree_declines_the_others(people, kinds, whose, place):
    own, other = (
        EntryFactory(
            student=student,
            result="offered",
            audition__institution__studio=people.studio,
            audition__institution__kind=kind,
            audition__institution__short_name=name,
        )
        for student, kind, name in zip(
            (people.sam_student, getattr(people, whose)),
            kinds,
            ("Lake Ardent", "Fairmont"),
            strict=True,
        )
    )
    assert elsewhere(own, [own, other]) == ""
    other.reply = Entry.Reply.ACCEPTED
    assert elsewhere(own, [own, other]) == place
    assert elsewhere(other, [own, other]) == ""


def test_an_offer_to_be_declined_says_where_another_is_accepted(client, people, entry):
    Entry.objects.filter(pk=entry.pk).update(result="offered")
    EntryFactory(
        student=people.sam_student,
        result="offered",
        reply="accepted",
        audition__institution__short_name="Fairmont",
    )
    client.force_login(people.ines.user)
    words = "Fairmont is accepted: decline this offer by Saturday 1 May"
    for url in (
        reverse("results"),
        entry.get_absolute_url(),
        reverse("applications", args=[people.sam_student.pk]),
    ):
        assert words in client.get(url).content.decode(), url


def test_a_deadline_for_replies_serves_where_the_audition_gives_no_day(entry):
    entry.result, entry.audition.reply_by = Entry.Result.OFFERED, None
    deadline = DeadlineFactory(audition=entry.audition, kind="reply", on=date(2027, 4, 25))
    TaskFactory(entry=entry, deadline=deadline, on=None)
    assert reply(entry, TODAY).words.startswith("Reply to the offer by Sunday 25 April")


def test_the_entry_and_the_part_say_it_in_red(client, people, entry):
    Entry.objects.filter(pk=entry.pk).update(result="offered")
    words = "Reply to the offer by Saturday 1 May, in 12 days"
    client.force_login(people.ines.user)
    assert f'<p class="red">{words}.' in client.get(entry.get_absolute_url()).content.decode()
    client.force_login(people.sam.user)
    page = client.get(reverse("part")).content.decode()
    assert f'<span class="red">Lake Ardent: {words}.</span>' in page


# the studio's page


def test_news_is_overdue_from_the_day_after_it_was_announced_for(entry):
    assert overdue(entry, date(2027, 3, 1)) == 0
    assert overdue(entry, date(2027, 3, 2)) == 1
    entry.result = Entry.Result.OFFERED
    assert overdue(entry, TODAY) == 0


def test_news_of_an_earlier_round_is_not_that_news(entry):
    entry.result, entry.result_on = Entry.Result.THROUGH, date(2027, 1, 10)
    assert overdue(entry, TODAY) == 49
    entry.result_on = date(2027, 3, 2)
    assert overdue(entry, TODAY) == 0


def test_the_page_has_everybody_by_day_and_the_longest_wait_first(as_teacher, people, entry):
    second = EntryFactory(
        student=people.mia_student,
        audition__results_on=date(2027, 4, 1),
        chosen_date__on=date(2027, 1, 30),
    )
    undated = EntryFactory(student=people.mia_student, chosen_date=None)
    offered = EntryFactory(
        student=people.mia_student,
        result="offered",
        audition__reply_by=date(2027, 4, 20),
        chosen_date__on=date(2027, 2, 20),
    )
    EntryFactory(student=people.mia_student, audition__season="2025–26")
    response = as_teacher.get(reverse("results"))
    results = response.context["results"]
    assert [line.entry for line in results.lines] == [second, entry, offered, undated]
    assert [line.entry for line in results.unheard] == [entry, second]
    assert [line.entry for line in results.pressing] == [offered]
    page = response.content.decode()
    assert "Announced for Monday 1 March, 49 days ago, not heard yet" in page
    assert "No date" in page


def test_what_is_still_to_play_waits_for_nothing_yet(as_teacher, people):
    day = date(2027, 4, 24)
    to_come = EntryFactory(student=people.mia_student, chosen_date__on=day)
    withdrawn = EntryFactory(
        student=people.sam_student, chosen_date__on=day, result="withdrawn", result_on=TODAY
    )
    lines = as_teacher.get(reverse("results")).context["results"].lines
    said = {line.entry: line.heard for line in lines}
    assert said[to_come] == "Still to play"
    assert said[withdrawn].startswith("Withdrawn")


def test_a_studio_sees_its_own_results_alone(client, people, entry):
    client.force_login(people.otto.user)
    assert "Lake Ardent" not in client.get(reverse("results")).content.decode()
    client.force_login(people.sam.user)
    assert client.get(reverse("results")).status_code == 404


def test_it_asks_as_often_for_many_as_for_few(as_teacher, people, entry):
    def cost():
        with CaptureQueriesContext(connection) as queries:
            as_teacher.get(reverse("results"))
        return len(queries)

    few = cost()
    for _ in range(8):
        EntryFactory(student=people.mia_student)
    assert cost() == few <= 12
