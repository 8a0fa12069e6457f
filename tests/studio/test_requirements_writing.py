"""The fast editor: rows are read, placed, put into groups, saved as one batch, and undone."""

from decimal import Decimal

import pytest
from django.db import connection
from django.test.utils import CaptureQueriesContext
from django.urls import reverse

from studio.accounts.history import undo
from studio.accounts.models import Change
from studio.requirements.models import Requirement
from tests.factories import (
    AssignmentFactory,
    EntryFactory,
    InstitutionFactory,
    InstrumentFactory,
    RequirementFactory,
    RequirementSetFactory,
)

pytestmark = pytest.mark.django_db


@pytest.fixture
def asked(people):
    return RequirementSetFactory(
        institution=InstitutionFactory(studio=people.studio, name="Fairmont"),
        instrument=InstrumentFactory(studio=people.studio),
    )


@pytest.fixture
def url(asked):
    return reverse("requirement_set_write", args=[asked.pk])


class Sheet:
    """The editor's page as a browser fills it in. rows: field values, row by row."""

    def __init__(self, client, url):
        self.client, self.url = client, url
        self.read(client.get(url))

    def read(self, response):
        self.grid = response.context["grid"]
        self.rows = [
            {name: _posted(row[name].value()) for name in row.fields} for row in self.grid.rows
        ]
        self.response = response
        return self

    def type(self, **values):
        """Type into the first row that says nothing; a new one at the end if there is none."""
        row = next((row for row in self.rows if not row["name"] and not row["key"]), None)
        if row is None:
            row = dict.fromkeys(self.rows[0], "") | {"kind": "solo"}
            self.rows.append(row)
        row |= values
        return self

    def of(self, name):
        return next(row for row in self.rows if row["name"] == name)

    def post(self, **more):
        data = {
            f"row{n}-{name}": value
            for n, row in enumerate(self.rows)
            for name, value in row.items()
            if value != ""
        }
        response = self.client.post(self.url, data | {"rows": len(self.rows)} | more)
        return response if response.status_code == 302 else self.read(response).response

    def wrong(self, name):
        """Return the errors of the row of that name, by field."""
        return next(row.errors for row in self.grid.rows if row.says("name") == name)


def _posted(value):
    return "" if value in {None, False} else str(value)


@pytest.fixture
def sheet(as_teacher, url):
    """The editor's page, read anew at each call."""
    return lambda: Sheet(as_teacher, url)


def standing(asked):
    """Return the rows in order with the name of their group."""
    rows = Requirement.objects.filter(requirement_set=asked).order_by("position")
    return [(row.name, str(row.parent or "")) for row in rows]


