"""What a plan says: rows to add, change and leave alone, and every problem with its place."""

from datetime import date

import pytest

from studio.entries.models import Entry, Task, Wish
from studio.institutions.models import Deadline, OfferedDate
from studio.requirements.models import Erratum, Judgement, Requirement, RequirementSet
from studio.students.models import Student
from studio.workbook.applying import CannotApply, apply
from tests import factories as make
from tests.studio.workbooks import (
    AUDITIONS,
    INSTITUTIONS,
    PIECES,
    base,
    empty_studio,
    planned,
    rich_studio,
    told,
)

pytestmark = pytest.mark.django_db

SEASON = {"institutions": INSTITUTIONS, "auditions": AUDITIONS, "pieces": PIECES}
ENTRY = ["student", "institution", "season", "audition"]
SAMS = ["Sam Reyes", "Fairmont", "2026–27", "BMus"]


def season(**sheets):
    """Return a sound season of Sam's with sheets replaced or added."""
    return base(**SEASON | sheets)


def loaded(studio=None, **sheets):
    """Load a season and return its studio."""
    studio = studio or empty_studio()
    apply(planned(season(**sheets), studio))
    return studio


def test_a_plan_counts_what_is_added_changed_and_left_alone():
    studio = loaded()
    rows = [
        ["student", "instrument", "town"],
        ["Sam Reyes", "Horn", "Carrow"],
        ["Mia Okafor", "Horn", None],
        ["Lee Park", "Horn", None],
    ]
    (sheet,) = [s for s in planned(season(students=rows), studio).sheets if s.name == "students"]
    assert (len(sheet.created), len(sheet.changed), sheet.same) == (1, 1, 1)
    (change,) = sheet.changed[0].differences
    assert (change.heading, change.before, change.after) == ("town", "empty", "Carrow")


def test_nothing_is_written_while_one_problem_stands():
    studio = empty_studio()
    rows = [["student", "instrument", "Monday"], ["Sam Reyes", "Horn", 60], ["Mia", "Horn", "lots"]]
    made = planned(base(students=rows), studio)
    with pytest.raises(CannotApply):
        apply(made)
    assert not studio.students.exists()
    assert not studio.instruments.exists()


def test_a_problem_names_sheet_row_column_value_and_what_to_do():
    rows = [["our students"], [], ["student", "instrument", "Monday"], ["Sam", "Horn", "an hour"]]
    places, advice = told(base(students=rows))
    assert places == [("students", 4, "Monday", "an hour")]
    assert advice == "Write a whole number, 0 or more."


def test_a_repeated_row_names_the_first():
    rows = [["student", "instrument"], ["Sam Reyes", "Horn"], [None], ["Sam Reyes", "Horn"]]
    places, advice = told(base(students=rows))
    assert places == [("students", 4, "student", "Sam Reyes")]
    assert "Row 4 repeats row 2" in advice


def test_a_student_twice_but_for_capitals_or_spaces_says_what_to_do():
    rows = [["student", "instrument"], ["Sam Reyes", "Horn"], ["sam  REYES ", "Horn"]]
    places, advice = told(base(students=rows))
    assert places == [("students", 3, "student", "sam REYES")]
    assert "tell them apart in the name" in advice


def test_a_student_who_is_there_in_other_capitals_says_how_the_studio_writes_it():
    rows = [["student", "instrument"], ["SAM REYES", "Horn"]]
    places, advice = told(base(students=rows), loaded())
    assert places == [("students", 2, "student", "SAM REYES")]
    assert "The studio has “Sam Reyes”" in advice


def test_two_works_may_differ_in_capitals_only():
    rows = [["composer", "work"], ["Invented", "Sonata in C"], ["Invented", "Sonata in c"]]
    assert loaded(pieces=rows).pieces.count() == 2


def test_a_name_that_leads_nowhere_suggests_the_closest():
    rows = [["student", "instrument"], ["Sam Reyes", "Hron"]]
    places, advice = told(base(students=rows))
    assert places == [("students", 2, "instrument", "Hron")]
    assert "neither in the studio nor in the sheet “instruments”" in advice
    assert "Did you mean “Horn”?" in advice


