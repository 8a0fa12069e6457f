"""The studio's lead times: reading, adding, changing, removing, and starting from the usual."""

import pytest
from django.db import connection
from django.test.utils import CaptureQueriesContext
from django.urls import reverse

from planner.deadlines import DAY, DAY_TIMES, LEAD_TIMES
from studio.accounts import history
from studio.accounts.models import Change
from studio.entries.models import LeadTime
from tests.factories import DeadlineFactory, EntryFactory, LeadTimeFactory

pytestmark = pytest.mark.django_db

USUAL = len(LEAD_TIMES) + sum(len(rule.of) or 1 for rule in DAY_TIMES)
RULE = {
    "kind": "letter",
    "name": "Ask for the letter",
    "lead": "10",
    "lead_unit": "working days",
    "doer": "student",
    "takes": "",
}


def text(client):
    return client.get(reverse("lead_times")).content.decode()


def test_rules_stand_under_their_kind_of_deadline(as_teacher, people):
    mine = {"studio": people.studio}
    LeadTimeFactory(**mine, kind=DAY, name="Travel", lead=21, needs="date confirmed")
    LeadTimeFactory(**mine, kind="letter", name="Ask", lead=28, shared=True)
    LeadTimeFactory(
        **mine, kind="letter", name="Remind", lead=1, lead_unit="working days", after="Ask"
    )
    LeadTimeFactory(**mine, kind="fee", name="Pay", takes=1, of="youth orchestra")
    LeadTimeFactory(studio=people.otto.studio, name="Somebody else's")
    groups = as_teacher.get(reverse("lead_times")).context["groups"]
    assert [(group.title, [row.cells for row in group.rows]) for group in groups] == [
        (
            "Letter",
            [
                ("Ask", "28 days before", "Student", "", "", "once for all"),
                ("Remind", "1 working day before", "Student", "", "“Ask”", ""),
            ],
        ),
        ("Fee", [("Pay", "on the day", "Student", "1 day of work", "", "Youth orchestra")]),
        (
            "Audition day",
            [("Travel", "21 days before", "Student", "", "the date is confirmed", "")],
        ),
    ]


def test_the_page_says_where_the_figures_come_from(as_teacher):
    page = text(as_teacher)
    assert "common practice, no source" in page
    assert "tasks drawn up from now on" in page


def test_the_usual_ones_are_offered_only_while_some_are_missing(as_teacher):
    as_teacher.post(reverse("lead_times_usual"))
    assert "Add the usual lead times" not in text(as_teacher)
    LeadTime.objects.filter(name=LEAD_TIMES[0].name).delete()
    assert "Add the usual lead times" in text(as_teacher)


def test_an_empty_list_starts_from_the_usual(as_teacher, people):
    assert "No lead times yet" in text(as_teacher)
    mine = LeadTimeFactory(studio=people.studio, kind=LEAD_TIMES[0].kind, name=LEAD_TIMES[0].name)
    as_teacher.post(reverse("lead_times_usual"))
    assert LeadTime.objects.filter(studio=people.studio).count() == USUAL
    mine.refresh_from_db()
    as_teacher.post(reverse("lead_times_usual"))
    assert LeadTime.objects.filter(studio=people.studio).count() == USUAL
    letter = LeadTime.objects.get(name="Ask for the letter")
    assert (letter.shared, letter.after) == (True, "")
    assert LeadTime.objects.get(name="Send the letter").after == "Ask for the letter"


def test_rules_of_before_learn_what_they_wait_for_and_keep_their_times(as_teacher, people):
    as_teacher.post(reverse("lead_times_usual"))
    LeadTime.objects.update(after="", needs="", shared=False, lead=5)
    mine = LeadTimeFactory(studio=people.studio, kind="letter", name="Thank them")
    assert "Add the usual lead times" in text(as_teacher)
    as_teacher.post(reverse("lead_times_usual"))
    send = LeadTime.objects.get(name="Send the letter")
    assert (send.after, send.lead) == ("Ask for the letter", 5)
    mine.refresh_from_db()
    assert mine.after == ""
    assert LeadTime.objects.count() == USUAL + 1
    assert "Add the usual lead times" not in text(as_teacher)
    batch = Change.objects.filter(model="entries.leadtime").latest("pk").batch
    history.undo(batch, people.studio)
    assert not LeadTime.objects.exclude(after="").exists()