class TestRows:
    def test_a_name_and_a_kind_are_enough(self, asked, sheet):
        assert sheet().type(name="Solo", kind="solo").post().status_code == 302
        row = asked.requirements.get()
        assert (row.name, row.at_least, row.at_most, row.position) == ("Solo", 1, None, 1)
        assert (row.round, row.memory, row.piano) == ("live", "not stated", "not stated")
        assert (row.minutes, row.weight, row.parent) == (None, 1, None)

    def test_everything_that_can_be_typed_is_saved(self, asked, sheet):
        sheet().type(
            name="Studies",
            kind="etude",
            count="2-3",
            minutes="7.5",
            memory="yes",
            piano="without piano",
            details="As they put it.",
            round="screening",
        ).post()
        row = asked.requirements.get()
        assert (row.at_least, row.at_most, row.minutes) == (2, 3, Decimal("7.5"))
        assert (row.memory, row.piano, row.round) == ("yes", "without piano", "screening")
        assert row.details == "As they put it."

    @pytest.mark.parametrize(
        ("text", "count"),
        [("", (1, None)), ("2", (2, None)), ("2–3", (2, 3)), ("2 to 3", (2, 3)), ("0-1", (0, 1))],
    )
    def test_a_number_or_a_range(self, asked, sheet, text, count):
        sheet().type(name="Studies", count=text).post()
        row = asked.requirements.get()
        assert (row.at_least, row.at_most) == count

    @pytest.mark.parametrize(
        ("text", "says"),
        [("two", "2-3"), ("3-2", "fewer than the least"), ("0", "0-1"), ("1-", "2-3")],
    )
    def test_any_other_number_is_told_and_nothing_typed_is_lost(self, asked, sheet, text, says):
        page = sheet().type(name="Studies", count=text, details="Kept")
        response = page.post()
        assert response.status_code == 422
        assert says in str(page.wrong("Studies")["count"])
        assert page.of("Studies")["count"] == text
        assert "Kept" in response.content.decode()
        assert not asked.requirements.exists()

    def test_empty_rows_are_no_rows(self, asked, sheet):
        page = sheet()
        page.rows[0]["kind"] = "etude"
        page.rows[2] |= {"name": "Solo"}
        page.post()
        assert standing(asked) == [("Solo", "")]

    def test_a_row_without_a_name_that_says_something_is_asked_for_it(self, asked, sheet):
        page = sheet().type(details="Two of them")
        assert page.post().status_code == 422
        assert "in a few words" in str(page.wrong("")["name"])

    def test_the_round_is_as_above(self, asked, sheet):
        page = sheet()
        for n, round_ in enumerate(("", "screening", "", "live", "")):
            page.type(name=f"Row {n}", round=round_)
        page.post()
        rounds = list(asked.requirements.values_list("round", flat=True))
        assert rounds == ["live", "screening", "screening", "live", "live"]

    def test_two_of_one_name_at_one_round_are_told(self, asked, sheet):
        page = sheet().type(name="Solo").type(name="Solo")
        assert page.post().status_code == 422
        assert [bool(row.errors) for row in page.grid.filled] == [False, True]
        page.rows[1]["round"] = "screening"
        assert page.post().status_code == 302

    def test_more_rows_come_without_script_and_nothing_typed_is_lost(self, asked, sheet):
        page = sheet().type(name="Solo", count="no number")
        before = len(page.rows)
        assert page.post(more="1").status_code == 200
        assert len(page.rows) > before
        assert page.of("Solo")["count"] == "no number"
        assert not asked.requirements.exists()

    def test_minutes_below_nothing_are_refused(self, asked, sheet):
        page = sheet().type(name="Solo", minutes="-1")
        page.post()
        assert "minutes" in page.wrong("Solo")


class TestGroups:
    def test_a_group_is_chosen_by_its_name_or_its_beginning(self, asked, sheet):
        sheet().type(name="Solo or studies", kind="some of").type(
            name="Solo", inside="solo or studies"
        ).type(name="Studies", kind="all of", inside="Solo").type(name="Slow", inside="Stud").post()
        assert standing(asked) == [
            ("Solo or studies", ""),
            ("Solo", "Solo or studies"),
            ("Studies", "Solo or studies"),
            ("Slow", "Studies"),
        ]

    def test_signs_put_a_row_into_the_group_above(self, asked, sheet):
        page = sheet().type(name="A or B", kind="some of", count="1")
        page.type(name="> Both", kind="all of").type(name=">> Slow").type(name=">>Fast")
        page.type(name="> Solo").type(name="Scales", kind="scales").post()
        assert standing(asked) == [
            ("A or B", ""),
            ("Both", "A or B"),
            ("Slow", "Both"),
            ("Fast", "Both"),
            ("Solo", "A or B"),
            ("Scales", ""),
        ]

    def test_a_row_in_a_group_is_heard_at_its_round(self, asked, sheet):
        page = sheet().type(name="Any", kind="some of", round="screening").type(name="Live")
        page.rows[1]["round"] = "live"
        page.type(name="Solo", inside="Any").post()
        assert asked.requirements.get(name="Solo").round == "screening"

    @pytest.mark.parametrize(
        ("rows", "field", "says"),
        [
            ([("Solo", "solo", ""), ("> Slow", "etude", "")], "name", "is no group"),
            ([("> Slow", "etude", "")], "name", "The row above is no group"),
            ([("Solo", "solo", "Any")], "inside", "There is none yet"),
            ([("A", "some of", "B"), ("B", "all of", "A")], "inside", "inside itself"),
            (
                [("Any", "some of", ""), ("Anything", "all of", ""), ("Solo", "solo", "an")],
                "inside",
                "more than one",
            ),
        ],
    )
    def test_a_place_that_cannot_be_is_told(self, asked, sheet, rows, field, says):
        page = sheet()
        for name, kind, inside in rows:
            page.type(name=name, kind=kind, inside=inside)
        assert page.post().status_code == 422
        assert says in str(page.wrong(rows[-1][0])[field])

    def test_another_round_than_its_group_is_told(self, asked, sheet):
        page = (
            sheet().type(name="Any", kind="some of").type(name="Solo", inside="Any", round="final")
        )
        page.post()
        assert "asked for at: Audition" in str(page.wrong("Solo")["round"])

    def test_a_group_of_all_has_no_number(self, asked, sheet):
        page = sheet().type(name="Both", kind="all of", count="2")
        page.post()
        assert "leave it empty" in str(page.wrong("Both")["count"])

    def test_a_group_is_renamed_with_what_it_holds_left_alone(self, asked, sheet):
        sheet().type(name="Any", kind="some of").type(name="Solo", inside="Any").post()
        page = sheet()
        page.of("Any")["name"] = "One of these"
        page.post()
        assert standing(asked) == [("One of these", ""), ("Solo", "One of these")]


