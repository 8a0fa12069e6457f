"""What deadlines, tasks, dates and recordings hang on, written in a workbook and read again."""

from datetime import date
from decimal import Decimal

import pytest

from studio.entries.models import Task
from studio.institutions.models import Deadline
from studio.students.models import StudioDay
from studio.workbook.applying import apply
from tests import factories as make
from tests.studio.workbooks import (
    AUDITIONS,
    INSTITUTIONS,
    PIECES,
    base,
    contents,
    empty_studio,
    planned,
    told,
)

pytestmark = pytest.mark.django_db
NAMED = ["institution", "audition", "deadline", "for"]
FOR = ["Fairmont", "BMus", "Repertoire list", "repertoire list"]
ENTRIES = [["student", "institution", "audition"], ["Sam Reyes", "Fairmont", "BMus"]]
SETS = [["institution", "instrument", "requirement"], ["Fairmont", "Horn", "Solo"]]


def season(**sheets):
    """Return the files of a workbook in which Sam goes to Fairmont."""
    known = {"institutions": INSTITUTIONS, "auditions": AUDITIONS, "entries": ENTRIES}
    return base(**known | sheets)


def deadlines(headings, *rows):
    return [[*NAMED, *headings], *([*FOR, *row] for row in rows)]


def loaded(**sheets):
    """Load the season into a new studio and return it."""
    studio = empty_studio()
    made = planned(season(**sheets), studio)
    assert made.problems == []
    apply(made)
    return studio


def test_a_deadline_without_a_date_is_counted_from_the_audition():
    rows = deadlines(["before", "counted in"], [7, "working days"])
    loaded(deadlines=rows)
    row = Deadline.objects.get()
    assert (row.on, row.before, row.before_unit) == (None, 7, "working days")


@pytest.mark.parametrize(
    ("headings", "row", "advice"),
    [
        (["date"], [None], "one of the two"),
        (["date", "before"], [date(2027, 1, 5), 7], "one of the two"),
        (["date", "late until"], [date(2027, 1, 5), date(2027, 1, 5)], "not after the deadline"),
        (["before", "cost"], [7, -1], "0 or more|from 0"),
        (["before", "cost"], [7, "12.345"], "2 places after the point"),
        (["before", "counted in"], [7, "fortnights"], "One of: days"),
        (["before"], [3661], "from 0 to 3660"),
    ],
)
def test_a_deadline_that_says_too_little_or_too_much_is_refused(headings, row, advice):
    studio = empty_studio()
    made = planned(season(deadlines=deadlines(headings, row)), studio)
    assert made.problems
    assert any(word in made.problems[0].advice for word in advice.split("|"))
    assert not Deadline.objects.exists()


def test_a_dated_deadline_becomes_one_without_a_date():
    studio = loaded(deadlines=deadlines(["date", "cost"], [date(2027, 1, 5), "75,5"]))
    assert Deadline.objects.get().cost == Decimal("75.50")
    made = planned(season(deadlines=deadlines(["date", "before"], [None, 14])), studio)
    assert made.problems == []
    apply(made)
    row = Deadline.objects.get()
    assert (row.on, row.before, row.cost) == (None, 14, Decimal("75.50"))


def test_deadlines_with_and_without_dates_stand_in_a_lasting_order():
    studio = empty_studio()
    audition = make.AuditionFactory(institution__studio=studio)
    make.DeadlineFactory(audition=audition, name="Late", on=date(2027, 2, 1))
    make.DeadlineFactory(audition=audition, name="Counted", on=None, before=7)
    make.DeadlineFactory(audition=audition, name="Early", on=date(2026, 11, 1))
    shown = [row["deadline"] for row in contents(studio)["deadlines"]]
    assert shown == ["Counted", "Early", "Late"]
    assert [row.name for row in audition.deadlines.all()] == ["Early", "Late", "Counted"]


TASK = ["student", "institution", "audition", "deadline", "task", "date", "after deadline", "after"]
SAM = ["Sam Reyes", "Fairmont", "BMus"]
LIST = [*FOR, date(2027, 1, 5)]


def tasks(*rows, headings=()):
    return {
        "deadlines": [[*NAMED, "date"], LIST],
        "tasks": [[*TASK, *headings], *([*SAM, *row] for row in rows)],
    }


OWN = [None, "Ask for it", date(2026, 12, 1)]
DRAWN = ["Repertoire list", "Send it", None]


def test_a_task_waits_for_one_of_its_own_entry_whatever_its_date_hangs_on():
    loaded(**tasks([*DRAWN, None, "Ask for it"], [*OWN, None, None]))
    assert Task.objects.get(name="Send it").after.name == "Ask for it"
    loaded(**tasks([*OWN, "Repertoire list", "Send it"], [*DRAWN, None, None]))
    assert Task.objects.latest("pk").entry.tasks.get(name="Ask for it").after.name == "Send it"


def test_a_task_waits_for_one_of_another_entry():
    row = [*SAM, *OWN, None, "Ask for it", "Masters"]
    first = ["Sam Reyes", "Fairmont", "Masters", None, "Ask for it", date(2026, 11, 20), None, None]
    sheets = {
        "auditions": [*AUDITIONS, ["Fairmont", "2026–27", "Masters"]],
        "entries": [*ENTRIES, ["Sam Reyes", "Fairmont", "Masters"]],
        "tasks": [[*TASK, "after audition"], row, [*first, None]],
    }
    loaded(**sheets)
    waits = Task.objects.exclude(after=None).get()
    assert (waits.entry.audition.name, waits.after.entry.audition.name) == ("BMus", "Masters")


