"""The drill: keys one by one, their clean tempos, and who may write them down."""

import re
from datetime import date

import pytest
import time_machine
from django.urls import reverse

from studio.accounts.models import Change, Role
from studio.entries.drill.draw import turn
from studio.entries.models import KeyCheck
from tests.factories import GuardianFactory, InstrumentFactory, KeyCheckFactory, seat
from tests.studio.test_drill_asked import asks

pytestmark = pytest.mark.django_db
TODAY = date(2027, 1, 12)
MANY = "major: to 3; harmonic minor: to 2; octaves: 2; tempo: 100 to the quarter; from memory"


@pytest.fixture
def sam(ranged_sam):
    return ranged_sam


@pytest.fixture(autouse=True)
def in_january():
    with time_machine.travel("2027-01-12T18:00:00Z", tick=False):
        yield


def address(student, query=""):
    return reverse("drill", args=[student.pk]) + query


def shown(client, student, query=""):
    """Return the page as a drill.page.Drill."""
    response = client.get(address(student, query))
    assert response.status_code == 200
    return response.context["drill"]


def post(client, student, page, tempo, **fields):
    """Write down a clean tempo for the key that `page` shows."""
    data = dict(page.turn.fields) | {"tempo": tempo, "logged": page.key.code} | fields
    return client.post(reverse("drill_tempo", args=[student.pk]), data)


def walk(client, student, query, steps):
    """Return the codes of the keys on so many pages, going on by the page's own link."""
    found, html = [], ""
    for _ in range(steps):
        response = client.get(address(student, query))
        html = response.content.decode()
        found.append(response.context["drill"].key.code)
        link = re.search(r'href="([^"]+)">Next key<', html)[1].replace("&amp;", "&")
        query = link.removeprefix(address(student))
    return found


class TestOrder:
    @pytest.mark.parametrize("order", ["panel", "slowest", "fifths"])
    def test_no_key_comes_twice_in_a_round(self, order, as_student, sam):
        asks(sam, "Carrow", MANY)
        found = walk(as_student, sam, f"?order={order}&seed=9", 24)
        assert len(set(found[:12])) == 12 and len(set(found[12:])) == 12

    def test_neighbours_differ_across_a_round(self, as_student, sam):
        asks(sam, "Carrow", "major: C, F; octaves: 1")
        found = walk(as_student, sam, "?seed=4", 12)
        assert all(one != two for one, two in zip(found, found[1:], strict=False))

    def test_loading_again_shows_the_same_key(self, as_student, sam):
        asks(sam, "Carrow", MANY)
        assert shown(as_student, sam).key == shown(as_student, sam).key

    def test_round_the_circle_of_fifths(self, as_student, sam):
        asks(sam, "Carrow", "major: to 2; octaves: 1")
        found = walk(as_student, sam, "?order=fifths", 5)
        assert found == ["major:C", "major:G", "major:D", "major:Bb", "major:F"]

    def test_the_slowest_first_and_before_them_what_was_never_measured(self, as_student, sam):
        asks(sam, "Carrow", "major: C, G, D; octaves: 1; tempo: 100")
        KeyCheckFactory(student=sam, tonic="C", tempo=60, on=date(2027, 1, 2))
        KeyCheckFactory(student=sam, tonic="D", tempo=90, on=date(2027, 1, 2))
        found = walk(as_student, sam, "?order=slowest", 3)
        assert found == ["major:G", "major:C", "major:D"]

    def test_what_is_written_down_today_moves_nothing(self, as_student, sam):
        asks(sam, "Carrow", "major: C, G, D; octaves: 1; tempo: 100")
        page = shown(as_student, sam, "?order=slowest")
        then = post(as_student, sam, page, 120)
        rest = walk(as_student, sam, then.url.removeprefix(address(sam)), 2)
        assert [page.key.code, *rest] == ["major:C", "major:G", "major:D"]

    @pytest.mark.parametrize(
        "params",
        [
            {"order": "loud", "seed": "-1", "at": "x", "of": "9999999"},
            {"seed": "９", "at": "2000"},
            {"seed": "1" * 4000, "at": "1" * 4000},
        ],
    )
    def test_what_makes_no_sense_in_an_address_is_left_out(self, params, as_student, sam):
        asks(sam, "Carrow", MANY)
        found = turn(params, TODAY)
        assert (found.order, found.at, found.seed) == ("panel", 0, TODAY.toordinal())
        assert as_student.get(address(sam), params).status_code == 200

    def test_a_key_chosen_by_hand_comes_back_to_the_drawn_one(self, as_student, sam):
        asks(sam, "Carrow", MANY)
        page = shown(as_student, sam, "?seed=3&at=2&key=harmonic+minor:A")
        assert page.key.code == "harmonic minor:A"
        assert page.turn.next.at == 2 and not page.turn.next.key

    def test_a_key_that_is_not_asked_is_not_chosen(self, as_student, sam):
        asks(sam, "Carrow", "major: C")
        assert shown(as_student, sam, "?key=major:Gb").key.code == "major:C"


