"""Instruments, students, when they are away, who writes for them and who plays with them."""

from studio.students.models import (
    Accompanist,
    DayAway,
    Guardian,
    Instrument,
    Recommender,
    Student,
    StudioDay,
)
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
        Column("since", "since", "The day they came to the studio."),
        Column("lesson day", "lesson_day"),
        Column("lesson time", "lesson_at"),
        Column("goes to school", "at_school"),
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
    "Stretches of days on which a student cannot audition; away, they do not practise either.",
    DayAway,
    key=("student", "first"),
    order=(*SCORE, "first"),
    items=(
        Link("student", "students", ("student",)),
        Column("kind", "kind"),
        Column("first day", "first"),
        Column("last day", "last"),
        Column("reason", "reason"),
    ),
)

RECOMMENDERS = sheet(
    "recommenders",
    "Who writes letters for a student. One person is asked once, however many letters it is.",
    Recommender,
    key=("student", "name"),
    order=(*SCORE, "name"),
    items=(
        Link("student", "students", ("student",)),
        Column("recommender", "name"),
        Column("role", "role"),
        Column("of the studio", "is_ours", "Yes: the letter is the studio's own to write."),
        Column("e-mail", "email"),
    ),
)

ACCOMPANISTS = sheet(
    "accompanists",
    "Who plays the piano with the studio's students.",
    Accompanist,
    key=("name",),
    items=(
        Column("accompanist", "name"),
        Column("e-mail", "email"),
        Column("phone", "phone"),
        Column("players a day", "most"),
        Column("notes", "notes"),
    ),
)

GUARDIANS = sheet(
    "guardians",
    "Parents and guardians, and whose parts they read once they are invited.",
    Guardian,
    key=("name",),
    items=(
        Column("guardian", "name"),
        Column("e-mail", "email"),
        Column("phone", "phone"),
        Many("students", "students", "students"),
        Column("may tick", "ticks", "Yes: what the student has to do, they may tick."),
    ),
)

OWN_DAYS = sheet(
    "own days",
    "The studio's own days: days off, concerts, days on which somebody is not there.",
    StudioDay,
    key=("first", "name"),
    order=("first", "starts", "name"),
    items=(
        Column("first day", "first"),
        Column("name", "name"),
        Column("kind", "kind"),
        Column("last day", "last"),
        Column("from", "starts"),
        Column("to", "ends"),
        Link(
            "accompanist",
            "accompanists",
            ("accompanist",),
            required=False,
            help="Only where an accompanist is away.",
        ),
        Many("students", "students", "students", "Only these are needed. Empty: all."),
        Column("notes", "notes"),
    ),
)