@pytest.mark.parametrize(
    ("row", "column", "advice"),
    [
        ([*OWN, None, "Send it"], "after deadline", "no “Send it” without a deadline"),
        ([*OWN, None, "Send all"], "after", "“Send all”"),
        ([*OWN, "Repertory list", "Send it"], "after deadline", "“Repertoire list”?"),
        ([*OWN, None, "Ask for it"], "after", "cannot wait for itself"),
        ([*OWN, "Repertoire list", None], "after", "Write the after"),
    ],
)
def test_a_task_that_waits_for_what_is_not_there_is_refused(row, column, advice):
    places, words = told(season(**tasks(row, [*DRAWN, None, None])))
    assert [(place[0], place[2]) for place in places] == [("tasks", column)]
    assert advice in words
    assert not Task.objects.exists()


def test_a_task_is_counted_from_the_day_or_refused_where_it_has_two_dates():
    yes = tasks([None, "Book the train", None, None, None, "yes"], headings=["from the day"])
    loaded(**yes)
    assert Task.objects.get().of_day
    twice = tasks([*OWN, None, None, "yes"], headings=["from the day"])
    places, words = told(season(**twice))
    assert places[0][:3] == ("tasks", 2, "date")
    assert "Give a date, or a deadline" in words


def test_a_letter_is_written_by_a_recommender_of_the_same_student():
    people = [["student", "recommender"], ["Mia Okafor", "R. Bell"]]
    rows = tasks([*OWN, None, None, "R. Bell"], headings=["recommender"])
    places, _ = told(season(recommenders=people, **rows))
    assert [place[:3] for place in places] == [("tasks", 2, "recommender")]
    people.append(["Sam Reyes", "R. Bell"])
    loaded(recommenders=people, **rows)
    assert Task.objects.get().recommender.student.name == "Sam Reyes"


def test_own_days_need_students_the_studio_has_and_an_absence_of_somebody():
    head = ["first day", "name", "kind", "last day", "students"]
    concert = [date(2027, 2, 13), "Brass evening", "concert", date(2027, 2, 13)]
    loaded(own_days=[head, [*concert, "Sam Reyes; Mia Okafor"]])
    assert StudioDay.objects.get().students.count() == 2
    places, words = told(base(own_days=[head, [*concert, "Sam Rayes"]]))
    assert [place[2] for place in places] == ["students"]
    assert "Did you mean “Sam Reyes”?" in words
    _, words = told(base(own_days=[head, [*concert[:2], "accompanist away", *concert[3:]]]))
    assert "Say which accompanist is away" in words


TAKE = ["student", "institution", "audition", "round", "made on", "pieces"]


def takes(pieces, entry=("Fairmont", "2026–27", "Horn")):
    names = ["requirements of", "requirements season", "requirements instrument"]
    return {
        "requirements": SETS,
        "recordings": [["institution", "instrument", "round"], ["Fairmont", "Horn", "screening"]],
        "pieces": [[*PIECES[0], "section"], PIECES[1], ["Second", "Airs, op. 2", "II"]],
        "entries": [[*ENTRIES[0], *names], [*ENTRIES[1], *entry]],
        "takes": [[*TAKE, "file"], [*SAM, "screening", date(2026, 12, 1), pieces, "a.wav"]],
    }


def taken(entry):
    return sorted(piece.work for piece in entry.takes.get().pieces.all())


def test_a_take_names_its_pieces_with_bars_between_composer_and_work():
    studio = loaded(**takes("Invented | Study 1; second | airs,  op. 2 | ii"))
    entry = studio.students.get(name="Sam Reyes").entries.get()
    assert taken(entry) == ["Airs, op. 2", "Study 1"]
    (row,) = contents(studio)["takes"]
    assert row["pieces"] == "Invented | Study 1; Second | Airs, op. 2 | II"


@pytest.mark.parametrize(
    ("pieces", "advice"),
    [
        ("Invented | Study 2", "Did you mean “Study 1”?"),
        ("Study 1", "There is no composer “Study 1” here"),
        ("Invented | Study 1 | II | 3", "Write it as composer | work | section"),
    ],
)
def test_a_piece_that_is_not_there_is_named(pieces, advice):
    places, words = told(season(**takes(pieces)))
    assert [place[2] for place in places] == ["pieces"]
    assert advice in words


def test_a_take_needs_an_entry_with_a_set():
    places, words = told(season(**takes("Invented | Study 1", entry=(None, None, None))))
    assert [place[:3] for place in places] == [("takes", 2, "round")]
    assert "no requirement set yet" in words


def test_one_bad_row_of_the_new_sheets_keeps_everything_out():
    studio = empty_studio()
    before = contents(studio)
    sheets = takes("Invented | Study 1") | {
        "accompanists": [["accompanist", "players a day"], ["C. Ruiz", 0]],
    }
    made = planned(season(**sheets), studio)
    assert [(p.sheet, p.column) for p in made.problems] == [("accompanists", "players a day")]
    assert contents(studio) == before


def test_weekdays_are_written_as_words():
    rows = [["student", "instrument", "lesson day"], ["Sam Reyes", "Horn", "monday"]]
    studio = loaded(students=rows)
    assert studio.students.get().lesson_day == 0
    assert contents(studio)["students"][0]["lesson day"] == "Monday"
    rows[1][2] = "Mondy"
    places, words = told(base(students=rows))
    assert [place[2] for place in places] == ["lesson day"]
    assert "Did you mean “monday”?" in words