class TestPage:
    def test_the_key_large_with_how_and_who(self, as_student, sam):
        asks(sam, "Carrow", "harmonic minor: E flat; octaves: 2; articulation: slurred in fours")
        html = as_student.get(address(sam)).content.decode()
        assert "E♭ harmonic minor" in html
        assert "sounds as A♭ harmonic minor" in html
        assert re.search(r"Two octaves, slurred in fours <span[^>]*>Carrow</span>", html)

    def test_figures_of_lessons_and_the_own_stand_apart(self, as_student, sam):
        asks(sam, "Carrow", "major: C; octaves: 1; tempo: 96 to the quarter")
        KeyCheckFactory(student=sam, tonic="C", tempo=80, on=date(2027, 1, 4))
        for on, tempo in ((3, 90), (9, 98), (11, 94)):
            KeyCheckFactory(
                student=sam, tonic="C", tempo=tempo, on=date(2027, 1, on), source="student"
            )
        lessons, own = shown(as_student, sam).line.sides
        assert (lessons.last, lessons.against, lessons.trend) == ("80 on 4 January", "16 below", "")
        assert (own.last, own.best) == ("94 on 11 January", "98 on 9 January")
        assert (own.against, own.trend) == ("2 below", "up 4 in 8 days")

    def test_a_check_under_another_name_of_the_key_counts(self, as_student, sam):
        asks(sam, "Carrow", "major: F sharp; octaves: 1")
        KeyCheckFactory(student=sam, tonic="Gb", tempo=80, on=date(2027, 1, 4))
        assert shown(as_student, sam).line.sides[0].last == "80 on 4 January"

    def test_no_target_across_different_beats(self, as_student, sam):
        asks(sam, "Carrow", "major: C; tempo: 96 to the quarter")
        asks(sam, "Fairmont", "major: C; tempo: 60 to the half")
        KeyCheckFactory(student=sam, tonic="C", tempo=70, on=date(2027, 1, 4))
        line = shown(as_student, sam).line
        assert line.target == "96 to the quarter and 60 to the half"
        assert (line.goal_x, line.sides[0].against) == ("", "")

    def test_the_fastest_of_one_beat_is_the_target(self, as_student, sam):
        asks(sam, "Carrow", "major: C; tempo: 96 to the quarter")
        asks(sam, "Fairmont", "major: C; octaves: 2; tempo: 108 to the quarter")
        assert shown(as_student, sam).line.target == "108 to the quarter"

    def test_one_demand_can_be_chosen(self, as_student, sam):
        asks(sam, "Carrow", "major: C, G")
        only = asks(sam, "Fairmont", "major: D").requirement_set.requirements.get()
        assert len(shown(as_student, sam).keys) == 3
        page = shown(as_student, sam, f"?of={only.pk}")
        assert [key.code for key in page.keys] == ["major:D"]

    def test_instruments_are_drilled_apart(self, as_student, sam):
        tuba = InstrumentFactory(studio=sam.studio, name="Tuba", lowest="D1", highest="F4")
        asks(sam, "Carrow", "major: C")
        asks(sam, "Fairmont", "major: D", instrument=tuba)
        page = shown(as_student, sam)
        assert [key.code for key in page.keys] == ["major:C"]
        assert [choice.label for choice in page.choices] == [
            "Carrow, Horn",
            "Fairmont, Tuba",
        ]
        assert page.said[-1].startswith("Tempos are kept by the written key")

    def test_how_many_are_enough_to_continue(self, as_student, sam):
        asks(sam, "Carrow", "major: to 3; tempo: 90; 7 to continue")
        KeyCheckFactory(student=sam, tonic="C", tempo=90, on=TODAY, source="student")
        KeyCheckFactory(student=sam, tonic="G", tempo=89, on=TODAY, source="student")
        KeyCheckFactory(student=sam, tonic="D", tempo=99, on=date(2027, 1, 11), source="student")
        assert shown(as_student, sam).gates == ["Seven to continue (Carrow): one clean today."]

    def test_the_chromatic_scale_is_said_beside(self, as_student, sam):
        asks(sam, "Carrow", "major: C; chromatic: full range")
        html = as_student.get(address(sam)).content.decode()
        assert "Asked besides, and in no key: Chromatic scale from F♯, full range (Carrow)." in html

    def test_nothing_asked_says_what_to_do(self, as_student, sam):
        html = as_student.get(address(sam)).content.decode()
        assert "No keys to draw" in html and "No audition ahead asks for scales" in html

    def test_what_cannot_be_drawn_is_said(self, as_student, sam):
        asks(sam, "Carrow", "", details="All major scales")
        html = as_student.get(address(sam)).content.decode()
        assert "No keys to draw" in html
        assert "Carrow: “All major scales”: stated in words only" in html

    def test_only_the_chromatic_scale_draws_no_key(self, as_student, sam):
        asks(sam, "Carrow", "chromatic: full range")
        assert "No keys to draw" in as_student.get(address(sam)).content.decode()