@pytest.mark.parametrize(
    ("row", "column", "words"),
    [
        (["Sam Rayes", "Fairmont", "2026–27", "BMus"], "student", "“Sam Reyes”"),
        (["Sam Reyes", "Fairmount", "2026–27", "BMus"], "institution", "“Fairmont”"),
        (["Sam Reyes", "Fairmont", "2025–26", "BMus"], "season", "“2026–27”"),
        (["Sam Reyes", "Fairmont", "2026–27", "B Mus"], "audition", "“BMus”"),
        (["Sam Reyes", "Fairmont", "2026–27", None], "audition", "this row needs it"),
    ],
)
def test_the_part_of_a_key_that_leads_nowhere_is_named(row, column, words):
    places, advice = told(season(entries=[ENTRY, row]))
    assert places == [("entries", 2, column, row[ENTRY.index(column)] or "")]
    assert words in advice


def test_names_are_found_whatever_their_capitals_and_spaces():
    row = ["sam reyes ", "FAIRMONT", "2026–27", "b\xa0mus"]
    rows = [["institution", "season", "audition"], ["Fairmont", "2026–27", "B Mus"]]
    studio = loaded(auditions=rows, entries=[ENTRY, row])
    assert Entry.objects.get(student__studio=studio).student.name == "Sam Reyes"


def test_one_wrong_row_is_not_reported_for_all_that_hang_on_it():
    checks = [
        ["student", "composer", "work", "date", "tempo"],
        ["Sam Reyes", "Invented", "Study 1", date(2026, 11, 1), 90],
    ]
    students = [["student", "instrument"], ["Sam Reyes", "Hron"]]
    entries, days = [ENTRY, SAMS], [[*ENTRY, "call"], [*SAMS, "10:40"]]
    places, _ = told(season(students=students, entries=entries, days=days, checks=checks))
    assert {place[:2] for place in places} == {("students", 2)}


def test_an_empty_season_is_the_studios():
    studio = loaded(auditions=[["institution", "audition"], ["Fairmont", "BMus"]])
    assert studio.institutions.get().auditions.get().season == studio.season


def test_what_a_new_row_needs_is_asked_for():
    places, advice = told(base(students=[["student", "town"], ["Sam Reyes", "Carrow"]]))
    assert places == [("students", 2, "instrument", "")]
    assert "Add the column “instrument”" in advice
    places, advice = told(base(students=[["student", "instrument"], [None, "Horn"]]))
    assert places == [("students", 2, "student", "")]
    assert "Write the student" in advice


def test_dates_of_a_column_are_read_by_what_the_column_shows():
    rows = [["institution", "season", "audition", "date"]]
    rows += [[*SAMS[1:], day] for day in ("2/6/2027", "2/13/2027", "6 Mar 2027")]
    studio = loaded(dates=rows)
    found = OfferedDate.objects.filter(audition__institution__studio=studio)
    assert [str(row.on) for row in found] == ["2027-02-06", "2027-02-13", "2027-03-06"]


def test_an_ambiguous_date_is_a_problem():
    rows = [["institution", "season", "audition", "date"], [*SAMS[1:], "2/6/2027"]]
    places, advice = told(season(dates=rows))
    assert places == [("dates", 2, "date", "2/6/2027")]
    assert "2027-06-02 or as 2027-02-06" in advice


def test_the_models_own_rules_are_asked():
    away = [["student", "first day", "last day"], ["Sam Reyes", date(2027, 1, 9), date(2027, 1, 2)]]
    places, advice = told(base(away=away))
    assert places == [("away", 2, "last day", "2027-01-02")]
    assert advice == "The last day is before the first."


def test_a_day_needs_the_entrys_date_which_may_come_with_the_same_file():
    days = [[*ENTRY, "call"], [*SAMS, "10:40"]]
    places, advice = told(season(entries=[ENTRY, SAMS], days=days))
    assert places == [("days", 2, "", "")]
    assert "Choose the entry's date first" in advice
    dates = [["institution", "season", "audition", "date"], [*SAMS[1:], date(2027, 2, 6)]]
    entries = [[*ENTRY, "chosen date"], [*SAMS, date(2027, 2, 6)]]
    assert told(season(entries=entries, days=days, dates=dates)) == ([], "")


