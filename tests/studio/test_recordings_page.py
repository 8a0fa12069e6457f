"""The recordings of an entry: what goes on them, the takes, what is missing, what was sent."""

import io
from datetime import date
from decimal import Decimal

import pytest
import time_machine
from django.core.cache import caches
from django.db import connection
from django.test.utils import CaptureQueriesContext
from django.urls import reverse
from pypdf import PdfReader

from studio.entries.bridge import Season
from studio.entries.choices import with_entry
from studio.entries.models import Take
from studio.entries.recordings import of
from studio.entries.recordings_bridge import problem
from studio.institutions.models import Deadline
from tests.factories import (
    AssignmentFactory,
    DeadlineFactory,
    EntryFactory,
    PieceFactory,
    RecordingRulesFactory,
    RequirementSetFactory,
    TakeFactory,
    TaskFactory,
)

pytestmark = pytest.mark.django_db


@pytest.fixture(autouse=True)
def clock():
    with time_machine.travel("2026-11-25 18:00Z", tick=False) as moved:
        yield moved


@pytest.fixture
def entry(people):
    """An entry with a study and a solo for the screening, due on 8 December."""
    entry = EntryFactory(
        student=people.sam_student, audition__institution__short_name="Lake Ardent"
    )
    for position, (name, piano) in enumerate(
        (("Slow study", "without piano"), ("Solo", "with piano")), start=1
    ):
        AssignmentFactory(
            entry=entry,
            requirement__name=name,
            requirement__position=position,
            requirement__round="screening",
            requirement__piano=piano,
            piece__work=f"The {name.lower()}",
        )
    AssignmentFactory(entry=entry, piece__work="For the day alone")
    DeadlineFactory(audition=entry.audition, kind="recording", on=date(2026, 12, 8))
    return entry


@pytest.fixture
def rules(entry):
    return RecordingRulesFactory(
        requirement_set=entry.requirement_set,
        files="one each",
        editing="no",
        speaking="no",
        max_age=6,
    )


@pytest.fixture
def pieces(entry):
    given = entry.assignments.filter(requirement__round="screening")
    return [each.piece for each in given.order_by("requirement__position")]


def read(people, entry):
    """The entry's recordings as its page has them."""
    season = Season(with_entry(people.ines, entry.pk).get())
    return of(season, next(each for each in season.entries if each.pk == entry.pk))


def good(entry, rules, piece, **values):
    """A take of one piece with which nothing is wrong."""
    known = {"edited": "no", "silence_seen": True, "made_on": date(2026, 11, 14)}
    return TakeFactory(entry=entry, rules=rules, pieces=[piece], **known | values)


# what goes on it


def test_the_pieces_stand_in_order_with_their_piano(people, entry, rules):
    (recording,) = read(people, entry)
    assert recording.name == "Screening recording"
    assert recording.due == date(2026, 12, 8)
    assert [(each.piece.work, each.piano) for each in recording.wanted] == [
        ("The slow study", "without piano"),
        ("The solo", "with piano"),
    ]


def test_a_round_without_rules_is_there_and_says_so(people, entry):
    (recording,) = read(people, entry)
    assert recording.sentence == "How it is made is not written down: ask the institution"
    assert recording.takes == []


def test_an_entry_without_recorded_rounds_has_none(people):
    entry = EntryFactory(student=people.sam_student)
    AssignmentFactory(entry=entry)
    assert read(people, entry) == []


def test_rules_without_pieces_say_so(people):
    entry = EntryFactory(student=people.sam_student)
    RecordingRulesFactory(requirement_set=entry.requirement_set)
    (recording,) = read(people, entry)
    assert recording.sentence == "No piece is chosen for it yet"


# the takes


def test_what_is_missing_turns_right_step_by_step(people, entry, rules, pieces):
    study, solo = pieces
    assert read(people, entry)[0].sentence.startswith("Record “")
    good(entry, rules, study, chosen=True)
    (recording,) = read(people, entry)
    assert "solo" in recording.sentence
    assert "study" not in recording.sentence
    take = good(entry, rules, solo, silence_seen=False)
    (recording,) = read(people, entry)
    assert recording.judged[1].look == ("that nobody speaks",)
    assert not recording.ready
    Take.objects.filter(pk=take.pk).update(silence_seen=True, chosen=True)
    (recording,) = read(people, entry)
    assert recording.ready
    assert recording.step == "open"
    for each in Take.objects.all():
        each.sent_on = date(2026, 11, 20 + each.pk % 2)
        each.save()
    (recording,) = read(people, entry)
    assert (recording.step, recording.sentence) == ("done", "Sent on 21 November")


@pytest.mark.parametrize(
    ("values", "why"),
    [
        ({"made_on": date(2026, 6, 7)}, "too old"),
        ({"edited": "yes"}, "is edited"),
        ({"piano": "yes"}, "with piano, and none is asked for"),
    ],
)
def test_a_take_that_breaks_a_rule_says_which(people, entry, rules, pieces, values, why):
    rules.piano = "without piano"
    rules.save()
    good(entry, rules, pieces[0], **{"piano": "no"} | values)
    (recording,) = read(people, entry)
    (line,) = recording.judged
    assert why in " ".join(line.refusals)


