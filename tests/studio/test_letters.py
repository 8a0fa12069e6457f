"""The letters that the teacher writes: which, for whom, by when, and what can be said."""

from datetime import date

import pytest
import time_machine
from django.db import connection
from django.test.utils import CaptureQueriesContext
from django.urls import reverse

from studio.entries import queries as entries_queries
from studio.entries.bridge import Season
from studio.entries.models import Task
from tests.big_studio import build
from tests.factories import (
    DeadlineFactory,
    EntryFactory,
    RecommenderFactory,
    TaskFactory,
    full_entry,
)

pytestmark = pytest.mark.django_db

MONDAY = date(2026, 11, 23)


@pytest.fixture(autouse=True)
def november():
    with time_machine.travel("2026-11-23 18:00Z", tick=False):
        yield


def letter(entry, on, writer=None, **fields):
    """A letter of an entry that is due on a day."""
    deadline = DeadlineFactory(audition=entry.audition, kind="letter", on=on)
    given = {"doer": "other" if writer else "teacher", "name": "Send the letter", **fields}
    return TaskFactory(entry=entry, deadline=deadline, on=None, recommender=writer, **given)


def ours(student, name="Ines Amadi"):
    return RecommenderFactory(student=student, name=name, is_ours=True)


def shown(client):
    return client.get(reverse("letters")).context["page"]


def test_the_letters_are_those_that_a_teacher_of_the_studio_writes(as_teacher, people):
    sam, mia = (EntryFactory(student=s) for s in (people.sam_student, people.mia_student))
    mine = ours(people.sam_student)
    letter(sam, date(2026, 12, 1), mine)
    letter(sam, date(2026, 12, 2), mine, doer="student", name="Ask for the letter")
    letter(sam, date(2026, 12, 3), RecommenderFactory(student=people.sam_student))
    letter(mia, date(2026, 12, 10))
    TaskFactory(entry=mia, doer="teacher", name="Read the essay")
    page = shown(as_teacher)
    assert [(one.student.name, one.by, len(one.cues)) for one in page.letters] == [
        ("Sam Reyes", "Ines Amadi", 1),
        ("Mia Okafor", "the teacher", 1),
    ]
    assert page.summary == "2 letters to 2 places."


def test_letters_stand_under_the_week_of_their_earliest_date(as_teacher, people):
    first, second = (
        EntryFactory(student=people.sam_student, audition__institution__short_name=name)
        for name in ("Fairmont", "Norwood")
    )
    mine = ours(people.sam_student)
    letter(second, date(2026, 12, 15), mine)
    letter(first, date(2026, 12, 4), mine)
    late = EntryFactory(student=people.mia_student, audition__institution__short_name="Carrow")
    letter(late, date(2026, 11, 20), ours(people.mia_student))
    soon = EntryFactory(student=people.mia_student)
    letter(soon, date(2026, 11, 27))
    page = shown(as_teacher)
    assert [(week.title, week.late) for week in page.weeks] == [
        ("Overdue", True),
        ("This week", False),
        ("Week of Monday 30 November", False),
    ]
    (one,) = page.weeks[2].letters
    assert one.due == date(2026, 12, 4)
    assert one.once == "One letter for Fairmont and Norwood: write it once, send it to each."


def test_a_letter_is_due_when_what_waits_for_it_needs_it(as_teacher, people):
    entry = EntryFactory(student=people.sam_student)
    task = letter(entry, date(2026, 12, 10), ours(people.sam_student))
    assert shown(as_teacher).letters[0].due == date(2026, 12, 10)
    TaskFactory(
        entry=entry,
        deadline=task.deadline,
        on=None,
        name="Check that the letter is in",
        after=task,
        lead=3,
    )
    (one,) = shown(as_teacher).letters
    assert one.due < date(2026, 12, 10)
    assert one.due == next(
        cue.due.plan_by
        for cue in Season(entries_queries.whole_season(people.ines).get(pk=entry.student_id)).cues
        if cue.task == task
    )