def test_a_date_of_another_audition_cannot_be_chosen():
    auditions = [*AUDITIONS, ["Fairmont", "2026–27", "MMus"]]
    dates = [
        ["institution", "season", "audition", "date"],
        ["Fairmont", "2026–27", "MMus", date(2027, 2, 6)],
    ]
    entries = [[*ENTRY, "chosen date"], [*SAMS, date(2027, 2, 6)]]
    places, _ = told(season(auditions=auditions, dates=dates, entries=entries))
    assert places == [("entries", 2, "chosen date", "2027-02-06")]


SETS = ["institution", "season", "instrument", "level", "degree", "source", "requirement", "kind"]
URL = "https://fairmont.example/s"


def test_what_is_said_of_a_set_may_stand_on_one_of_its_rows():
    rows = [
        SETS,
        ["Fairmont", "2026–27", "Horn", "UG", "BMus", None, "Solo", "solo"],
        ["Fairmont", "2026–27", "Horn", "UG", "BMus", URL, "Etude", "etude"],
    ]
    studio = loaded(requirements=rows)
    one = RequirementSet.objects.get(institution__studio=studio)
    assert (one.source, one.requirements.count()) == (URL, 2)


def test_rows_of_a_set_that_contradict_each_other_are_a_problem():
    rows = [
        SETS,
        ["Fairmont", "2026–27", "Horn", "UG", "BMus", URL, "Solo", "solo"],
        ["Fairmont", "2026–27", "Horn", "UG", "BMus", URL + "/b", "Etude", "etude"],
    ]
    places, advice = told(season(requirements=rows))
    assert places == [("requirements", 3, "source", URL + "/b")]
    assert "Row 2 says otherwise" in advice


INSIDE = [*SETS[:5], "requirement", "kind", "inside", "round"]
HORN = ["Fairmont", "2026–27", "Horn", "UG", "BMus"]


def test_a_requirement_stands_inside_a_group_that_comes_before_or_after_it():
    rows = [
        INSIDE,
        [*HORN, "Excerpts", "excerpt", "solo or  EXCERPTS", None],
        [*HORN, "Solo or excerpts", "some of", "Everything", None],
        [*HORN, "Solo", "solo", "Solo or excerpts", None],
        [*HORN, "Everything", "Group: all of these", None, None],
    ]
    studio = loaded(requirements=rows)
    found = Requirement.objects.filter(requirement_set__institution__studio=studio)
    assert {row.name: row.parent and row.parent.name for row in found} == {
        "Excerpts": "Solo or excerpts",
        "Solo": "Solo or excerpts",
        "Solo or excerpts": "Everything",
        "Everything": None,
    }
    again = planned(season(requirements=rows), studio)
    assert (again.problems, again.created, again.changed) == ([], 0, 0)
    rows[1][-2] = None
    (step,) = planned(season(requirements=rows), studio).steps
    (change,) = step.differences
    assert (change.heading, change.before, change.after) == ("inside", "Solo or excerpts", "empty")


@pytest.mark.parametrize(
    ("rows", "place", "words"),
    [
        (
            [["Solo", "solo", "Choise", None], ["Choice", "some of", None, None]],
            (2, "inside", "Choise"),
            "Did you mean “Choice”?",
        ),
        (
            [["Solo", "solo", "Etude", None], ["Etude", "etude", None, None]],
            (2, "inside", "Etude"),
            "“Etude” is not a group",
        ),
        (
            [["Solo", "solo", "Choice", "screening"], ["Choice", "some of", None, "live"]],
            (2, "round", "screening"),
            "no round “screening”",
        ),
        (
            [["Choice", "some of", "Choice", None]],
            (2, "inside", "Choice"),
            "cannot stand inside itself",
        ),
    ],
)
def test_a_group_that_cannot_be_is_told(rows, place, words):
    sheet = [INSIDE, *([*HORN, *row] for row in rows)]
    places, advice = told(season(requirements=sheet))
    assert places == [("requirements", *place)]
    assert words in advice