class TestChanges:
    @pytest.fixture
    def three(self, asked):
        names = ("Solo", "Study", "Scales")
        return [
            RequirementFactory(requirement_set=asked, name=name, position=n, weight=2)
            for n, name in enumerate(names, start=1)
        ]

    def changes(self):
        return Change.objects.filter(model="requirements.requirement")

    def test_only_what_was_changed_is_written(self, asked, three, sheet):
        before = self.changes().count()
        page = sheet()
        page.of("Study")["minutes"] = "4"
        page.post()
        assert self.changes().count() == before + 1
        study = asked.requirements.get(name="Study")
        assert (study.minutes, study.weight) == (4, 2)

    def test_saving_what_stands_changes_nothing(self, as_teacher, asked, three, sheet):
        Requirement.objects.update(at_most=1, minutes=Decimal("7.5"), details="One\nTwo")
        before = self.changes().count()
        saved = as_teacher.get(sheet().post().url).content.decode()
        assert "nothing changed" in saved
        assert self.changes().count() == before

    def test_all_of_it_is_one_batch_that_can_be_undone(self, people, asked, three, sheet):
        before = standing(asked)
        page = sheet()
        page.of("Solo")["remove"] = "on"
        page.of("Study")["name"] = "Slow study"
        page.type(name="Any", kind="some of").type(name="> Excerpt", kind="excerpt").post()
        assert standing(asked) == [
            ("Slow study", ""),
            ("Scales", ""),
            ("Any", ""),
            ("Excerpt", "Any"),
        ]
        undo(self.changes().first().batch, people.studio)
        assert standing(asked) == before

    def test_an_emptied_name_asks_before_it_removes(self, asked, three, sheet):
        page = sheet()
        page.of("Study")["name"] = ""
        assert page.post().status_code == 422
        assert "Remove" in str(page.wrong("")["name"])
        page.of("")["remove"] = "on"
        page.post()
        assert standing(asked) == [("Solo", ""), ("Scales", "")]

    def test_pieces_that_go_along_are_told(self, people, asked, three, sheet):
        entry = EntryFactory(student=people.sam_student, requirement_set=asked)
        AssignmentFactory(entry=entry, requirement=three[0])
        assert "Remove, with 1 piece" in sheet().response.content.decode()

    def test_names_can_be_exchanged_and_given_on(self, people, asked, three, sheet):
        page = sheet()
        solo, study, scales = page.rows[:3]
        solo["name"], study["name"], scales["remove"] = "Study", "Solo", "on"
        page.type(name="Scales", kind="scales").post()
        assert standing(asked) == [("Study", ""), ("Solo", ""), ("Scales", "")]
        assert asked.requirements.get(name="Study").pk == three[0].pk
        assert asked.requirements.get(name="Scales").pk != three[2].pk
        undo(self.changes().first().batch, people.studio)
        assert standing(asked) == [("Solo", ""), ("Study", ""), ("Scales", "")]

    def test_a_group_is_not_removed_with_what_stays_in_it(self, asked, sheet):
        sheet().type(name="Any", kind="some of").type(name="> Solo").post()
        page = sheet()
        page.of("Any")["remove"] = "on"
        assert page.post().status_code == 422
        assert "is being removed" in str(page.wrong("Solo")["inside"])
        page.of("Solo")["inside"] = ""
        page.post()
        assert standing(asked) == [("Solo", "")]

    def test_a_group_is_removed_with_all_in_it(self, asked, sheet):
        sheet().type(name="Any", kind="some of").type(name="> Solo").post()
        page = sheet()
        page.of("Any")["remove"] = page.of("Solo")["remove"] = "on"
        page.post()
        assert standing(asked) == []

    @pytest.mark.parametrize(
        ("moved", "place", "order"),
        [
            ("Scales", "1", ["Scales", "Solo", "Study"]),
            ("Solo", "3", ["Study", "Scales", "Solo"]),
            ("Study", "9", ["Solo", "Scales", "Study"]),
            ("Study", "here", None),
            ("Study", "²", None),
            ("Study", "9" * 5000, None),
        ],
    )
    def test_a_place_is_typed(self, asked, three, sheet, moved, place, order):
        page = sheet()
        page.of(moved)["place"] = place
        response = page.post()
        if order is None:
            assert response.status_code == 422
            assert "place" in page.wrong(moved)
        else:
            assert [name for name, _ in standing(asked)] == order

    def test_a_new_row_can_be_put_between(self, asked, three, sheet):
        sheet().type(name="Excerpt", place="2").post()
        assert [name for name, _ in standing(asked)] == ["Solo", "Excerpt", "Study", "Scales"]

    def test_rows_keep_places_that_are_in_order(self, asked, three, sheet):
        Requirement.objects.filter(name="Scales").update(position=40)
        before = self.changes().count()
        sheet().type(name="Excerpt").post()
        assert self.changes().count() == before + 1
        assert asked.requirements.get(name="Excerpt").position == 41