def test_six_months_are_counted_to_the_day_it_is_due(people, entry, rules, pieces):
    # Due on 8 December: a take of 8 June is six months old that day, one of 7 June is older.
    good(entry, rules, pieces[0], made_on=date(2026, 6, 8))
    good(entry, rules, pieces[0], made_on=date(2026, 6, 7))
    old, new = read(people, entry)[0].judged
    assert bool(old.refusals) is True
    assert new.refusals == ()
    assert new.usable_until == date(2026, 12, 8)


def test_the_order_of_several_pieces_has_to_be_heard(people, entry, rules, pieces):
    rules.files, rules.fixed_order = "one file", "yes"
    rules.save()
    take = TakeFactory(
        entry=entry,
        rules=rules,
        pieces=pieces,
        edited="no",
        silence_seen=True,
        chosen=True,
    )
    (recording,) = read(people, entry)
    assert recording.judged[0].look == ("the order",)
    assert recording.sentence == "Listen whether the order is the one asked for"
    assert not recording.ready
    assert {line.rule: line.status for line in recording.lines}["order"] == "to look at"
    Take.objects.filter(pk=take.pk).update(order_seen=True)
    (recording,) = read(people, entry)
    assert recording.ready
    assert {line.rule: line.status for line in recording.lines}["order"] == "met"


def test_what_is_on_a_take_stands_in_the_order_asked_for(people, entry, rules, pieces):
    study, solo = pieces
    other = PieceFactory(studio=people.studio)
    TakeFactory(entry=entry, rules=rules, pieces=[other, solo, study], minutes=Decimal("6.5"))
    (line,) = read(people, entry)[0].judged
    assert line.names == ("The slow study", "The solo", "another piece")
    assert line.minutes == "6.5"


def test_a_take_without_pieces_is_told_and_counts_for_nothing(people, entry, rules):
    TakeFactory(entry=entry, rules=rules)
    (recording,) = read(people, entry)
    assert recording.judged[0].refusals == ("nobody has written down what is on it",)
    assert problem(recording).takes == ()


def test_it_is_late_once_its_day_is_over(people, entry, rules, clock):
    clock.move_to("2026-12-08 18:00Z")
    assert read(people, entry)[0].step == "open"
    clock.move_to("2026-12-09 18:00Z")
    assert read(people, entry)[0].step == "late"


def test_what_its_tasks_say_is_done_is_not_called_late(people, entry, rules, clock):
    clock.move_to("2026-12-09 18:00Z")
    task = TaskFactory(entry=entry, deadline=Deadline.objects.get(), on=None)
    assert read(people, entry)[0].step == "late"
    task.tick(people.ines.user, date(2026, 12, 7))
    (recording,) = read(people, entry)
    assert recording.step == "done"
    assert recording.sentence == "Done by its tasks; which take was sent is not written down"


def test_what_is_allowed_need_not_be_looked_for(people, entry, rules, pieces):
    rules.speaking, rules.names, rules.editing = "yes", "not stated", "yes"
    rules.save()
    good(entry, rules, pieces[0], silence_seen=False, edited="not stated")
    assert read(people, entry)[0].judged[0].look == ()


# the pages


def posted(rules, *pieces, **values):
    return {
        "rules": rules.pk,
        "made_on": "2026-11-14",
        "file": "study.wav",
        "pieces": [piece.pk for piece in pieces],
    } | values


def test_an_assistant_adds_a_take_and_a_student_cannot(client, people, entry, rules, pieces):
    url = reverse("take_add", args=[entry.pk])
    client.force_login(people.sam.user)
    assert client.post(url, posted(rules, pieces[0])).status_code == 404
    assert not Take.objects.exists()
    client.force_login(people.ana.user)
    assert client.post(url, posted(rules, pieces[0])).url == reverse("recordings", args=[entry.pk])
    take = Take.objects.get()
    assert list(take.pieces.all()) == [pieces[0]]
    assert (take.edited, take.piano, take.chosen) == ("not stated", "not stated", False)


def test_a_take_that_was_sent_is_the_one_to_be_sent(as_teacher, entry, rules, pieces):
    as_teacher.post(
        reverse("take_add", args=[entry.pk]), posted(rules, pieces[0], sent_on="2026-11-20")
    )
    assert Take.objects.get().chosen


@pytest.mark.parametrize(
    ("values", "words"),
    [
        ({"made_on": "2026-11-26"}, "still to come"),
        ({"sent_on": "2026-11-26"}, "still to come"),
        ({"sent_on": "2026-11-13"}, "before it was made"),
        ({"pieces": []}, "Tick at least one piece."),
        ({"made_on": ""}, "required"),
        ({"minutes": "-1"}, "greater than or equal to 0"),
    ],
)
def test_what_cannot_be_is_refused(as_teacher, entry, rules, pieces, values, words):
    answer = as_teacher.post(
        reverse("take_add", args=[entry.pk]), posted(rules, pieces[0]) | values
    )
    assert answer.status_code == 422
    assert words in answer.content.decode()
    assert not Take.objects.exists()