@pytest.mark.parametrize(
    ("heading", "text", "clause"),
    [
        ("only pieces with", "compsoer: Mozart", "“compsoer: Mozart”"),
        ("pieces together", "contrasting; different", "“different”"),
        ("all pieces together", "minutes: at most many", "“minutes: at most many”"),
    ],
)
def test_a_notation_that_cannot_be_read_is_told_with_the_clause_to_mend(heading, text, clause):
    rows = [[*SETS[:5], "requirement", "kind", heading], [*HORN, "Solo", "solo", text]]
    places, advice = told(season(requirements=rows))
    assert places == [("requirements", 2, heading, text)]
    assert clause in advice


def test_a_group_of_another_set_is_not_found():
    rows = [
        INSIDE,
        [*HORN, "Solo", "solo", "Choice", None],
        [*HORN[:4], "MMus", "Choice", "some of", None, None],
    ]
    places, _ = told(season(requirements=rows))
    assert places == [("requirements", 2, "inside", "Choice")]


def test_a_correction_names_a_requirement_of_its_set_or_none():
    sets = [INSIDE, [*HORN, "Solo", "solo", None, None]]
    errata = [[*SETS[:5], "published on", "correction", "requirement"]]
    on = date(2026, 11, 22)
    errata += [[*HORN, on, "Bar 12: natural", "Solo"], [*HORN, on, "Page 3 is missing", None]]
    studio = loaded(requirements=sets, errata=errata)
    found = Erratum.objects.filter(requirement_set__institution__studio=studio)
    assert {row.text: str(row.requirement) for row in found} == {
        "Bar 12: natural": "Solo",
        "Page 3 is missing": "None",
    }
    errata[1][-1] = "Sola"
    places, advice = told(season(requirements=sets, errata=errata))
    assert places == [("errata", 2, "requirement", "Sola")]
    assert "Did you mean “Solo”?" in advice


def test_a_judgement_says_yes_or_no():
    sets = [INSIDE, [*HORN, "Solo", "solo", None, None]]
    judgements = [[*SETS[:5], "requirement", "composer", "work", "fits"]]
    judgements += [[*HORN, "Solo", "Invented", "Study 1", "No"]]
    studio = loaded(requirements=sets, judgements=judgements)
    assert not Judgement.objects.get(piece__studio=studio).fits
    judgements[1][-1] = "perhaps"
    places, advice = told(season(requirements=sets, judgements=judgements))
    assert (places, advice) == ([("judgements", 2, "fits", "perhaps")], "Write yes or no.")


def test_a_wish_is_one_of_three_words():
    wishes = [["student", "composer", "work", "wish"], ["Sam Reyes", "Invented", "Study 1", "keep"]]
    studio = loaded(wishes=wishes)
    assert Wish.objects.get(student__studio=studio).word == "keep"
    wishes[1][-1] = "kep"
    places, advice = told(season(wishes=wishes))
    assert places == [("wishes", 2, "wish", "kep")]
    assert "Did you mean “keep”?" in advice


@pytest.mark.parametrize(
    ("cell", "kept"), [("yes", True), (None, True), ("no", False), (False, False), ("N", False)]
)
def test_an_entry_is_in_the_plan_unless_it_is_said_not_to_be(cell, kept):
    studio = loaded(entries=[[*ENTRY, "in the plan"], [*SAMS, cell]])
    assert Entry.objects.get(student__studio=studio).kept is kept


def test_a_set_without_requirements_needs_no_requirement():
    studio = loaded(requirements=[SETS, ["Fairmont", "2026–27", "Horn", "", "", URL]])
    assert RequirementSet.objects.filter(institution__studio=studio).count() == 1
    assert not Requirement.objects.exists()


