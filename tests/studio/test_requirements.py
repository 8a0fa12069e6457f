"""The repertoire and what institutions ask for: read, written down, verified, removed."""

import re
from datetime import date
from decimal import Decimal

import pytest
import time_machine
from django.urls import reverse

from studio.requirements.models import Piece, Requirement, RequirementSet
from tests.big_studio import build
from tests.factories import (
    AssignmentFactory,
    AuditionFactory,
    EntryFactory,
    InstitutionFactory,
    InstrumentFactory,
    PieceFactory,
    RequirementFactory,
    RequirementSetFactory,
)

pytestmark = pytest.mark.django_db


@pytest.fixture(autouse=True)
def in_november():
    with time_machine.travel("2026-11-03 12:00:00+00:00", tick=False):
        yield


@pytest.fixture
def fairmont(people):
    return InstitutionFactory(studio=people.studio, name="Fairmont University")


@pytest.fixture
def asked(people, fairmont):
    """A set of requirements of Fairmont for the horn."""
    horn = InstrumentFactory(studio=people.studio)
    return RequirementSetFactory(
        institution=fairmont, instrument=horn, level="undergraduate", degree="performance"
    )


def page(client, name, *args, query=""):
    return client.get(reverse(name, args=args) + query).content.decode()


def line_of(html, name):
    return re.search(rf"{name}.*?</tr>", html, re.S).group()


class TestRepertoire:
    def test_pieces_stand_by_composer_or_by_kind(self, as_teacher, people):
        PieceFactory(studio=people.studio, composer="Ferrant", work="Concerto", kind="solo")
        PieceFactory(studio=people.studio, composer="Amsel", work="Studies", kind="etude")
        by_composer = page(as_teacher, "pieces")
        assert by_composer.index("Amsel, Studies") < by_composer.index("Ferrant, Concerto")
        by_kind = page(as_teacher, "pieces", query="?order=kind")
        assert by_kind.index("Ferrant, Concerto") < by_kind.index("Amsel, Studies")

    def test_players_are_students_of_this_season_each_once(self, as_teacher, people):
        piece = PieceFactory(studio=people.studio, work="Romance")
        for student in (people.sam_student, people.sam_student, people.mia_student):
            AssignmentFactory(entry=EntryFactory(student=student), piece=piece)
        other = PieceFactory(studio=people.studio, work="Nocturne")
        past = AuditionFactory(institution__studio=people.studio, season="2025–26")
        entry = EntryFactory(student=people.sam_student, audition=past)
        AssignmentFactory(entry=entry, piece=other)
        html = page(as_teacher, "pieces")
        assert "2 students" in line_of(html, "Romance")
        assert "student" not in line_of(html, "Nocturne")

    def test_a_search_goes_by_composer_work_and_section(self, as_teacher, people):
        PieceFactory(studio=people.studio, work="Forty Studies", section="no. 14")
        PieceFactory(studio=people.studio, work="Romance")
        html = page(as_teacher, "pieces", query="?q=no. 14")
        assert "Forty Studies, no. 14" in html
        assert "Romance" not in html

    def test_a_piece_shows_who_plays_it_for_which_audition(self, as_teacher, people, asked):
        audition = AuditionFactory(institution=asked.institution)
        entry = EntryFactory(student=people.sam_student, audition=audition, requirement_set=asked)
        piece = AssignmentFactory(entry=entry).piece
        html = page(as_teacher, "piece", piece.pk)
        assert "Sam Reyes" in html
        assert "Fairmont University: BMus performance" in html

    def test_a_piece_is_added_in_a_few_strokes_and_the_next_can_follow(self, as_teacher, people):
        row = as_teacher.get(reverse("pieces")).context["quick"]
        sent = {"work": "Romance", "kind": "solo", "minutes": "5", "next": row.next}
        response = as_teacher.post(row.action, sent)
        piece = Piece.objects.get()
        assert (piece.studio, piece.minutes, piece.piano) == (
            people.studio,
            Decimal(5),
            "not stated",
        )
        assert response.url == f"{reverse('pieces')}?added=piece"
        assert "autofocus" in str(as_teacher.get(response.url).context["quick"].fields[0])

    def test_the_same_movement_twice_is_told(self, as_teacher, people):
        PieceFactory(studio=people.studio, composer="Vaal", work="Romance")
        response = as_teacher.post(reverse("piece_add"), {"composer": "Vaal", "work": "Romance"})
        assert response.status_code == 422
        assert "in the repertoire already" in response.content.decode()

    def test_a_piece_that_is_played_stays(self, as_teacher, people):
        piece = AssignmentFactory(entry=EntryFactory(student=people.sam_student)).piece
        url = reverse("piece_remove", args=[piece.pk])
        assert "is still used by" in page(as_teacher, "piece_remove", piece.pk)
        as_teacher.post(url)
        assert Piece.objects.exists()

    def test_a_piece_is_changed_and_removed(self, as_teacher, people):
        piece = PieceFactory(studio=people.studio, target_tempo=None)
        assert "how far a clean tempo is from it" in page(as_teacher, "piece", piece.pk)
        sent = {"work": piece.work, "composer": piece.composer, "target_tempo": 88, "hours": "7.5"}
        as_teacher.post(reverse("piece_edit", args=[piece.pk]), sent)
        piece.refresh_from_db()
        assert (piece.target_tempo, piece.hours) == (88, Decimal("7.5"))
        as_teacher.post(reverse("piece_remove", args=[piece.pk]))
        assert not Piece.objects.exists()


