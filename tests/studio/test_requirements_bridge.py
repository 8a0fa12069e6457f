"""From rows to what planner.repertoire is asked: pieces, slots, groups, what is left out."""

from decimal import Decimal

import pytest

from planner.repertoire.model import Again, Binding, Group, Piece, Slot, Together
from planner.repertoire.rules import About, Rule
from studio.requirements import bridge, queries
from tests.factories import (
    InstitutionFactory,
    InstrumentFactory,
    JudgementFactory,
    PieceFactory,
    RequirementFactory,
    RequirementSetFactory,
)

pytestmark = pytest.mark.django_db


@pytest.fixture
def asked(people):
    return RequirementSetFactory(institution=InstitutionFactory(studio=people.studio))


@pytest.fixture
def row(asked):
    """Add a requirement to the set."""

    def add(name, kind="etude", **values):
        return RequirementFactory(requirement_set=asked, name=name, kind=kind, **values)

    return add


def hearings(asked, instrument="Horn"):
    return bridge.hearings(queries.planned_sets().get(pk=asked.pk), instrument)


def only(asked):
    [hearing] = hearings(asked)
    return hearing


def names(nodes):
    return [node.name for node in nodes]


class TestPieces:
    def test_every_fact_goes_along_in_whole_numbers(self, people):
        row = PieceFactory(
            studio=people.studio,
            composer="Ferrant",
            work="Concerto",
            section="first movement",
            instrument=InstrumentFactory(studio=people.studio),
            kind="solo",
            book="Collected works",
            genre="concerto",
            period="Romantic",
            year=1887,
            character="dramatic, very fast and loud",
            language="none",
            level=8,
            bars="1 to 64",
            minutes=Decimal("7.5"),
            piano="with piano",
            edition="Weir",
        )
        assert bridge.piece(row, 90) == Piece(
            key=str(row.pk),
            name="Ferrant, Concerto, first movement",
            prep=90,
            kind="solo",
            instrument="Horn",
            composer="Ferrant",
            work="Concerto",
            section="first movement",
            book="Collected works",
            genre="concerto",
            period="Romantic",
            year=1887,
            character=("dramatic", "very fast", "loud"),
            seconds=450,
            piano="with piano",
            language="none",
            edition="Weir",
            bars="1 to 64",
            level=8,
        )

    def test_what_is_not_known_stays_unknown(self, people):
        made = bridge.piece(PieceFactory(studio=people.studio, composer=""), 0)
        assert (made.instrument, made.character, made.seconds, made.year) == ("", (), None, None)


class TestSlots:
    def test_a_slot_stands_for_the_player_with_the_teachers_word(self, asked, row):
        need = row("Studies", at_least=2, at_most=3, piano="without piano", memory="yes")
        said = JudgementFactory(requirement=need, fits=False)
        [slot] = only(asked).slots
        assert slot == Slot(
            key=str(need.pk),
            name="Studies",
            kind="etude",
            least=2,
            most=3,
            instrument="Horn",
            piano="without piano",
            judged={str(said.piece_id): False},
        )

    def test_rules_in_notation_are_read(self, asked, row):
        row("Solo", "solo", fits="composer: Mozart or Haydn; not genre: aria")
        [slot] = only(asked).slots
        assert slot.rules == (
            Rule(About.COMPOSER, ("Mozart", "Haydn")),
            Rule(About.GENRE, ("aria",), barred=True),
        )

    def test_what_cannot_be_read_is_passed_over(self, asked, row):
        row("Solo", "solo", fits="whatever they like", together="nicely")
        [slot] = only(asked).slots
        assert slot.rules == ()
        assert only(asked).together == ()

    def test_a_slot_may_name_another_instrument(self, asked, row):
        plain = bridge.slot(row("Solo"), "Flute", {})
        other = bridge.slot(row("Extra", fits="instrument: Piccolo"), "Flute", {})
        barred = bridge.slot(row("Own", fits="not instrument: Piccolo"), "Flute", {})
        named = [bridge.names_instrument(slot) for slot in (plain, other, barred)]
        assert named == [False, True, False]

    def test_what_binds_pieces_binds_those_of_its_slot_its_group_or_the_hearing(self, asked, row):
        asked.together = "different composers"
        asked.save()
        group = row("Two of these", "some of", at_least=2, together="minutes: at most 10")
        study = row("Studies", parent=group, at_least=2, together="contrasting")
        row("Solo", "solo", parent=group)
        row("Excerpt", "excerpt", parent=group)
        found = [(each.binding, each.scope, each.most) for each in only(asked).together]
        assert found == [
            (Binding.COMPOSERS, None, None),
            (Binding.LENGTH, str(group.pk), 600),
            (Binding.CONTRASTING, str(study.pk), None),
        ]

    def test_minutes_bind_the_pieces_of_a_slot_together(self, asked, row):
        need = row("Solo", "solo", minutes=Decimal("7.5"))
        assert only(asked).together == (
            Together("Solo: at most 7.5 minutes", Binding.LENGTH, scope=str(need.pk), most=450),
        )

    def test_what_asks_for_no_pieces_is_left_out(self, asked, row):
        for kind in ("sight-reading", "test", "interview", "paper"):
            row(kind, kind)
        assert hearings(asked) == ()
        row("An extra that the panel may hear", "solo", at_least=0, at_most=1)
        row("Scales in writing", "scales", scales="major: to 4")
        row("Scales", "scales")
        assert names(only(asked).slots) == ["Scales"]


