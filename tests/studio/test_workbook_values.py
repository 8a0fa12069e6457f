"""How cells are read: dates, times, numbers, choices and zones as people write them."""

from datetime import date, datetime, time, timedelta

import pytest

from studio.entries.models import LessonCheck
from studio.institutions.models import Deadline, Institution
from studio.requirements.models import Piece
from studio.students.models import Instrument, Student
from studio.workbook.kinds import kind_of
from studio.workbook.moments import Misread, read_date, read_time, slashed_order

SIXTH = date(2027, 2, 6)


def read(model, field, value):
    return kind_of(model._meta.get_field(field)).read(value)


@pytest.mark.parametrize(
    "written",
    [
        SIXTH,
        datetime(2027, 2, 6),
        46424,
        46424.0,
        "2027-02-06",
        "2027/02/06",
        "2027-02-06T00:00:00",
        "2027-02-06 00:00:00",
        "6 Feb 2027",
        "6 February 2027",
        "06-Feb-27",
        "6th Feb. 2027",
        "Feb 6, 2027",
        "February 6 2027",
        "feb. 6th, 2027",
        "6.2.2027",
        "06. 02. 2027",
        "Sat 6 Feb 2027",
        "Saturday, February 6, 2027",
        "\xa06\xa0Feb\xa02027 ",
    ],
)
def test_dates_are_read_in_many_forms(written):
    assert read_date(written) == SIXTH


@pytest.mark.parametrize(
    "written", ["13/2/2027", "2/13/2027", "2/2/2027", "13-2-2027", "28/2/2027"]
)
def test_slashed_dates_that_can_mean_one_day_only_are_read(written):
    assert read_date(written).month == 2


def test_an_ambiguous_date_is_never_guessed():
    with pytest.raises(
        Misread, match="2 June or 6 February. Write it as 2027-06-02 or as 2027-02-06"
    ):
        read_date("2/6/2027")


@pytest.mark.parametrize(
    ("column", "order"),
    [
        (["2/6/2027", "13/2/2027"], "day"),
        (["2/6/2027", "2/13/2027"], "month"),
        (["2/6/2027", "3/4/2027"], None),
        (["2/6/2027", "13/2/2027", "2/13/2027"], None),
        (["2/6/2027", None, 7], None),
    ],
)
def test_the_column_tells_which_part_comes_first(column, order):
    assert slashed_order(column) == order


def test_an_ambiguous_date_is_read_as_its_column_says():
    assert read_date("2/6/2027", "month") == SIXTH
    assert read_date("6/2/2027", "day") == SIXTH
    assert read_date("13/2/2027", "month") == date(2027, 2, 13)


@pytest.mark.parametrize(
    ("written", "advice"),
    [
        ("tomorrow", "not a date"),
        ("31 Feb 2027", "no such day"),
        ("30/2/2027", "no such day"),
        ("6/2/27", "year in full"),
        ("Fri 6 Feb 2027", "is a Saturday"),
        ("0207-02-06", "year 207"),
        (datetime(2027, 2, 6, 10, 40), "date with a time"),
        (time(10, 40), "not a date"),
        (True, "not a date"),
        (12, "not a date"),
    ],
)
def test_what_is_no_date_is_said_to_be_none(written, advice):
    with pytest.raises(Misread, match=advice):
        read_date(written)


@pytest.mark.parametrize(
    ("written", "read_as"),
    [
        ("10:40", time(10, 40)),
        ("10.40", time(10, 40)),
        ("10h40", time(10, 40)),
        ("10:40:30", time(10, 40, 30)),
        ("10:40 am", time(10, 40)),
        ("10.40 P.M.", time(22, 40)),
        ("10 PM", time(22)),
        ("10pm", time(22)),
        ("12 am", time(0)),
        ("12:15 pm", time(12, 15)),
        ("0:05", time(0, 5)),
        ("noon", time(12)),
        (" 10:40\xa0", time(10, 40)),
        (time(10, 40), time(10, 40)),
        (640 / 1440, time(10, 40)),
        (0, time(0)),
        (timedelta(hours=10, minutes=40), time(10, 40)),
    ],
)
def test_times_are_read_in_many_forms(written, read_as):
    assert read_time(written) == read_as