class TestSets:
    def test_the_list_says_what_is_not_checked(self, as_teacher, fairmont, asked):
        RequirementSetFactory(
            institution=fairmont,
            instrument=asked.instrument,
            degree="education",
            checked_by="R. Amadi",
            checked_on=date(2026, 9, 14),
        )
        html = page(as_teacher, "requirement_sets")
        assert "not checked yet" in line_of(html, "Horn, undergraduate, performance")
        assert "14 September 2026 by R. Amadi" in line_of(html, "Horn, education")

    def test_a_new_set_leads_to_its_page(self, as_teacher, people, fairmont):
        horn = InstrumentFactory(studio=people.studio)
        url = reverse("requirement_set_add", args=[fairmont.pk])
        assert as_teacher.get(url).context["form"]["season"].value() == people.studio.season
        response = as_teacher.post(url, {"instrument": horn.pk, "season": "2026–27"})
        made = RequirementSet.objects.get()
        assert made.institution == fairmont
        assert response.url == reverse("requirement_set", args=[made.pk])

    def test_the_same_set_twice_is_told(self, as_teacher, asked):
        sent = {
            "instrument": asked.instrument_id,
            "season": asked.season,
            "level": asked.level,
            "degree": asked.degree,
        }
        url = reverse("requirement_set_add", args=[asked.institution_id])
        response = as_teacher.post(url, sent)
        assert response.status_code == 422
        assert "are there already" in response.content.decode()

    def test_an_unchecked_set_warns_until_somebody_verifies_it(self, as_teacher, people, asked):
        RequirementSet.objects.update(source="https://fairmont.example/horn")
        before = page(as_teacher, "requirement_set", asked.pk)
        assert "Nobody has looked at them again yet: verify with the institution itself." in before
        as_teacher.post(reverse("requirement_set_verify", args=[asked.pk]))
        asked.refresh_from_db()
        assert (asked.checked_by, asked.checked_on) == ("Ines Amadi", date(2026, 11, 3))
        after = page(as_teacher, "requirement_set", asked.pk)
        assert "3 November 2026 by Ines Amadi" in after
        assert "looked at them again" not in after

    def test_opening_the_address_of_the_button_verifies_nothing(self, as_teacher, asked):
        url = reverse("requirement_set_verify", args=[asked.pk])
        assert "It stands as the institution has it" in as_teacher.get(url).content.decode()
        asked.refresh_from_db()
        assert asked.checked_on is None

    def test_a_set_that_entries_use_stays(self, as_teacher, people, asked):
        audition = AuditionFactory(institution=asked.institution)
        EntryFactory(student=people.sam_student, audition=audition, requirement_set=asked)
        html = page(as_teacher, "requirement_set_remove", asked.pk)
        assert "is still used by Sam Reyes" in html
        assert "Sam Reyes" in page(as_teacher, "requirement_set", asked.pk)

    def test_a_set_is_removed_with_its_requirements(self, as_teacher, asked):
        RequirementFactory(requirement_set=asked)
        assert "1 requirement" in page(as_teacher, "requirement_set_remove", asked.pk)
        response = as_teacher.post(reverse("requirement_set_remove", args=[asked.pk]))
        assert response.url == reverse("institution", args=[asked.institution_id])
        assert not Requirement.objects.exists()