def test_an_entry_finds_its_set_by_level_and_degree_alone():
    rows = [SETS, ["Fairmont", "2026–27", "Horn", "UG", "BMus", URL, "Solo", "solo"]]
    entries = [[*ENTRY, "level", "degree"], [*SAMS, "UG", "BMus"]]
    programme = [
        [*ENTRY, "requirement", "composer", "work"],
        [*SAMS, "Solo", "Invented", "Study 1"],
    ]
    studio = loaded(requirements=rows, entries=entries, programme=programme)
    entry = Entry.objects.get(student__studio=studio)
    assert entry.requirement_set.degree == "BMus"
    assert entry.assignments.get().piece.work == "Study 1"


def test_a_piece_for_an_entry_without_a_set_is_a_problem():
    programme = [
        [*ENTRY, "requirement", "composer", "work"],
        [*SAMS, "Solo", "Invented", "Study 1"],
    ]
    places, advice = told(season(entries=[ENTRY, SAMS], programme=programme))
    assert places == [("programme", 2, "requirement", "Solo")]
    assert "no requirement set yet" in advice


def test_rows_of_one_sheet_may_name_later_ones():
    rows = [["institution", "part of"], ["Fairmont", "University"], ["University", None]]
    deadlines = [
        ["institution", "season", "audition", "deadline", "for", "date", "opens after"],
        [*SAMS[1:], "Music", "music application", date(2026, 12, 1), "University"],
        [*SAMS[1:], "University", "university application", date(2026, 11, 1), None],
    ]
    studio = loaded(institutions=rows, deadlines=deadlines)
    assert studio.institutions.get(name="Fairmont").part_of.name == "University"
    assert Deadline.objects.get(name="Music").opens_after.name == "University"


def test_deadlines_that_wait_for_each_other_are_a_problem():
    deadlines = [
        ["institution", "season", "audition", "deadline", "for", "date", "opens after"],
        [*SAMS[1:], "A", "fee", date(2026, 12, 1), "B"],
        [*SAMS[1:], "B", "fee", date(2026, 11, 1), "A"],
    ]
    places, advice = told(season(deadlines=deadlines))
    assert places == [("deadlines", 2, "opens after", "B"), ("deadlines", 3, "opens after", "A")]
    assert "Choose an earlier deadline" in advice


def test_several_instruments_stand_in_one_cell():
    instruments = [
        ["instrument", "family", "position"],
        ["Horn", "brass", 1],
        ["Tuba", "brass", 2],
        ["Natural horn, in D", "brass", 3],
    ]
    for cell in ("Tuba; natural horn, in D", "Tuba\nNatural horn, in D"):
        rows = [["student", "instrument", "also plays"], ["Sam Reyes", "Horn", cell]]
        studio = loaded(instruments=instruments, students=rows)
        names = [one.name for one in studio.students.get().also_plays.all()]
        assert names == ["Tuba", "Natural horn, in D"]
    rows = [["student", "instrument", "also plays"], ["Sam Reyes", "Horn", "Tuba, Tubbba"]]
    places, advice = told(base(instruments=instruments, students=rows))
    assert places == [("students", 2, "also plays", "Tubbba")]
    assert "Did you mean “Tuba”" in advice


DEADLINES = [
    ["institution", "season", "audition", "deadline", "for", "date"],
    [*SAMS[1:], "Fee", "fee", date(2026, 12, 1)],
]
LEAD = [["for", "task"], ["fee", "Pay the fee"]]


def test_without_a_tasks_sheet_the_tasks_are_drawn_up():
    studio = empty_studio()
    files = season(deadlines=DEADLINES, entries=[ENTRY, SAMS], lead_times=LEAD)
    made = planned(files, studio)
    assert (made.draws_up, made.tasks_drawn) == (True, 1)
    assert apply(made) == 1
    assert Task.objects.get(entry__student__studio=studio).name == "Pay the fee"
    again = planned(files, studio)
    assert (again.created, again.changed, again.tasks_drawn) == (0, 0, 0)


