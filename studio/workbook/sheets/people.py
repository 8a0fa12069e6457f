"""Instruments, students and the days they are away."""

from studio.students.models import DayAway, Instrument, Student
from studio.workbook.layout import Column, Link, Many, sheet

SCORE = ("student.instrument.position", "student.instrument.name", "student.name")

INSTRUMENTS = sheet(
    "instruments",
    "The instruments of the studio, in score order.",
    Instrument,
    key=("name",),
    order=("position", "name"),
    items=(
        Column("instrument", "name"),
        Column("family", "family"),
        Column("position", "position"),
        Column("semitones", "semitones"),
        Column("lowest", "lowest", "The lowest written note: F#2, Bb4."),
        Column("highest", "highest", "The highest written note."),
    ),
)

STUDENTS = sheet(
    "students",
    "One row a student. Practice is in minutes, one column for each weekday.",
    Student,
    key=("name",),
    order=("instrument.position", "instrument.name", "name"),
    items=(
        Column("student", "name", "The full name; every other sheet finds them by it."),
        Column("goes by", "known_as"),
        Link("instrument", "instruments", ("instrument",)),
        Many("also plays", "also_plays", "instruments"),
        Column("school year", "school_year"),
        Column("e-mail", "email"),
        Column("town", "town"),
        Column("latitude", "latitude"),
        Column("longitude", "longitude"),
        Column("time zone", "time_zone"),
        Column("Monday", "practice_mon"),
        Column("Tuesday", "practice_tue"),
        Column("Wednesday", "practice_wed"),
        Column("Thursday", "practice_thu"),
        Column("Friday", "practice_fri"),
        Column("Saturday", "practice_sat"),
        Column("Sunday", "practice_sun"),
        Column("notes", "notes"),
    ),
)

AWAY = sheet(
    "away",
    "Stretches of days on which a student can neither practise nor audition.",
    DayAway,
    key=("student", "first"),
    order=(*SCORE, "first"),
    items=(
        Link("student", "students", ("student",)),
        Column("first day", "first"),
        Column("last day", "last"),
        Column("reason", "reason"),
    ),
)