def test_the_same_take_twice_is_refused(as_teacher, entry, rules, pieces):
    url = reverse("take_add", args=[entry.pk])
    as_teacher.post(url, posted(rules, pieces[0]))
    again = as_teacher.post(url, posted(rules, pieces[0]))
    assert "give it another name" in again.content.decode()
    assert Take.objects.count() == 1


def test_foreign_rules_and_pieces_are_refused(as_teacher, people, entry, rules, pieces):
    url = reverse("take_add", args=[entry.pk])
    other = EntryFactory(student=people.mia_student)
    foreign = RecordingRulesFactory(requirement_set=other.requirement_set)
    not_asked = PieceFactory(studio=people.studio)
    for body in (posted(foreign, pieces[0]), posted(rules, not_asked)):
        assert as_teacher.post(url, body).status_code == 422
    assert not Take.objects.exists()


def test_another_studio_reaches_no_take(client, people, entry, rules, pieces):
    take = good(entry, rules, pieces[0])
    client.force_login(people.otto.user)
    body = posted(rules, pieces[0], note="Otto was here")
    for name, key in (
        ("recordings", entry.pk),
        ("take_add", entry.pk),
        ("take_edit", take.pk),
        ("take_remove", take.pk),
    ):
        assert client.post(reverse(name, args=[key]), body).status_code == 404, name
    assert Take.objects.get().note == ""


def test_a_take_is_changed_and_removed(as_teacher, entry, rules, pieces):
    take = good(entry, rules, pieces[0])
    as_teacher.post(reverse("take_edit", args=[take.pk]), posted(rules, *pieces, names_seen="on"))
    take.refresh_from_db()
    assert (take.names_seen, take.silence_seen, take.pieces.count()) == (True, False, 2)
    as_teacher.post(reverse("take_remove", args=[take.pk]))
    assert not Take.objects.exists()


def test_a_take_made_for_other_requirements_is_not_lost(as_teacher, entry, rules, pieces):
    take = good(entry, rules, pieces[0], file="old.wav")
    entry.requirement_set = RequirementSetFactory(institution=entry.audition.institution)
    entry.save()
    url = reverse("recordings", args=[entry.pk])
    assert "old.wav" in as_teacher.get(url).content.decode()
    others = RecordingRulesFactory(requirement_set=entry.requirement_set)
    as_teacher.post(reverse("take_edit", args=[take.pk]), posted(others, pieces[0]))
    take.refresh_from_db()
    assert take.rules == others
    assert as_teacher.get(url).context["left_over"] == []


def test_without_rules_there_is_nothing_to_add_a_take_to(as_teacher, entry):
    answer = as_teacher.get(reverse("take_add", args=[entry.pk]))
    assert answer.url == reverse("recordings", args=[entry.pk])
    page = as_teacher.get(answer.url).content.decode()
    assert "once the set says how the recording is made" in page


def test_the_page_tells_rules_takes_and_what_is_missing(as_teacher, entry, rules, pieces):
    rules.notes, rules.names = "No stage dress.", "yes"
    rules.save()
    good(entry, rules, pieces[0], edited="yes", note="Reed leaks")
    page = as_teacher.get(reverse("recordings", args=[entry.pk])).content.decode()
    for words in (
        "Due Tuesday 8 December",
        "Not edited",
        "“No stage dress.” · not checked by the program",
        "Is edited.",
        "“Reed leaks”",
        "Names are allowed",
        "Not stated: the order, piano or not, with a picture or not, the camera, how long",
    ):
        assert words.lower() in page.lower(), words


def test_the_part_and_the_entry_say_in_a_line_what_is_missing(client, people, entry, rules):
    for who, url in (
        (people.sam, reverse("part")),
        (people.ines, entry.get_absolute_url()),
        (people.ines, people.sam_student.get_absolute_url()),
    ):
        client.force_login(who.user)
        page = client.get(url).content.decode()
        assert "due Tuesday 8 December: " in page, url
        assert "Record “The slow study” and “The solo”" in page, url


def test_the_part_on_paper_says_it_too(as_student, entry, rules):
    pdf = PdfReader(io.BytesIO(as_student.get(reverse("part_sheet")).content))
    text = " ".join(" ".join(page.extract_text() for page in pdf.pages).split())
    assert "Screening recording" in text
    assert "Record “The slow study” and “The solo”" in text
    caches["sheets"].clear()


def test_it_asks_as_often_for_many_takes_as_for_few(as_teacher, entry, rules, pieces):
    def cost():
        with CaptureQueriesContext(connection) as queries:
            as_teacher.get(reverse("recordings", args=[entry.pk]))
        return len(queries)

    good(entry, rules, pieces[0])
    few = cost()
    for piece in pieces * 3:
        good(entry, rules, piece)
    assert cost() == few <= 12