class TestRequirements:
    def test_each_new_one_comes_last(self, as_teacher, asked):
        RequirementFactory(requirement_set=asked, position=4)
        url = reverse("requirement_add", args=[asked.pk])
        response = as_teacher.post(url, {"name": "Two studies", "kind": "etude", "at_least": 2})
        made = Requirement.objects.get(name="Two studies")
        assert (made.position, made.at_least, made.weight, made.memory) == (5, 2, 1, "not stated")
        assert response.url == reverse("requirement_set", args=[asked.pk])

    def test_its_rules_are_said_in_words(self, as_teacher, asked):
        RequirementFactory(
            requirement_set=asked,
            name="Excerpts",
            kind="excerpt",
            round="screening",
            at_least=2,
            at_most=3,
            minutes=Decimal("7.5"),
            memory="yes",
            piano="without piano",
            weight=2,
        )
        words = (
            "Orchestral excerpt · 2 to 3 pieces · at most 7.5 minutes · from memory · "
            "without piano · weight 2"
        )
        assert words in page(as_teacher, "requirement_set", asked.pk)

    def test_sight_reading_asks_for_no_pieces(self, as_teacher, asked):
        RequirementFactory(requirement_set=asked, name="Sight-reading", kind="sight-reading")
        assert "1 piece" not in page(as_teacher, "requirement_set", asked.pk)

    def test_a_most_that_is_fewer_than_the_least_is_refused(self, as_teacher, asked):
        url = reverse("requirement_add", args=[asked.pk])
        response = as_teacher.post(url, {"name": "Studies", "at_least": 3, "at_most": 2})
        assert response.status_code == 422
        assert "at_most" in response.context["form"].errors

    def test_it_is_changed_and_removed(self, as_teacher, asked):
        row = RequirementFactory(requirement_set=asked, position=3)
        url = reverse("requirement_edit", args=[row.pk])
        as_teacher.post(url, {"name": "Slow study", "kind": "etude", "weight": 3})
        row.refresh_from_db()
        assert (row.name, row.position, row.weight) == ("Slow study", 3, 3)
        response = as_teacher.post(reverse("requirement_remove", args=[row.pk]))
        assert response.url == reverse("requirement_set", args=[asked.pk])
        assert not Requirement.objects.exists()


def test_thirty_students_cost_no_more_queries_than_one(client, django_assert_max_num_queries):
    counts = {name: [] for name in ("pieces", "piece", "requirement_sets", "requirement_set")}
    for number in (1, 30):
        owner = build(number, date(2027, 1, 12))
        client.force_login(owner.user)
        sets = RequirementSet.objects.filter(institution__studio=owner.studio)
        entered = sets.filter(entries__assignments__isnull=False)
        rows = {
            "piece": Piece.objects.filter(studio=owner.studio),
            "requirement_set": entered,
        }
        for name, asked in counts.items():
            args = [rows[name].first().pk] if name in rows else []
            with django_assert_max_num_queries(12) as queries:
                page(client, name, *args)
            asked.append(len(queries))
    assert all(one == thirty for one, thirty in counts.values()), counts


class TestWhoSeesIt:
    @pytest.mark.parametrize("role", ["sam", "otto"])
    def test_students_and_other_studios_see_nothing(self, client, people, asked, role):
        piece = PieceFactory(studio=people.studio)
        client.force_login(getattr(people, role).user)
        assert client.get(reverse("requirement_set", args=[asked.pk])).status_code == 404
        assert client.get(reverse("piece", args=[piece.pk])).status_code == 404

    def test_an_assistant_sees_and_changes_nothing(self, client, people, asked):
        client.force_login(people.ana.user)
        html = page(client, "requirement_set", asked.pk)
        assert "Horn, undergraduate, performance" in html
        assert "<form" not in html.split("<main")[1]
        assert client.post(reverse("requirement_set_verify", args=[asked.pk])).status_code == 404
        asked.refresh_from_db()
        assert asked.checked_on is None


def test_a_piece_is_begun_as_the_address_says(as_teacher, people):
    horn = InstrumentFactory(studio=people.studio)
    form = as_teacher.get(f"/repertoire/add/?kind=excerpt&instrument={horn.pk}").context["form"]
    assert (form.instance.kind, form.instance.instrument) == ("excerpt", horn)


def test_an_address_names_neither_a_group_nor_a_strangers_instrument(as_teacher):
    stranger = InstrumentFactory()
    form = as_teacher.get(f"/repertoire/add/?kind=all+of&instrument={stranger.pk}").context["form"]
    assert (form.instance.kind, form.instance.instrument) == ("solo", None)