class TestWriting:
    def test_a_student_writes_their_own_figure_and_goes_on(self, as_student, people, sam):
        asks(sam, "Carrow", MANY)
        page = shown(as_student, sam)
        response = post(as_student, sam, page, 88)
        check = KeyCheck.objects.get()
        assert (check.source, check.tempo, check.on) == ("student", 88, TODAY)
        assert (check.by, f"{check.sort}:{check.tonic}") == (people.sam.user, page.key.code)
        assert response.url == address(sam, page.turn.next.query)

    def test_staff_write_what_they_heard(self, client, people, sam):
        asks(sam, "Carrow", MANY)
        client.force_login(people.ana.user)
        post(client, sam, shown(client, sam), 88)
        assert KeyCheck.objects.get().source == "teacher"

    def test_the_same_day_changes_the_figure_under_its_old_name(self, as_student, sam):
        asks(sam, "Carrow", "major: F sharp; octaves: 1")
        KeyCheckFactory(student=sam, tonic="Gb", tempo=70, on=TODAY, source="student")
        KeyCheckFactory(student=sam, tonic="Gb", tempo=60, on=TODAY)
        post(as_student, sam, shown(as_student, sam), 75)
        assert sorted(KeyCheck.objects.values_list("source", "tonic", "tempo")) == [
            ("student", "Gb", 75),
            ("teacher", "Gb", 60),
        ]

    def test_it_can_be_taken_back(self, as_student, sam):
        asks(sam, "Carrow", MANY)
        post(as_student, sam, shown(as_student, sam), 88)
        batch = Change.objects.get(model="entries.keycheck").batch
        html = as_student.get(address(sam)).content.decode()
        assert reverse("undo", args=[batch]) in html
        as_student.post(reverse("undo", args=[batch]))
        assert not KeyCheck.objects.exists()

    @pytest.mark.parametrize("tempo", ["", "0", "401", "fast"])
    def test_a_tempo_that_cannot_be(self, tempo, as_student, sam):
        asks(sam, "Carrow", MANY)
        page = shown(as_student, sam, "?seed=5&at=3")
        response = post(as_student, sam, page, tempo)
        html = response.content.decode()
        assert response.status_code == 422
        assert "Give beats a minute from 1 to 400." in html
        assert response.context["drill"].key == page.key
        assert f'value="{tempo}"' in html or not tempo
        assert f'href="{address(sam)}?' in html and 'href="?' not in html
        assert not KeyCheck.objects.exists()

    def test_a_key_that_is_not_asked_any_more(self, as_student, sam):
        asks(sam, "Carrow", MANY)
        response = post(as_student, sam, shown(as_student, sam), 80, logged="major:Gb")
        assert response.status_code == 422
        assert "This key is not asked any more" in response.content.decode()

    def test_nothing_asked_at_all_is_refused_with_words(self, as_student, sam):
        data = {"tempo": 80, "logged": "major:C"}
        response = as_student.post(reverse("drill_tempo", args=[sam.pk]), data)
        assert response.status_code == 422
        assert "No keys to draw" in response.content.decode()

    def test_a_stranger_finds_nothing_and_writes_nothing(self, client, people, sam):
        asks(sam, "Carrow", MANY)
        for reader in (people.mia, people.otto):
            client.force_login(reader.user)
            data = {"tempo": 80, "logged": "major:C"}
            assert client.get(address(sam)).status_code == 404
            assert client.post(reverse("drill_tempo", args=[sam.pk]), data).status_code == 404
        assert not KeyCheck.objects.exists()


class TestLinks:
    def test_the_part_and_practice_lead_to_both(self, client, people, sam):
        drill, reading = (reverse(name, args=[sam.pk]) for name in ("drill", "sight_reading"))
        practice = reverse("practice", args=[sam.pk])
        for reader, url in (
            (people.sam, reverse("part")),
            (people.sam, practice),
            (people.ines, sam.get_absolute_url()),
            (people.ines, practice),
        ):
            client.force_login(reader.user)
            html = client.get(url).content.decode()
            assert f'href="{drill}"' in html and f'href="{reading}"' in html, url

    def test_the_sheet_of_what_is_chosen(self, as_student, sam):
        asks(sam, "Carrow", "major: C, G")
        only = asks(sam, "Fairmont", "major: D").requirement_set.requirements.get()
        html = as_student.get(address(sam, f"?of={only.pk}")).content.decode()
        sheet = reverse("drill_sheet", args=[sam.pk])
        assert f'href="{sheet}?paper=a4&amp;of={only.pk}"' in html

    def test_a_guardian_reads_and_writes_nothing(self, client, people, sam):
        asks(sam, "Carrow", MANY)
        mother = seat(people.studio, Role.GUARDIAN)
        GuardianFactory(studio=people.studio, membership=mother, students=[sam])
        client.force_login(mother.user)
        page = shown(client, sam)
        assert not page.source
        assert "Clean, next key" not in client.get(address(sam)).content.decode()
        assert post(client, sam, page, 80).status_code == 404