class TestHearings:
    def test_rounds_are_heard_apart_and_in_order(self, asked, row):
        row("Recorded at last", round="final")
        row("At the audition")
        row("Recorded first", round="screening")
        found = hearings(asked)
        assert [(each.key, each.name) for each in found] == [
            ("screening", "Screening recording"),
            ("live", "Audition"),
            ("final", "Final recording"),
        ]
        assert [names(each.slots) for each in found] == [
            ["Recorded first"],
            ["At the audition"],
            ["Recorded at last"],
        ]

    @pytest.mark.parametrize(
        ("said", "reuse"), [("yes", True), ("no", False), ("not stated", False)]
    )
    def test_one_piece_fills_two_slots_only_where_it_is_said(self, asked, row, said, reuse):
        row("Solo")
        asked.reuse = said
        asked.save()
        assert only(asked).reuse is reuse

    @pytest.mark.parametrize(
        ("said", "again"),
        [
            ("may", Again.MAY),
            ("must", Again.MUST),
            ("must not", Again.MUST_NOT),
            ("not stated", Again.MAY),
        ],
    )
    def test_the_rule_of_the_screening(self, asked, said, again):
        asked.again = said
        assert bridge.again(asked) is again

    def test_all_of_it_costs_three_queries(self, asked, row, django_assert_num_queries):
        for n in range(8):
            JudgementFactory(requirement=row(f"Study {n}"))
        with django_assert_num_queries(3):
            hearings(asked)


class TestGroups:
    def test_groups_within_groups(self, asked, row):
        outer = row("A or B", "some of")
        both = row("Both", "all of", parent=outer, position=2)
        for n, name in enumerate(("Slow", "Fast"), start=3):
            row(name, parent=both, position=n)
        row("Solo", "solo", parent=outer, position=5)
        found = only(asked)
        assert found.groups == (
            Group(str(outer.pk), "A or B", 1, 1),
            Group(str(both.pk), "Both", None, None, inside=str(outer.pk)),
        )
        assert [(slot.name, slot.inside) for slot in found.slots] == [
            ("Slow", str(both.pk)),
            ("Fast", str(both.pk)),
            ("Solo", str(outer.pk)),
        ]

    def test_a_range_of_them(self, asked, row):
        group = row("Two or three", "some of", at_least=2, at_most=3)
        for n in range(4):
            row(f"Study {n}", parent=group)
        assert only(asked).groups == (Group(str(group.pk), "Two or three", 2, 3),)

    def test_an_alternative_without_music_can_be_taken_instead_of_one_with(self, asked, row):
        group = row("Two of three", "some of", at_least=2)
        row("Solo", parent=group)
        row("Study", parent=group)
        row("Sight-reading", "sight-reading", parent=group)
        assert only(asked).groups == (Group(str(group.pk), "Two of three", 1, 2),)

    def test_a_choice_that_can_be_made_without_music_asks_for_none(self, asked, row):
        group = row("An essay or a solo", "some of")
        row("Essay", "paper", parent=group)
        inner = row("Solos", "all of", parent=group)
        row("Solo", parent=inner)
        assert hearings(asked) == ()

    def test_without_music_all_of_a_group_is_left_out_and_counts_as_free(self, asked, row):
        outer = row("One of these", "some of")
        papers = row("Papers", "all of", parent=outer)
        row("Letter", "paper", parent=papers)
        row("Solo", parent=outer)
        assert hearings(asked) == ()

    def test_an_extra_in_a_group_of_all_is_left_out_alone(self, asked, row):
        group = row("All of these", "all of")
        row("Sight-reading", "sight-reading", parent=group)
        row("Solo", parent=group)
        found = only(asked)
        assert names(found.groups) == ["All of these"]
        assert names(found.slots) == ["Solo"]