class TestTogetherWithOthers:
    @pytest.fixture
    def solo(self, asked):
        return RequirementFactory(requirement_set=asked, name="Solo", kind="solo")

    def test_what_others_changed_in_rows_left_alone_stays(self, asked, solo, sheet):
        page = sheet()
        Requirement.objects.filter(pk=solo.pk).update(minutes=9)
        page.type(name="Study", kind="etude").post()
        solo.refresh_from_db()
        assert solo.minutes == 9
        assert asked.requirements.count() == 2

    def test_what_others_changed_in_the_same_row_is_asked_about_once(self, asked, solo, sheet):
        page = sheet()
        Requirement.objects.filter(pk=solo.pk).update(name="Concerto")
        page.of("Solo")["minutes"] = "8"
        assert page.post().status_code == 422
        assert "it is now “Concerto”" in page.response.content.decode()
        page.post()
        solo.refresh_from_db()
        assert (solo.name, solo.minutes) == ("Solo", 8)

    def test_what_others_removed_comes_back_only_if_it_was_changed_here(self, asked, solo, sheet):
        page, changed = sheet(), sheet()
        solo.delete()
        page.post()
        assert standing(asked) == []
        changed.of("Solo")["minutes"] = "8"
        changed.post()
        assert standing(asked) == [("Solo", "")]

    def test_a_name_that_others_added_meanwhile_is_told(self, asked, sheet):
        page = sheet().type(name="Solo")
        RequirementFactory(requirement_set=asked, name="Solo")
        assert page.post().status_code == 422

    def test_a_row_of_another_set_is_not_reached(self, people, asked, sheet):
        other = RequirementFactory(requirement_set__institution__studio=people.studio, name="Solo")
        page = sheet().type(name="Mine")
        page.of("Mine")["key"] = str(other.pk)
        page.post()
        other.refresh_from_db()
        assert other.name == "Solo"
        assert standing(asked) == [("Mine", "")]


def test_many_rows_cost_no_more_queries_than_one(asked, as_teacher, url):
    counts = []
    for more in (1, 24):
        for _ in range(more):
            RequirementFactory(requirement_set=asked)
        with CaptureQueriesContext(connection) as found:
            as_teacher.get(url)
        counts.append(len(found))
    assert counts[0] == counts[1] <= 12