@pytest.mark.parametrize(
    ("written", "advice"),
    [
        ("midnight", "00:00, or 23:59"),
        ("24:00", "00:00, or 23:59"),
        ("25:00", "no such time"),
        ("13:00 pm", "no such time"),
        ("0 am", "no such time"),
        ("1040", "not a time"),
        ("10", "not a time"),
        ("about ten", "not a time"),
        (10.4, "A number is not a time"),
        (datetime(2027, 2, 6, 10, 40), "date with a time"),
        (True, "not a time"),
    ],
)
def test_what_is_no_time_is_said_to_be_none(written, advice):
    with pytest.raises(Misread, match=advice):
        read_time(written)


@pytest.mark.parametrize(
    ("written", "read_as"),
    [("1,5", "1.5"), ("1.5", "1.5"), (1.5, "1.5"), (2, "2"), ("1 234,5", "1234.5"), ("+3", "3")],
)
def test_decimals_may_have_a_comma(written, read_as):
    assert str(read(Piece, "minutes", written).normalize()) in {read_as, "1.2345E+3"}


def test_a_comma_that_could_mean_two_things_is_not_guessed():
    with pytest.raises(Misread, match="1.5 or 1500"):
        read(Piece, "hours", "1,500")


def test_a_comma_is_read_where_only_one_reading_is_possible():
    assert read(Student, "latitude", "41,878") == 41.878
    assert read(Student, "practice_mon", "1,500") == 1500
    assert read(Student, "longitude", "\N{MINUS SIGN}87,63") == -87.63


@pytest.mark.parametrize(
    ("model", "field", "written", "advice"),
    [
        (Student, "practice_mon", "60 min", "a whole number, 0 or more"),
        (Student, "practice_mon", -5, "a whole number, 0 or more"),
        (Student, "practice_mon", 2.5, "a whole number"),
        (Student, "practice_mon", 40_000, "a whole number"),
        (Student, "practice_mon", True, "a whole number"),
        (Student, "latitude", 91, "from -90 to 90"),
        (Student, "latitude", "nan", "from -90 to 90"),
        (Instrument, "semitones", 40, "from -36 to 36"),
        (LessonCheck, "tempo", 0, "from 1 to 400"),
        (Piece, "minutes", "2.55", "a number"),
    ],
)
def test_numbers_out_of_bounds_are_refused_with_the_bounds(model, field, written, advice):
    with pytest.raises(Misread, match=advice):
        read(model, field, written)


@pytest.mark.parametrize(
    "written",
    ["face to face", "Face to face", " FACE  TO\xa0FACE ", "blind", "Blind, behind a screen"],
)
def test_a_choice_is_read_by_value_or_label(written):
    from studio.institutions.models import Audition

    assert read(Audition, "format", written) in {"face to face", "blind"}


def test_a_choice_that_is_none_names_the_closest():
    with pytest.raises(Misread, match="Did you mean “scholarship”"):
        read(Deadline, "kind", "scolarship")


def test_a_zone_is_read_whatever_its_capitals_and_suggested_by_its_city():
    assert read(Institution, "time_zone", "america/new_york") == "America/New_York"
    with pytest.raises(Misread, match="America/Chicago"):
        read(Institution, "time_zone", "Chicago")


def test_text_loses_the_spaces_nobody_sees():
    assert read(Student, "name", "\ufeff Sam\xa0\xa0Reyes \u200b") == "Sam Reyes"
    assert read(Student, "notes", " one \r\ntwo\xa0three  \r\n") == "one\ntwo three"


def test_a_number_under_a_text_heading_is_text():
    assert read(Student, "school_year", 11.0) == "11"
    assert read(Student, "school_year", 2027) == "2027"


def test_a_date_that_the_spreadsheet_made_of_a_text_is_reported():
    with pytest.raises(Misread, match="Format the cell as text"):
        read(Student, "school_year", datetime(2026, 9, 10))


@pytest.mark.parametrize(
    ("model", "field", "written", "advice"),
    [
        (Student, "email", "sam at home", "email"),
        (Institution, "website", "fairmont", "URL"),
        (Instrument, "lowest", "H2", "F#2"),
        (Student, "name", "x" * 121, "at most 120 letters; there are 121"),
    ],
)
def test_the_models_own_rules_hold(model, field, written, advice):
    with pytest.raises(Misread, match=advice):
        read(model, field, written)
