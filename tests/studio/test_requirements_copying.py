"""Sets copied and rolled to a new season: the whole tree, nothing checked, one batch."""

from datetime import date

import pytest
from django.db import connection
from django.test.utils import CaptureQueriesContext

from studio.accounts.history import acting, undo
from studio.requirements import copying, queries
from studio.requirements.models import Judgement, Requirement, RequirementSet
from tests.factories import (
    ErratumFactory,
    InstitutionFactory,
    InstrumentFactory,
    JudgementFactory,
    RequirementFactory,
    RequirementSetFactory,
)

pytestmark = pytest.mark.django_db


@pytest.fixture
def source(people):
    """A checked set: two levels of groups above two studies, and a solo; one judgement."""
    asked = RequirementSetFactory(
        institution=InstitutionFactory(studio=people.studio, name="Fairmont"),
        source="https://fairmont.example/horn",
        checked_by="R. Amadi",
        checked_on=date(2026, 9, 14),
        reuse="no",
        again="must",
        together="different composers",
        notes="Odd years only.",
    )
    outer = RequirementFactory(requirement_set=asked, name="A or B", kind="some of", position=9)
    inner = RequirementFactory(
        requirement_set=asked, name="Both", kind="all of", parent=outer, position=1
    )
    for position, name in enumerate(("Slow", "Fast"), start=2):
        RequirementFactory(requirement_set=asked, name=name, parent=inner, position=position)
    solo = RequirementFactory(
        requirement_set=asked, name="Solo", kind="solo", memory="yes", fits="period: Baroque"
    )
    JudgementFactory(requirement=solo, fits=False, reason="too short")
    ErratumFactory(requirement_set=asked)
    return queries.copied_sets().get(pk=asked.pk)


def tree(requirement_set):
    """Return each row with the name of its group."""
    rows = Requirement.objects.filter(requirement_set=requirement_set)
    return {
        (row.position, row.name, row.kind, row.memory, row.fits, str(row.parent)) for row in rows
    }


def new_set(source, **values):
    given = {"institution": source.institution, "instrument": source.instrument}
    return RequirementSet(**{**given, "season": "2027–28", "degree": source.degree, **values})


class TestCopy:
    def test_the_tree_and_the_rules_go_along(self, source):
        made = copying.copy(source, new_set(source))
        assert tree(made) == tree(source)
        assert len(tree(made)) == 5
        kept = (made.reuse, made.again, made.together, made.notes)
        assert kept == ("no", "must", "different composers", "Odd years only.")

    def test_no_field_of_a_row_stays_behind(self):
        fields = {field.name for field in Requirement._meta.concrete_fields}
        assert fields - set(copying.OF_A_ROW) == {"id", "requirement_set", "parent"}

    def test_the_groups_are_the_copys_own(self, source):
        made = copying.copy(source, new_set(source))
        parents = Requirement.objects.filter(children__requirement_set=made)
        assert {parent.requirement_set_id for parent in parents} == {made.pk}

    def test_a_copy_is_not_checked_and_says_where_it_comes_from(self, source):
        made = copying.copy(source, new_set(source))
        made.refresh_from_db()
        assert (made.checked_by, made.checked_on) == ("", None)
        assert made.copied_from == source
        assert not made.errata.exists()

    def test_the_source_link_stays_within_the_institution(self, people, source):
        same = copying.copy(source, new_set(source))
        elsewhere = InstitutionFactory(studio=people.studio)
        other = copying.copy(source, new_set(source, institution=elsewhere))
        assert (same.source, other.source) == ("https://fairmont.example/horn", "")

    def test_judgements_go_along_if_wanted(self, source):
        without = copying.copy(source, new_set(source))
        assert not Judgement.objects.filter(requirement__requirement_set=without).exists()
        made = copying.copy(source, new_set(source, season="2028–29"), judgements=True)
        said = Judgement.objects.get(requirement__requirement_set=made)
        assert (said.requirement.name, said.fits, said.reason) == ("Solo", False, "too short")

    def test_it_is_one_batch_and_can_be_undone(self, people, source):
        with acting(people.ines.user) as act:
            copying.copy(source, new_set(source), judgements=True)
        undo(act.batch, people.studio)
        assert RequirementSet.objects.get() == source
        assert Requirement.objects.count() == 5
        assert Judgement.objects.count() == 1


class TestFill:
    def test_an_empty_set_takes_the_slots_and_keeps_what_it_says(self, source):
        target = RequirementSetFactory(
            institution=source.institution, checked_on=date(2026, 10, 1), reuse="yes"
        )
        copying.fill(target, source)
        target.refresh_from_db()
        assert tree(target) == tree(source)
        assert (target.reuse, target.again, target.together) == (
            "yes",
            "must",
            "different composers",
        )
        assert (target.checked_on, target.copied_from) == (None, source)


class TestRoll:
    def test_sets_are_copied_to_the_season_and_those_there_are_skipped(self, people, source):
        horn, tuba = source.instrument, InstrumentFactory(studio=people.studio, name="Tuba")
        other = RequirementSetFactory(institution=source.institution, instrument=tuba, degree="")
        RequirementFactory(requirement_set=other, name="Slow")
        RequirementSetFactory(
            institution=source.institution, instrument=tuba, degree="", season="2027–28"
        )
        sources = list(queries.copied_sets().filter(season="2026–27"))
        rolled = copying.roll(sources, "2027–28")
        assert [made.instrument for made in rolled.made] == [horn]
        assert rolled.skipped == [other]
        assert tree(rolled.made[0]) == tree(source)

    def test_many_cost_no_more_queries_than_one(self, people, source):
        for n in range(5):
            copying.copy(source, new_set(source, season="2026–27", degree=f"number {n}"))
        some = list(queries.copied_sets().filter(season="2026–27"))
        costs = []
        for sources, season in ((some[:1], "2027–28"), (some, "2028–29")):
            with CaptureQueriesContext(connection) as found:
                copying.roll(sources, season)
            costs.append(len(found))
        assert costs[0] == costs[1]
