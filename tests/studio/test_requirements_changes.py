"""What is different since the last check, and from the set that one was copied from, in words."""

from datetime import date
from decimal import Decimal

import pytest

from studio.accounts import history
from studio.accounts.history import acting
from studio.requirements import changes, copying, queries
from studio.requirements.changes import Difference, compared, differences
from studio.requirements.models import Requirement, RequirementSet
from tests.factories import (
    InstitutionFactory,
    JudgementFactory,
    RequirementFactory,
    RequirementSetFactory,
)


class TestWords:
    def test_a_changed_value_stands_with_the_one_before(self):
        found = compared({"Minutes": "8", "Piano": "with"}, {"Minutes": "7", "Piano": "with"})
        assert found == ("Minutes 8, before 7",)

    def test_nothing_is_said_to_be_nothing(self):
        assert compared({"Scales": ""}, {"Scales": "major"}) == ("Scales nothing, before major",)
        assert compared({"Scales": "major"}, {}) == ("Scales major, before nothing",)
        assert compared({}, {"Scales": "major"}) == ("Scales nothing, before major",)

    def test_rows_are_new_changed_or_gone(self):
        now = {1: {"Name": "Solo"}, 2: {"Name": "Slow study"}, 3: {"Name": "Scales"}}
        before = {2: {"Name": "Study"}, 3: {"Name": "Scales"}, 4: {"Name": "Interview"}}
        assert differences(now, before) == (
            Difference("Solo", "new"),
            Difference("Slow study", "changed", ("Name Slow study, before Study",)),
            Difference("Interview", "gone"),
        )

    def test_older_history_says_nothing_of_keys_and_study_time(self):
        now = changes.columns(Requirement(name="Scales", kind="scales", memory="yes"))
        older = {name: now[name] for name in now.keys() - {"keys_at", "study_seconds"}}
        assert compared(changes.row_words(now, {}), changes.row_words(older, {})) == ()
        now |= {"keys_at": "concert", "study_seconds": 30}
        assert compared(changes.row_words(now, {}), changes.row_words(older, {})) == (
            "Keys concert keys, before not stated",
            "Study time, seconds 30, before nothing",
        )


@pytest.fixture
def asked(people):
    """A set with a solo and a study, checked on 14 September."""
    made = RequirementSetFactory(institution=InstitutionFactory(studio=people.studio))
    RequirementFactory(requirement_set=made, name="Solo", kind="solo", minutes=7)
    RequirementFactory(requirement_set=made, name="Study", position=2)
    return check(made, date(2026, 9, 14))


def check(requirement_set, on):
    with acting(None):
        requirement_set.checked_by, requirement_set.checked_on = "R. Amadi", on
        requirement_set.save()
    return requirement_set


def read(requirement_set):
    return queries.whole_sets().get(pk=requirement_set.pk)


@pytest.mark.django_db
class TestSinceTheCheck:
    def test_nothing_has_changed_straight_after_it(self, asked):
        assert changes.since_check(read(asked)) == ()

    def test_what_was_changed_added_and_removed_is_told(self, asked):
        solo, study = asked.requirements.all()
        solo.minutes, solo.memory, solo.at_most = Decimal("8.0"), "yes", 2
        solo.save()
        study.delete()
        RequirementFactory(requirement_set=asked, name="Excerpts", position=3)
        asked.reuse = "no"
        asked.save()
        assert changes.since_check(read(asked)) == (
            Difference("", "changed", ("One piece in two slots no, before not stated",)),
            Difference(
                "Solo",
                "changed",
                (
                    "Number 1 to 2, before 1",
                    "Minutes 8, before 7",
                    "From memory yes, before not stated",
                ),
            ),
            Difference("Excerpts", "new"),
            Difference("Study", "gone"),
        )

    def test_a_new_place_in_a_group_is_told_by_name_but_not_a_new_place_in_the_list(self, asked):
        study = asked.requirements.get(name="Study")
        group = RequirementFactory(requirement_set=asked, name="Any of these", kind="some of")
        check(asked, date(2026, 9, 20))
        study.parent, study.position = group, 7
        study.save()
        assert changes.since_check(read(asked)) == (
            Difference("Study", "changed", ("Inside Any of these, before nothing",)),
        )

    def test_what_was_changed_and_changed_back_is_not(self, asked):
        solo = asked.requirements.get(name="Solo")
        for minutes in (9, 7):
            solo.minutes = minutes
            solo.save()
        assert changes.since_check(read(asked)) == ()

    def test_a_later_check_begins_anew(self, asked):
        asked.requirements.get(name="Study").delete()
        check(asked, date(2026, 10, 20))
        assert changes.since_check(read(asked)) == ()

    def test_a_check_that_is_taken_back_leaves_the_one_before(self, people, asked):
        asked.requirements.get(name="Study").delete()
        with acting(None) as act:
            asked.checked_on = date(2026, 10, 20)
            asked.save()
        history.undo(act.batch, people.studio)
        assert changes.since_check(read(asked)) == (Difference("Study", "gone"),)

    def test_what_came_in_one_batch_with_the_check_is_checked(self, people):
        with acting(None):
            made = RequirementSetFactory(
                institution=InstitutionFactory(studio=people.studio), checked_on=date(2026, 9, 1)
            )
            RequirementFactory(requirement_set=made)
        assert changes.since_check(read(made)) == ()

    def test_another_set_and_a_set_that_was_never_checked_tell_nothing(self, people, asked):
        other = RequirementSetFactory(institution=asked.institution)
        RequirementFactory(requirement_set=other)
        assert changes.since_check(read(asked)) == ()
        assert changes.since_check(read(other)) == ()

    def test_it_costs_two_queries(self, asked, django_assert_num_queries):
        asked.requirements.get(name="Study").delete()
        row = read(asked)
        with django_assert_num_queries(2):
            changes.since_check(row)


@pytest.mark.django_db
class TestFromTheSource:
    @pytest.fixture
    def copied(self, asked):
        JudgementFactory(requirement=asked.requirements.first())
        target = RequirementSet(
            institution=asked.institution, season="2027–28", instrument=asked.instrument
        )
        source = queries.copied_sets().get(pk=asked.pk)
        return copying.copy(source, target)

    def test_a_fresh_copy_says_the_same(self, asked, copied):
        assert changes.from_source(read(asked), read(copied)) == ()

    def test_a_row_goes_with_the_one_of_its_name_else_of_its_place(self, asked, copied):
        Requirement.objects.filter(requirement_set=copied, name="Solo").update(minutes=8)
        Requirement.objects.filter(requirement_set=copied, name="Study").update(name="Fast study")
        RequirementFactory(requirement_set=copied, name="Interview", kind="interview", position=3)
        RequirementFactory(requirement_set=asked, name="Letter", kind="paper", position=4)
        RequirementSet.objects.filter(pk=copied.pk).update(notes="Odd years only.")
        assert changes.from_source(read(asked), read(copied)) == (
            Difference("", "changed", ("Notes Odd years only., before nothing",)),
            Difference("Solo", "changed", ("Minutes 8, before 7",)),
            Difference("Fast study", "changed", ("Name Fast study, before Study",)),
            Difference("Interview", "new"),
            Difference("Letter", "gone"),
        )
