"""How a set's recordings are made: written down by round, told in words, copied with the set."""

from datetime import date

import pytest
from django.urls import reverse

from studio.accounts.history import acting
from studio.requirements import changes, copying, queries
from studio.requirements.models import RecordingRules, RequirementSet
from studio.requirements.recording_rules import others, rules, unstated
from studio.requirements.set_page import SetPage
from tests.factories import RecordingRulesFactory, RequirementFactory, RequirementSetFactory

pytestmark = pytest.mark.django_db

POSTED = {"round": "screening", "files": "one file", "editing": "no", "max_age": "6"}


@pytest.fixture
def asked(people):
    return RequirementSetFactory(institution__studio=people.studio)


def add(client, asked, **values):
    return client.post(reverse("recording_rules_add", args=[asked.pk]), POSTED | values)


def test_rules_are_added_and_what_is_left_empty_is_not_stated(as_teacher, asked):
    assert add(as_teacher, asked).status_code == 302
    row = asked.recordings.get()
    assert (row.files, row.editing, row.max_age) == ("one file", "no", 6)
    assert {row.piano, row.speaking, row.names, row.video, row.fixed_order} == {"not stated"}


def test_a_second_one_of_a_round_and_a_live_one_are_refused(as_teacher, asked):
    add(as_teacher, asked)
    again = add(as_teacher, asked)
    assert again.status_code == 422
    assert "written down already" in again.content.decode()
    assert add(as_teacher, asked, round="live").status_code == 422
    assert add(as_teacher, asked, round="final").status_code == 302
    assert asked.recordings.count() == 2


@pytest.mark.parametrize("wrong", [{"max_age": "1201"}, {"max_age": "0"}, {"max_minutes": "0"}])
def test_figures_that_can_only_be_slips_are_refused(as_teacher, asked, wrong):
    response = add(as_teacher, asked, **wrong)
    assert response.status_code == 422
    assert [*response.context["form"].errors] == [*wrong]


def test_the_form_offers_the_round_that_is_free(as_teacher, asked):
    add(as_teacher, asked)
    page = as_teacher.get(reverse("recording_rules_add", args=[asked.pk]))
    assert page.context["form"]["round"].value() == "final"
    add(as_teacher, asked, round="final")
    full = as_teacher.get(reverse("recording_rules_add", args=[asked.pk]))
    first = asked.recordings.get(round="screening")
    assert full.url == reverse("recording_rules_edit", args=[first.pk])


def test_they_are_changed_and_removed(as_teacher, asked):
    row = RecordingRulesFactory(requirement_set=asked)
    url = reverse("recording_rules_edit", args=[row.pk])
    as_teacher.post(url, POSTED | {"max_age": "12"})
    row.refresh_from_db()
    assert row.max_age == 12
    as_teacher.post(reverse("recording_rules_remove", args=[row.pk]))
    assert not RecordingRules.objects.exists()


def test_another_studios_rules_are_not_found(client, people, asked):
    row = RecordingRulesFactory(requirement_set=asked, max_age=6)
    client.force_login(people.otto.user)
    for name, key in (
        ("recording_rules_add", asked.pk),
        ("recording_rules_edit", row.pk),
        ("recording_rules_remove", row.pk),
    ):
        assert client.post(reverse(name, args=[key]), POSTED | {"max_age": "1"}).status_code == 404
    assert RecordingRules.objects.get().max_age == 6


def test_the_rules_in_words():
    row = RecordingRules(
        files="one file",
        fixed_order="yes",
        editing="no",
        piano="without piano",
        speaking="no",
        max_age=1,
        max_minutes=12,
        camera="fixed",
        notes="Send by link.\n\n No sheet music in view.",
    )
    assert rules(row) == (
        "one file with all of them",
        "in the order given",
        "not edited",
        "nobody speaks",
        "without piano",
        "camera: fixed",
        "at most 1 month old",
        "at most 12 minutes in all",
    )
    assert unstated(row) == "with a picture or not, names"
    assert others(row) == ("Send by link.", "No sheet music in view.")
    silent = RecordingRules()
    assert rules(silent) == ()
    assert unstated(silent).split(", ")[-3:] == [
        "the camera",
        "how old it may be",
        "how long it may be",
    ]
    assert "camera" not in unstated(RecordingRules(video="no"))


