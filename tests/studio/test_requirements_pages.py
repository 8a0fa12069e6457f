"""Pages of a set and its slots: read as a tree, doubted, verified, copied, rolled, corrected."""

from datetime import date

import pytest
import time_machine
from django.urls import reverse

from studio.accounts.history import undo
from studio.accounts.models import Change
from studio.requirements.copying import next_season
from studio.requirements.models import Erratum, Judgement, Piece, Requirement, RequirementSet
from tests.factories import (
    AssignmentFactory,
    AuditionFactory,
    EntryFactory,
    ErratumFactory,
    InstitutionFactory,
    InstrumentFactory,
    JudgementFactory,
    LessonCheckFactory,
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
def asked(people):
    """A set of Fairmont for the horn, with its source, checked on 14 September."""
    return RequirementSetFactory(
        institution=InstitutionFactory(studio=people.studio, name="Fairmont University"),
        instrument=InstrumentFactory(studio=people.studio),
        level="undergraduate",
        degree="performance",
        source="https://fairmont.example/horn",
        checked_by="R. Amadi",
        checked_on=date(2026, 9, 14),
    )


@pytest.fixture
def row(asked):
    """Add a requirement to the set."""

    def add(name, kind="etude", **values):
        return RequirementFactory(requirement_set=asked, name=name, kind=kind, **values)

    return add


@pytest.fixture
def entered(people, asked):
    """Sam's entry under the set, with the audition on 6 February."""
    audition = AuditionFactory(institution=asked.institution)
    return EntryFactory(
        student=people.sam_student,
        audition=audition,
        requirement_set=asked,
        chosen_date__on=date(2027, 2, 6),
    )


@pytest.fixture
def show(as_teacher):
    """Return a page's words and its context."""

    def get(name, *args, query=""):
        response = as_teacher.get(reverse(name, args=args) + query)
        assert response.status_code == 200
        return " ".join(response.content.decode().split()), response.context

    return get


def lines(rounds):
    """Return the tree of a set's page as nested names."""

    def names(some):
        return [(line.requirement.name, names(line.children)) for line in some]

    return [(each.title, names(each.lines)) for each in rounds]


class TestSet:
    def test_groups_stand_in_groups_and_rounds_apart(self, asked, row, show):
        row("Recorded solo", "solo", round="screening")
        outer = row("A or B", "some of", position=2)
        both = row("Both", "all of", parent=outer, position=3)
        row("Slow", parent=both, position=4)
        row("Solo", "solo", parent=outer, position=5)
        html, context = show("requirement_set", asked.pk)
        assert lines(context["page"].rounds) == [
            ("Screening recording", [("Recorded solo", [])]),
            ("Audition", [("A or B", [("Both", [("Slow", [])]), ("Solo", [])])]),
        ]
        assert "any one of these" in html
        assert "all of these" in html

    def test_one_round_needs_no_heading(self, asked, row, show):
        row("Solo")
        assert [each.title for each in show("requirement_set", asked.pk)[1]["page"].rounds] == [""]

    def test_what_stands_as_text_is_counted(self, asked, row, show):
        said = "not checked by the program."
        row("Solo")
        assert said not in show("requirement_set", asked.pk)[0]
        row("Study", details="Second endings only.")
        one = show("requirement_set", asked.pk)[0]
        assert f"One thing stands as text and is {said}" in one
        row("Excerpts", details="Slow ones.")
        RequirementSet.objects.update(notes="Even years: list A.")
        three = show("requirement_set", asked.pk)[0]
        assert f"Three things stand as text and are {said}" in three

    def test_its_own_rules_and_where_it_comes_from_are_said(self, asked, row, show):
        row("Solo")
        source = RequirementSetFactory(institution=asked.institution, season="2025–26")
        RequirementSet.objects.filter(pk=asked.pk).update(
            reuse="yes", again="must", together="minutes: at most 10", copied_from=source
        )
        html = show("requirement_set", asked.pk)[0]
        for words in ("May fill two slots", "Must be played again", "at most 10 minutes in all"):
            assert words in html
        assert f'href="{source.get_absolute_url()}"' in html

    def test_how_many_pieces_fit_is_told(self, people, asked, row, show):
        made = {"studio": people.studio, "kind": "solo"}
        need = row("Concerto", "solo", fits="genre: concerto")
        assert "No piece in the repertoire fits." in show("requirement_set", asked.pk)[0]
        PieceFactory(**made)
        assert "1 piece may fit" in show("requirement_set", asked.pk)[0]
        PieceFactory(**made, genre="concerto")
        JudgementFactory(requirement=need, piece=PieceFactory(**made, genre="romance"))
        assert "2 pieces fit, 1 may" in show("requirement_set", asked.pk)[0]

    def test_rules_that_cannot_be_read_are_marked(self, asked, row, show):
        need = row("Solo", "solo")
        Requirement.objects.filter(pk=need.pk).update(fits="composr: Mozart")
        marks = show("requirement_set", asked.pk)[1]["page"].marks
        assert [mark.text for mark in marks] == [
            "Solo: what stands there cannot be read by the program. Write it anew."
        ]

    def test_a_set_that_is_right_has_no_marks(self, asked, row, show, entered):
        row("Solo")
        assert show("requirement_set", asked.pk)[1]["page"].marks == []

    def test_another_season_without_entries_is_a_mark(self, asked, show):
        RequirementSet.objects.update(season="2025–26")
        [mark] = show("requirement_set", asked.pk)[1]["page"].marks
        assert mark.text == "They are those of 2025–26, this season is 2026–27."

    def test_doubts_of_entries_are_told_once_with_their_names(self, people, asked, show, entered):
        trumpet = InstrumentFactory(studio=people.studio, name="Trumpet")
        for student in (people.sam_student, people.mia_student):
            EntryFactory(
                student=student,
                audition=entered.audition,
                requirement_set=asked,
                instrument=trumpet,
            )
        [mark] = show("requirement_set", asked.pk)[1]["page"].marks
        assert mark.text == "They are for Horn, the entry is on Trumpet."
        assert sorted(mark.names) == ["Mia", "Sam"]

    def test_an_erratum_after_a_piece_was_learned_is_a_mark(self, asked, row, show, entered):
        given = AssignmentFactory(entry=entered, requirement=row("Study"))
        LessonCheckFactory(student=entered.student, piece=given.piece, on=date(2026, 10, 1))
        ErratumFactory(requirement_set=asked, on=date(2026, 9, 20), text="Bar 3: slur")
        assert show("requirement_set", asked.pk)[1]["page"].marks == []
        ErratumFactory(requirement_set=asked, on=date(2026, 10, 20), text="Bar 12: natural")
        html, context = show("requirement_set", asked.pk)
        assert "Bar 12: natural" in context["page"].marks[0].text
        assert "20 October 2026" in html

    def test_an_empty_set_says_what_to_do(self, as_teacher, asked, show):
        html, context = show("requirement_set", asked.pk)
        assert reverse("requirement_set_write", args=[asked.pk]) in html
        assert not context["fill"].fields["source"].queryset

    def test_an_assistant_reads_and_is_offered_nothing(self, client, people, asked, row):
        need = row("Solo", "solo")
        JudgementFactory(requirement=need)
        client.force_login(people.ana.user)
        for url in (asked.get_absolute_url(), reverse("requirement", args=[need.pk])):
            main = client.get(url).content.decode().split("<main")[1]
            assert "Solo" in main
            assert "<form" not in main
            assert "/edit/" not in main


class TestVerify:
    def test_it_shows_what_has_changed_since_the_check(self, asked, row, show, entered):
        solo = row("Solo", "solo", minutes=7)
        asked.checked_on = date(2026, 10, 1)
        asked.save()
        solo.minutes = 8
        solo.save()
        ErratumFactory(requirement_set=asked, on=date(2026, 9, 1), text="Before the check")
        ErratumFactory(requirement_set=asked, on=date(2026, 10, 2), text="After the check")
        html = show("requirement_set_verify", asked.pk)[0]
        assert "Minutes 8, before 7" in html
        assert "After the check" in html
        assert "Before the check" not in html
        assert "Sam Reyes" in html
        assert "https://fairmont.example/horn" in html

    def test_a_copy_is_shown_beside_its_source(self, as_teacher, asked, row, show):
        row("Solo", "solo", minutes=7)
        sent = {"institution": asked.institution_id, "season": "2027–28", "level": "", "degree": ""}
        as_teacher.post(
            reverse("requirement_set_copy", args=[asked.pk]),
            sent | {"instrument": asked.instrument_id},
        )
        made = RequirementSet.objects.get(season="2027–28")
        assert "It says the same still." in show("requirement_set_verify", made.pk)[0]
        made.requirements.update(minutes=8)
        assert "Minutes 8, before 7" in show("requirement_set_verify", made.pk)[0]

    def test_without_a_source_link_it_says_so(self, asked, show):
        RequirementSet.objects.update(source="")
        assert "There is no source link." in show("requirement_set_verify", asked.pk)[0]

    def test_it_records_who_and_when_and_can_be_undone(self, as_teacher, people, asked):
        response = as_teacher.post(reverse("requirement_set_verify", args=[asked.pk]))
        assert response.url == asked.get_absolute_url()
        asked.refresh_from_db()
        assert (asked.checked_by, asked.checked_on) == ("Ines Amadi", date(2026, 11, 3))
        undo(Change.objects.first().batch, people.studio)
        asked.refresh_from_db()
        assert (asked.checked_by, asked.checked_on) == ("R. Amadi", date(2026, 9, 14))


class TestCopy:
    def test_it_is_offered_for_the_next_season(self, asked, show):
        form = show("requirement_set_copy", asked.pk)[1]["form"]
        assert form["season"].value() == "2027–28"
        assert form["degree"].value() == "performance"

    def test_it_goes_to_another_instrument_and_institution(self, as_teacher, people, asked, row):
        JudgementFactory(requirement=row("Solo", "solo"))
        elsewhere = InstitutionFactory(studio=people.studio)
        tuba = InstrumentFactory(studio=people.studio, name="Tuba")
        sent = {"institution": elsewhere.pk, "instrument": tuba.pk, "season": "2026–27"}
        url = reverse("requirement_set_copy", args=[asked.pk])
        response = as_teacher.post(url, sent | {"judgements": "on"})
        made = elsewhere.requirement_sets.get()
        assert response.url == made.get_absolute_url()
        assert (made.instrument, made.checked_on, made.copied_from) == (tuba, None, asked)
        assert made.requirements.get().judgements.count() == 1

    def test_one_that_is_there_already_is_told(self, as_teacher, asked):
        sent = {
            name: getattr(asked, name)
            for name in ("institution_id", "instrument_id", "season", "level", "degree")
        }
        sent = {name.removesuffix("_id"): value for name, value in sent.items()}
        response = as_teacher.post(reverse("requirement_set_copy", args=[asked.pk]), sent)
        assert response.status_code == 422
        assert "degree" in response.context["form"].errors

    def test_another_studios_institution_is_no_choice(self, as_teacher, people, asked):
        elsewhere = InstitutionFactory(studio=people.otto.studio)
        sent = {
            "institution": elsewhere.pk,
            "instrument": asked.instrument_id,
            "season": "2027–28",
        }
        response = as_teacher.post(reverse("requirement_set_copy", args=[asked.pk]), sent)
        assert "institution" in response.context["form"].errors

    def test_an_empty_set_takes_over_anothers_slots(self, as_teacher, asked, row, show):
        row("Solo", "solo")
        empty = RequirementSetFactory(institution=asked.institution, instrument=asked.instrument)
        choices = show("requirement_set", empty.pk)[1]["fill"].fields["source"].queryset
        assert list(choices) == [asked]
        url = reverse("requirement_set_fill", args=[empty.pk])
        as_teacher.post(url, {"source": asked.pk})
        assert empty.requirements.get().name == "Solo"

    def test_a_set_with_slots_takes_over_none(self, as_teacher, asked, row):
        row("Solo", "solo")
        other = RequirementFactory(
            requirement_set__institution=asked.institution, name="Mine"
        ).requirement_set
        url = reverse("requirement_set_fill", args=[other.pk])
        html = as_teacher.post(url, {"source": asked.pk}, follow=True).content.decode()
        assert "this set has slots already" in html
        assert other.requirements.get().name == "Mine"

    def test_nothing_chosen_is_told(self, as_teacher, asked):
        url = reverse("requirement_set_fill", args=[asked.pk])
        html = as_teacher.post(url, {}, follow=True).content.decode()
        assert "Choose the set" in html


class TestRoll:
    @pytest.mark.parametrize(
        ("season", "after"),
        [("2026–27", "2027–28"), ("2026", "2027"), ("2099–00", "2100–01"), ("Spring", "Spring")],
    )
    def test_the_season_after(self, season, after):
        assert next_season(season) == after

    def test_all_of_the_season_are_ticked(self, asked, show):
        RequirementSetFactory(institution=asked.institution, season="2025–26")
        form = show("requirement_sets_roll")[1]["form"]
        assert form["season"].value() == "2027–28"
        assert form["sets"].value() == [asked.pk]
        older = show("requirement_sets_roll", query="?season=2025–26")[1]["form"]
        assert older["season"].value() == "2026–27"
        assert asked.pk not in older["sets"].value()

    def test_they_are_copied_unverified_and_those_there_are_named(
        self, as_teacher, people, asked, row
    ):
        row("Solo", "solo")
        other = RequirementSetFactory(
            institution=asked.institution, instrument=asked.instrument, degree="education"
        )
        RequirementSetFactory(
            institution=asked.institution,
            instrument=asked.instrument,
            degree="education",
            season="2027–28",
        )
        sent = {"season": "2027–28", "sets": [asked.pk, other.pk]}
        html = as_teacher.post(reverse("requirement_sets_roll"), sent, follow=True).content.decode()
        assert "1 set copied to 2027–28, not verified yet." in html
        assert "there already: Fairmont University: Horn, education, 2026–27." in html
        made = RequirementSet.objects.get(copied_from=asked)
        assert (made.season, made.checked_on) == ("2027–28", None)
        undo(Change.objects.first().batch, people.studio)
        assert not RequirementSet.objects.filter(copied_from=asked).exists()

    @pytest.mark.parametrize(
        ("sent", "wrong"),
        [({"season": "2026–27"}, "season"), ({"season": "2027–28", "sets": []}, "sets")],
    )
    def test_the_same_season_and_no_set_are_told(self, as_teacher, asked, sent, wrong):
        sent = {"sets": [asked.pk]} | sent
        response = as_teacher.post(reverse("requirement_sets_roll"), sent)
        assert response.status_code == 422
        assert wrong in response.context["form"].errors

    def test_a_studio_without_sets_is_led_on(self, as_teacher, show):
        assert "There are no sets of requirements yet." in show("requirement_sets_roll")[0]


class TestErrata:
    def test_one_is_added_changed_and_removed(self, as_teacher, asked, row):
        study = row("Study")
        url = reverse("erratum_add", args=[asked.pk])
        sent = {"on": "2026-10-20", "text": "Bar 12: natural", "requirement": study.pk}
        assert as_teacher.post(url, sent).url == asked.get_absolute_url()
        erratum = Erratum.objects.get()
        assert (erratum.requirement_set, erratum.requirement) == (asked, study)
        change = reverse("erratum_edit", args=[erratum.pk])
        as_teacher.post(change, sent | {"text": "Bar 21: natural", "requirement": ""})
        erratum.refresh_from_db()
        assert (erratum.text, erratum.requirement) == ("Bar 21: natural", None)
        as_teacher.post(reverse("erratum_remove", args=[erratum.pk]))
        assert not Erratum.objects.exists()

    def test_it_is_about_a_requirement_of_its_set(self, as_teacher, people, asked):
        other = RequirementFactory(requirement_set__institution__studio=people.studio)
        sent = {"on": "2026-10-20", "text": "Bar 12", "requirement": other.pk}
        response = as_teacher.post(reverse("erratum_add", args=[asked.pk]), sent)
        assert "requirement" in response.context["form"].errors

    def test_the_same_twice_is_told(self, as_teacher, asked):
        erratum = ErratumFactory(requirement_set=asked)
        sent = {"on": erratum.on.isoformat(), "text": erratum.text}
        response = as_teacher.post(reverse("erratum_add", args=[asked.pk]), sent)
        assert "written down already" in str(response.context["form"].errors["text"])


class TestSlot:
    @pytest.fixture
    def concerto(self, row):
        return row("Concerto", "solo", fits="genre: concerto")

    @pytest.fixture
    def pieces(self, people):
        made = {"studio": people.studio, "kind": "solo", "composer": ""}
        return {
            "fits": PieceFactory(**made, work="Concerto in F", genre="concerto"),
            "may": PieceFactory(**made, work="Fantasia"),
            "not": PieceFactory(**made, work="Romance", genre="romance"),
            "left out": PieceFactory(**made | {"kind": "etude"}, work="Study"),
        }

    def test_pieces_fit_may_fit_or_do_not_with_reasons(self, concerto, pieces, show):
        html, context = show("requirement", concerto.pk)
        page = context["page"]
        found = {"fits": page.fitting, "may": page.may_fit, "not": page.not_fitting}
        for name, candidates in found.items():
            assert [each.piece for each in candidates] == [pieces[name]]
        assert "Its genre is not recorded" in html
        assert "Romance, asked for concerto" in html
        assert "1 piece of another kind or for another instrument left out" in html
        assert "Study" in show("requirement", concerto.pk, query="?all")[0]

    def test_a_judgement_is_stronger_and_is_taken_back(self, as_teacher, concerto, pieces, show):
        url = reverse("requirement_judge", args=[concerto.pk])
        sent = {"piece": pieces["not"].pk, "fits": "yes", "reason": "of equal weight"}
        as_teacher.post(url, sent)
        html, context = show("requirement", concerto.pk)
        assert [each.piece for each in context["page"].judged] == [pieces["not"]]
        assert "Fits after all: “of equal weight”" in html
        said = Judgement.objects.get()
        as_teacher.post(url, sent | {"fits": "no", "reason": ""})
        said.refresh_from_db()
        assert (said.fits, said.reason) == (False, "")
        as_teacher.post(reverse("judgement_remove", args=[said.pk]))
        assert show("requirement", concerto.pk)[1]["page"].judged == []

    @pytest.mark.parametrize(
        "wrong",
        [{"reason": "x" * 201}, {"fits": ""}, {"piece": "none"}, {"piece": "²"}],
    )
    def test_a_judgement_that_cannot_be_kept_is_told(self, as_teacher, concerto, pieces, wrong):
        url = reverse("requirement_judge", args=[concerto.pk])
        sent = {"piece": pieces["fits"].pk, "fits": "no"} | wrong
        html = as_teacher.post(url, sent, follow=True).content.decode()
        assert "Your word is not saved." in html
        assert not Judgement.objects.exists()

    def test_another_studios_piece_cannot_be_judged(self, as_teacher, people, concerto):
        piece = PieceFactory(studio=people.otto.studio)
        url = reverse("requirement_judge", args=[concerto.pk])
        as_teacher.post(url, {"piece": piece.pk, "fits": "yes"})
        assert not Judgement.objects.exists()

    def test_a_rule_about_the_instrument_lets_in_others(self, people, row, show):
        need = row("On the descant", fits="instrument: Descant horn")
        descant = InstrumentFactory(studio=people.studio, name="Descant horn")
        piece = PieceFactory(studio=people.studio, instrument=descant)
        page = show("requirement", need.pk)[1]["page"]
        assert [each.piece for each in page.fitting] == [piece]

    def test_a_group_says_what_it_holds_and_asks_for_no_piece(self, row, show):
        group = row("A or B", "some of")
        row("Solo", "solo", parent=group)
        row("Studies", parent=group, position=2)
        html, context = show("requirement", group.pk)
        assert "Any one of: Solo, Studies" in html
        assert context["page"].candidates == []


class TestForm:
    def test_groups_of_the_set_can_be_chosen_and_no_others(self, as_teacher, people, row, show):
        group = row("A or B", "some of")
        solo = row("Solo", "solo")
        other = RequirementFactory(
            requirement_set__institution__studio=people.studio, kind="all of"
        )
        form = show("requirement_edit", solo.pk)[1]["form"]
        assert list(form.fields["parent"].queryset) == [group]
        assert group not in show("requirement_edit", group.pk)[1]["form"].fields["parent"].queryset
        url = reverse("requirement_edit", args=[solo.pk])
        sent = {"name": "Solo", "kind": "solo", "parent": other.pk}
        assert "parent" in as_teacher.post(url, sent).context["form"].errors
        as_teacher.post(url, sent | {"parent": group.pk})
        solo.refresh_from_db()
        assert solo.parent == group

    @pytest.mark.parametrize(
        ("field", "text", "says"),
        [
            ("fits", "composr: Mozart", "Did you mean “composer”?"),
            ("together", "nicely", "says nothing of pieces together"),
            ("minutes", "-3", "greater than or equal to 0"),
        ],
    )
    def test_what_cannot_be_is_told_beside_its_field(self, as_teacher, asked, field, text, says):
        url = reverse("requirement_add", args=[asked.pk])
        response = as_teacher.post(url, {"name": "Solo", "kind": "solo", field: text})
        assert response.status_code == 422
        assert says in str(response.context["form"].errors[field])

    def test_what_was_understood_stands_below_a_rule(self, row, show):
        need = row("Solo", "solo", fits="years: before 1900")
        assert "written before 1900" in show("requirement_edit", need.pk)[0]

    def test_a_set_has_rules_of_its_own(self, as_teacher, asked):
        sent = {"instrument": asked.instrument_id, "season": "2026–27"}
        url = reverse("requirement_set_edit", args=[asked.pk])
        assert "together" in as_teacher.post(url, sent | {"together": "?"}).context["form"].errors
        as_teacher.post(url, sent | {"reuse": "yes", "together": "different works"})
        asked.refresh_from_db()
        assert (asked.reuse, asked.again, asked.together) == (
            "yes",
            "not stated",
            "different works",
        )


class TestNotation:
    def ask(self, client, **data):
        return client.get(reverse("notation"), data, headers={"HX-Request": "true"})

    def test_a_field_is_told_what_was_understood(self, as_teacher):
        answer = self.ask(as_teacher, notation="fits", **{"row3-fits": "years: before 1900"})
        assert answer.content.decode() == "written before 1900"

    def test_a_field_is_told_which_clause_to_mend(self, as_teacher):
        answer = self.ask(as_teacher, notation="fits", fits="genre: aria; <b>: x")
        assert "is not a label here" in answer.content.decode()
        assert "<b>" not in answer.content.decode()

    def test_an_empty_field_is_told_nothing(self, as_teacher):
        assert self.ask(as_teacher, notation="together", together="").content == b""

    def test_all_of_it_is_explained_on_a_page(self, show):
        html = show("notation")[0]
        assert "composer: Mozart or Haydn" in html
        assert "different composers" in html


def test_a_piece_keeps_what_rules_ask_about(as_teacher, people, show):
    sent = {
        "work": "Aria",
        "book": "Twenty Songs",
        "bars": "1 to 64",
        "genre": "aria",
        "year": "1791",
        "language": "Italian",
        "level": "7",
    }
    as_teacher.post(reverse("piece_add"), sent)
    piece = Piece.objects.get()
    html = show("piece", piece.pk)[0]
    for words in ("Twenty Songs", "1 to 64", "1791", "Italian", "7 of 10"):
        assert f"<dd>{words}</dd>" in html