def test_a_rule_of_ones_own_for_all_stands_for_the_usual_ones_of_its_name(as_teacher, people):
    LeadTimeFactory(studio=people.studio, kind=DAY, name="Ask the pianist for the day", lead=60)
    as_teacher.post(reverse("lead_times_usual"))
    asks = LeadTime.objects.filter(name="Ask the pianist for the day")
    assert [(rule.of, rule.lead) for rule in asks] == [("", 60)]


def test_a_new_rule_holds_for_entries_from_now_on(as_teacher, people):
    early = EntryFactory(student=people.sam_student)
    DeadlineFactory(audition=early.audition, kind="letter", name="letter")
    as_teacher.post(reverse("lead_time_add"), RULE)
    late = EntryFactory(student=people.mia_student, audition=early.audition)
    assert not early.tasks.exists()
    assert [(task.name, task.lead) for task in late.tasks.all()] == [("Ask for the letter", 10)]


def test_a_rule_is_changed_and_removed(as_teacher, people):
    rule = LeadTimeFactory(studio=people.studio)
    as_teacher.post(reverse("lead_time_edit", args=[rule.pk]), RULE)
    rule.refresh_from_db()
    assert (rule.name, rule.lead, rule.lead_unit, rule.takes) == (
        "Ask for the letter",
        10,
        "working days",
        0,
    )
    as_teacher.post(reverse("lead_time_remove", args=[rule.pk]))
    assert not LeadTime.objects.exists()


@pytest.mark.parametrize(
    ("change", "words"),
    [
        ({}, "There is a rule of this name"),
        ({"name": ""}, "This field is required"),
        ({"name": "Other", "lead": "4000"}, "less than or equal to 3660"),
        ({"name": "Other", "after": "Nothing such"}, "No rule counted from the same"),
        ({"name": "Other", "after": "Other"}, "No rule counted from the same"),
        ({"kind": "fee", "after": "Ask for the letter"}, "No rule counted from the same"),
    ],
)
def test_a_rule_that_makes_no_sense_is_refused(as_teacher, people, change, words):
    LeadTimeFactory(studio=people.studio, kind="letter", name="Ask for the letter")
    response = as_teacher.post(reverse("lead_time_add"), RULE | change)
    assert response.status_code == 422
    assert words in response.content.decode()
    assert LeadTime.objects.count() == 1


def test_rules_cannot_wait_for_each_other_in_a_circle(as_teacher, people):
    first = LeadTimeFactory(studio=people.studio, kind="letter", name="Ask for the letter")
    LeadTimeFactory(studio=people.studio, kind="letter", name="Send it", after=first.name)
    url = reverse("lead_time_edit", args=[first.pk])
    assert (
        "waits for this one itself"
        in as_teacher.post(url, RULE | {"after": "Send it"}).content.decode()
    )
    first.refresh_from_db()
    assert first.after == ""


def test_a_rule_says_what_it_waits_for_where_it_holds_and_that_it_is_done_once(as_teacher, people):
    LeadTimeFactory(studio=people.studio, kind="letter", name="Ask first")
    more = {"after": "Ask first", "needs": "date confirmed", "of": "university", "shared": "on"}
    as_teacher.post(reverse("lead_time_add"), RULE | more)
    rule = LeadTime.objects.get(name="Ask for the letter")
    assert (rule.after, rule.needs, rule.of, rule.shared) == (
        "Ask first",
        "date confirmed",
        "university",
        True,
    )


def test_assistants_read_and_change_nothing(client, people):
    rule = LeadTimeFactory(studio=people.studio)
    client.force_login(people.ana.user)
    page = text(client)
    assert rule.name in page
    assert reverse("lead_time_edit", args=[rule.pk]) not in page
    assert client.post(reverse("lead_times_usual")).status_code == 404
    assert client.post(reverse("lead_time_remove", args=[rule.pk])).status_code == 404
    assert LeadTime.objects.count() == 1


def test_the_list_asks_as_often_for_thirty_rules_as_for_one(as_teacher, people):
    counts = []
    for number in (1, 29):
        for _ in range(number):
            LeadTimeFactory(studio=people.studio)
        with CaptureQueriesContext(connection) as asked:
            text(as_teacher)
        counts.append(len(asked))
    assert counts[0] == counts[1] <= 12