def test_the_tasks_told_beforehand_are_those_drawn_up():
    studio = empty_studio()
    early = [*SAMS[1:], "Early fee", "fee", date(2026, 11, 1), "early"]
    deadlines = [[*DEADLINES[0], "round"], [*DEADLINES[1], ""], early]
    lead = [
        ["for", "only for", "task", "after"],
        ["fee", "", "Pay the fee", ""],
        ["fee", "youth orchestra", "Ask the parents", ""],
        ["audition day", "", "Book the journey", ""],
        ["audition day", "", "Pack", "Book the journey"],
    ]
    made = planned(season(deadlines=deadlines, entries=[ENTRY, SAMS], lead_times=lead), studio)
    assert made.problems == []
    assert made.tasks_drawn == apply(made) == 3


def test_a_tasks_sheet_brings_its_own_and_no_others():
    studio = empty_studio()
    tasks = [
        [*ENTRY, "deadline", "task", "state", "done on"],
        [*SAMS, "Fee", "Ask for a waiver", "done", date(2026, 11, 1)],
    ]
    made = planned(
        season(deadlines=DEADLINES, entries=[ENTRY, SAMS], lead_times=LEAD, tasks=tasks), studio
    )
    assert (made.draws_up, made.tasks_drawn) == (False, 1)
    assert apply(made) == 0
    assert [task.name for task in Task.objects.all()] == ["Ask for a waiver"]


def test_a_new_deadline_brings_tasks_to_entries_that_were_there():
    studio = loaded(entries=[ENTRY, SAMS], lead_times=LEAD)
    made = planned(season(deadlines=DEADLINES), studio)
    assert made.tasks_drawn == 1
    assert apply(made) == 1


def test_a_task_has_a_deadline_or_a_date():
    tasks = [[*ENTRY, "task"], [*SAMS, "Buy mute"]]
    places, advice = told(season(entries=[ENTRY, SAMS], tasks=tasks))
    assert places == [("tasks", 2, "date", "")]
    assert "Give a date, or a deadline" in advice


def test_another_studios_rows_cannot_be_named():
    make.InstrumentFactory(studio=make.StudioFactory(), name="Tuba")
    places, _ = told(base(students=[["student", "instrument"], ["Sam Reyes", "Tuba"]]))
    assert places == [("students", 2, "instrument", "Tuba")]


def test_another_studios_rows_are_never_changed():
    other = rich_studio()
    before = list(Student.objects.filter(studio=other).values())
    files = base(students=[["student", "instrument", "town"], ["Sam Reyes", "Horn", "Elsewhere"]])
    studio = empty_studio()
    apply(planned(files, studio))
    assert list(Student.objects.filter(studio=other).values()) == before
    assert studio.students.get().town == "Elsewhere"


def test_what_a_load_writes_is_recorded_as_the_students():
    from studio.accounts.models import Change

    studio = loaded(entries=[ENTRY, SAMS])
    entry = Entry.objects.get(student__studio=studio)
    change = Change.objects.get(model="entries.entry", object_pk=entry.pk)
    assert (change.student_pk, change.after["audition_id"]) == (entry.student_id, entry.audition_id)


def test_the_columns_of_a_cell_that_shows_no_value_are_named():
    rows = [["student", "instrument", "Monday"], ["Sam Reyes", "Horn", "=30+30"]]
    places, advice = told(base(students=rows))
    assert places == [("students", 2, "Monday", "formula in C2")]
    assert "Cell C2 holds a formula" in advice


def counted_queries(studio, files, django_assert_max_num_queries):
    with django_assert_max_num_queries(100) as captured:
        planned(files, studio)
    return len(captured)


def test_a_plan_costs_the_same_queries_for_one_student_and_thirty(django_assert_max_num_queries):
    from tests.studio.workbooks import WRITERS

    studio, counts = rich_studio(), []
    for more in (0, 29):
        for _ in range(more):
            student = make.StudentFactory(studio=studio, instrument=studio.instruments.first())
            make.full_entry(student, pieces=1, checks=1)
        files = WRITERS["zip"](studio)
        for target in (studio, empty_studio()):
            counts.append(counted_queries(target, files, django_assert_max_num_queries))
    assert counts[0] == counts[2]
    assert counts[1] == counts[3]
    assert counts[0] <= 40  # one for each kind of row, and four for lists of names
