"""The history tells each value before and after; the bin holds what was removed."""

import pytest
from django.urls import reverse

from studio.accounts import history
from studio.accounts.models import Change
from studio.students.models import Student
from tests.factories import InstrumentFactory, OfferedDateFactory, full_entry

pytestmark = pytest.mark.django_db


def batch_of(client, act):
    return client.get(reverse("history_batch", args=[act.batch])).content.decode()


def test_a_change_says_what_was_and_what_is(as_teacher, people):
    student = people.sam_student
    horn = InstrumentFactory(studio=people.studio, name="Natural horn")
    was = student.instrument
    with history.acting(people.theo.user) as act:
        student.town, student.instrument, student.at_school = "Norwood", horn, False
        student.save()
    page = batch_of(as_teacher, act)
    for words in ("Theo Brandt", "Norwood", "Natural horn", str(was), "<td>yes</td><td>no</td>"):
        assert words in page
    assert "feed_token" not in page and student.feed_token not in page


def test_a_date_tells_the_names_of_its_instruments(as_teacher, people):
    entry = full_entry(people.sam_student)
    offered = OfferedDateFactory(audition=entry.audition)
    with history.acting(people.theo.user) as act:
        offered.instruments.add(entry.instrument)
    assert f"<td>nothing</td><td>{entry.instrument}</td>" in batch_of(as_teacher, act)


def test_what_was_removed_lies_in_the_bin_until_it_comes_back(as_teacher, people):
    entry = full_entry(people.sam_student)
    with history.acting(people.ines.user):
        Student.objects.get(pk=people.sam_student.pk).delete()
    page = as_teacher.get(reverse("bin")).content.decode()
    assert "<b>Sam Reyes</b>" in page and "1 entry" in page and "removed by Ines Amadi" in page
    batch = Change.objects.filter(action="removed", model="students.student").get().batch
    answer = as_teacher.post(reverse("undo", args=[batch]), {"next": reverse("bin")}, follow=True)
    assert "Brought back." in answer.content.decode()
    assert "The bin is empty" in answer.content.decode()
    assert Student.objects.get(pk=people.sam_student.pk).entries.get().pk == entry.pk


def test_a_removal_taken_back_and_done_again_lies_there_once(as_teacher, people):
    student = people.mia_student
    for _ in range(2):
        with history.acting(people.ines.user) as act:
            Student.objects.get(pk=student.pk).delete()
        page = as_teacher.get(reverse("bin")).content.decode()
        assert page.count("<b>Mia Okafor</b>") == 1
        history.undo(act.batch, people.studio)


def test_another_studios_bin_and_history_stay_closed(as_teacher, people):
    with history.acting(people.otto.user) as act:
        people.otto.studio.name = "Elsewhere at sea"
        people.otto.studio.save()
        InstrumentFactory(studio=people.otto.studio, name="Serpent").delete()
    assert as_teacher.get(reverse("history_batch", args=[act.batch])).status_code == 404
    assert "Serpent" not in as_teacher.get(reverse("bin")).content.decode()


def test_older_changes_come_page_by_page(as_teacher, people):
    for n in range(65):
        with history.acting(people.theo.user):
            people.sam_student.town = f"Town {n}"
            people.sam_student.save()
    first = as_teacher.get(reverse("history"))
    assert len(first.context["batches"]) == 60
    second = as_teacher.get(reverse("history"), {"before": first.context["older"]})
    seen = {batch.batch for page in (first, second) for batch in page.context["batches"]}
    assert len(seen) == 60 + len(second.context["batches"]) >= 65
    assert as_teacher.get(reverse("history"), {"before": "9" * 30}).status_code == 200