def test_a_shared_letter_is_one_thing_to_tick(as_teacher, people):
    mine = ours(people.sam_student)
    tasks = [
        letter(
            EntryFactory(student=people.sam_student, audition__institution__short_name=name),
            date(2026, 12, day),
            mine,
            shared=True,
        )
        for name, day in (("Fairmont", 4), ("Norwood", 15))
    ]
    (one,) = shown(as_teacher).letters
    (cue,) = one.cues
    assert one.due == date(2026, 12, 4)
    assert one.places == ["Fairmont", "Norwood"]
    back = {"next": reverse("letters"), "was": "open"}
    as_teacher.post(reverse("task_tick", args=[cue.task.pk]), back)
    assert set(Task.objects.filter(pk__in=[t.pk for t in tasks]).values_list("state")) == {
        ("done",)
    }
    assert shown(as_teacher).letters == []


def test_a_ticked_letter_is_written_and_can_be_opened_again(as_teacher, people):
    task = letter(EntryFactory(student=people.sam_student), date(2026, 12, 4))
    back = {"next": reverse("letters"), "was": "open"}
    done = as_teacher.post(reverse("task_tick", args=[task.pk]), back, follow=True)
    assert done.redirect_chain == [(reverse("letters"), 302)]
    page = shown(as_teacher)
    assert (page.letters, [pair[0] for pair in page.written]) == ([], [task])
    as_teacher.post(reverse("task_tick", args=[task.pk]), {**back, "was": "done"})
    assert len(shown(as_teacher).letters) == 1


def test_letters_of_what_is_decided_or_withdrawn_are_not_to_be_written(as_teacher, people):
    entry = EntryFactory(student=people.sam_student)
    letter(entry, date(2026, 12, 4))
    assert len(shown(as_teacher).letters) == 1
    for result in ("withdrawn", "not offered"):
        entry.result = result
        entry.save()
        assert shown(as_teacher).letters == []


def test_a_letter_counted_from_a_date_that_is_not_chosen_says_so(as_teacher, people):
    entry = EntryFactory(student=people.sam_student, chosen_date=None, date_state="open")
    TaskFactory(entry=entry, on=None, of_day=True, doer="other", recommender=ours(entry.student))
    page = as_teacher.get(reverse("letters"))
    assert page.context["page"].weeks[0].title == "Without a date yet"
    assert "Choose the date of the audition" in page.content.decode()


def test_the_facts_are_those_recorded_and_no_others(as_teacher, people):
    student = people.sam_student
    student.since, student.school_year = date(2021, 9, 1), "12th grade"
    student.save()
    entry = full_entry(student)
    letter(entry, date(2026, 12, 4))
    heard = EntryFactory(student=student, result="offered", result_on=date(2026, 11, 20))
    (one,) = shown(as_teacher).letters
    facts = {fact.label: fact.lines for fact in one.facts}
    assert facts["With the studio"] == ("since 1 September 2021",)
    assert facts["School year"] == ("12th grade",)
    assert len(facts["Pieces"]) == 2
    assert all(" of 100" in line for line in facts["Pieces"])
    assert facts["Results"] == (f"{heard.audition}: Offered a place, 20 November 2026",)
    student.since, student.school_year = None, ""
    student.save()
    heard.delete()
    (one,) = shown(as_teacher).letters
    assert {fact.label for fact in one.facts} == {"Instrument", "Pieces", "Auditions"}


def test_the_week_names_letters_on_their_day_and_late_ones_today(as_teacher, people):
    entry = EntryFactory(
        student=people.sam_student,
        audition__institution__short_name="Fairmont",
        audition__institution__time_zone="America/Chicago",
    )
    task = letter(entry, date(2026, 11, 27), ours(people.sam_student))

    def named():
        days = as_teacher.get(reverse("week")).context["page"].week.days
        return {day.on: [one.todo for one in day.letters] for day in days if day.letters}

    told = ["Sam Reyes: Ines Amadi writes to Fairmont"]
    assert named() == {date(2026, 11, 27): told}
    task.deadline.on = date(2026, 11, 20)
    task.deadline.save()
    assert named() == {MONDAY: told}


def test_the_letters_ask_as_often_for_thirty_students_as_for_one(client):
    counts = []
    for size in (1, 30):
        owner = build(size, MONDAY)
        for student in owner.studio.students.all():
            writer = ours(student)
            for entry in student.entries.all():
                letter(entry, date(2026, 12, 4), writer)
        client.force_login(owner.user)
        with CaptureQueriesContext(connection) as asked:
            page = client.get(reverse("letters"))
        assert len(page.context["page"].letters) == size
        counts.append(len(asked))
    assert counts[0] == counts[1] <= 12