def test_the_sets_page_tells_them_and_what_is_lacking(as_teacher, asked):
    RequirementFactory(requirement_set=asked, round="final")
    RecordingRulesFactory(requirement_set=asked, editing="no", max_age=6, notes="By link.")
    page = as_teacher.get(asked.get_absolute_url()).content.decode()
    assert "Not edited; at most 6 months old." in page
    assert "“By link.” · not checked by the program" in page
    assert "Final recording: nobody has written down how it is made." in page


def test_who_verifies_a_set_reads_how_its_recordings_are_made(as_teacher, asked):
    RecordingRulesFactory(requirement_set=asked, editing="no")
    page = as_teacher.get(reverse("requirement_set_verify", args=[asked.pk])).content.decode()
    assert "Not edited; at most 6 months old." in page


def test_the_screening_stands_before_the_final_recording(asked):
    for round in ("final", "screening"):
        RecordingRulesFactory(requirement_set=asked, round=round)
    page = SetPage(queries.whole_sets().get(pk=asked.pk), asked.institution.studio)
    assert [str(each.rules) for each in page.recordings] == [
        "Screening recording",
        "Final recording",
    ]


def test_a_copy_and_a_rolled_set_take_them_along(asked):
    RecordingRulesFactory(requirement_set=asked, max_age=6, editing="no")
    source = queries.copied_sets().get(pk=asked.pk)
    target = RequirementSet(
        institution=source.institution, season="2027–28", instrument=source.instrument
    )
    copied = copying.copy(source, target)
    rolled = copying.roll([queries.copied_sets().get(pk=asked.pk)], "2028–29").made[0]
    for made in (copied, rolled):
        row = made.recordings.get()
        assert (row.round, row.max_age, row.editing) == ("screening", 6, "no")
    every = {field.attname for field in RecordingRules._meta.concrete_fields}
    assert every == {"id", "requirement_set_id", *RecordingRules.SAID}


def since_check(asked):
    return changes.since_check(queries.whole_sets().get(pk=asked.pk))


def test_what_changed_since_the_check_is_told(asked):
    row = RecordingRulesFactory(requirement_set=asked, max_age=6)
    with acting(None):
        asked.checked_by, asked.checked_on = "R. Amadi", date(2026, 9, 14)
        asked.save()
    assert since_check(asked) == ()
    with acting(None):
        row.max_age, row.piano = 12, "with piano"
        row.save()
        RecordingRulesFactory(requirement_set=asked, round="final")
    assert since_check(asked) == (
        changes.Difference(
            "How it is made: screening recording",
            "changed",
            (
                "Piano with piano, before not stated",
                "Months old, at most 12, before 6",
            ),
        ),
        changes.Difference("How it is made: final recording", "new"),
    )
    with acting(None):
        row.delete()
    assert [each.state for each in since_check(asked)] == ["new", "gone"]


def test_what_is_different_from_the_source_is_told(asked):
    RecordingRulesFactory(requirement_set=asked, max_age=6)
    source = queries.copied_sets().get(pk=asked.pk)
    target = RequirementSet(
        institution=source.institution, season="2027–28", instrument=source.instrument
    )
    made = copying.copy(source, target)
    RecordingRules.objects.filter(requirement_set=made).update(max_age=3)
    one, other = (queries.compared_sets().get(pk=pk) for pk in (asked.pk, made.pk))
    (found,) = changes.from_source(one, other)
    assert found.words == ("Months old, at most 3, before 6",)


def test_filling_leaves_a_round_alone_that_the_set_tells_of_itself(asked, people):
    RecordingRulesFactory(requirement_set=asked, max_age=6)
    RecordingRulesFactory(requirement_set=asked, round="final", max_age=8)
    target = RequirementSetFactory(institution__studio=people.studio)
    RecordingRulesFactory(requirement_set=target, max_age=3)
    copying.fill(target, queries.copied_sets().get(pk=asked.pk))
    assert {row.round: row.max_age for row in target.recordings.all()} == {
        "screening": 3,
        "final": 8,
    }
