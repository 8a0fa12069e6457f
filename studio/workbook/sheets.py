"""Every sheet of the workbook, one place for each: the page, reading and writing follow this."""

from studio.days.models import AuditionDay
from studio.entries.models import Assignment, Entry, LeadTime, LessonCheck, Task
from studio.institutions.models import Audition, Deadline, Institution, OfferedDate
from studio.requirements.models import Piece, Requirement, RequirementSet
from studio.students.models import DayAway, Instrument, Student
from studio.workbook.layout import Column, Link, Many, Record, Sheet

AUDITION = ("institution", "season", "audition")
ENTRY = ("student", *AUDITION, "instrument")
PIECE = ("composer", "work", "section")
SCORE = "student.instrument.position", "student.instrument.name", "student.name"
ENTRY_SCORE = tuple(f"entry.{path}" for path in SCORE)
ENTRY_ORDER = (
    *ENTRY_SCORE,
    "entry.audition.institution.name",
    "entry.audition.season",
    "entry.audition.name",
    "entry.instrument.name",
)


# An entry is found by five headings; without an instrument it is the one for the student's own.
TO_ENTRY = (
    Link("student", "students", ("student",), stored=False),
    Link("entry", "entries", ENTRY, fill={"instrument": "student.instrument"}),
)


INSTRUMENTS = Sheet(
    "instruments",
    "The instruments of the studio, in score order.",
    (
        Record(
            "instruments",
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
        ),
    ),
)

STUDENTS = Sheet(
    "students",
    "One row a student. Practice is in minutes, one column for each weekday.",
    (
        Record(
            "students",
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
        ),
    ),
)

AWAY = Sheet(
    "away",
    "Stretches of days on which a student can neither practise nor audition.",
    (
        Record(
            "away",
            DayAway,
            key=("student", "first"),
            order=(*SCORE, "first"),
            items=(
                Link("student", "students", ("student",)),
                Column("first day", "first"),
                Column("last day", "last"),
                Column("reason", "reason"),
            ),
        ),
    ),
)

INSTITUTIONS = Sheet(
    "institutions",
    "Universities, schools of music, honour ensembles, youth orchestras.",
    (
        Record(
            "institutions",
            Institution,
            key=("name",),
            items=(
                Column("institution", "name"),
                Column("short name", "short_name"),
                Column("kind", "kind"),
                Link("part_of", "institutions", ("part of",), required=False),
                Column("town", "town"),
                Column("latitude", "latitude"),
                Column("longitude", "longitude"),
                Column("time zone", "time_zone"),
                Column("website", "website"),
                Column("links", "links"),
                Column("notes", "notes"),
            ),
        ),
    ),
)

AUDITIONS = Sheet(
    "auditions",
    "What an institution holds in one season.",
    (
        Record(
            "auditions",
            Audition,
            key=("institution", "season", "name"),
            items=(
                Link("institution", "institutions", ("institution",)),
                Column("season", "season", usual="season"),
                Column("audition", "name"),
                Column("format", "format"),
                Column("date choice", "date_choice"),
                Column("results on", "results_on"),
                Column("reply by", "reply_by"),
                Column("link", "link"),
                Column("notes", "notes"),
            ),
        ),
    ),
)

DEADLINES = Sheet(
    "deadlines",
    "Each date by which an institution wants one thing.",
    (
        Record(
            "deadlines",
            Deadline,
            key=("audition", "name"),
            order=(
                "audition.institution.name",
                "audition.season",
                "audition.name",
                "on",
                "at",
                "name",
            ),
            items=(
                Link("audition", "auditions", AUDITION),
                Column("deadline", "name"),
                Column("for", "kind"),
                Column("date", "on"),
                Column("time", "at"),
                Column("time zone", "zone"),
                Column("opens on", "opens_on"),
                Link("opens_after", "deadlines", (*AUDITION, "opens after"), required=False),
                Column("link", "link"),
                Column("notes", "notes"),
            ),
        ),
    ),
)

DATES = Sheet(
    "dates",
    "The days on which an institution hears players.",
    (
        Record(
            "dates",
            OfferedDate,
            key=("audition", "on"),
            items=(
                Link("audition", "auditions", AUDITION),
                Column("date", "on"),
                Column("from", "starts"),
                Column("to", "ends"),
                Column("place", "place"),
                Many("instruments", "instruments", "instruments"),
                Column("notes", "notes"),
            ),
        ),
    ),
)

SET = ("institution", "season", "instrument", "level", "degree")
REQUIREMENTS = Sheet(
    "requirements",
    "What an institution asks: one row a requirement. Institution, season, instrument, level and "
    "degree say whose set it belongs to; what is said of the set may stand on any of its rows.",
    (
        Record(
            "requirement sets",
            RequirementSet,
            key=SET,
            order=(
                "institution.name",
                "season",
                "instrument.position",
                "instrument.name",
                "level",
                "degree",
            ),
            items=(
                Link("institution", "institutions", ("institution",)),
                Column("season", "season", usual="season"),
                Link("instrument", "instruments", ("instrument",)),
                Column("level", "level"),
                Column("degree", "degree"),
                Column("source", "source"),
                Column("checked by", "checked_by"),
                Column("checked on", "checked_on"),
                Column("set notes", "notes"),
            ),
        ),
        Record(
            "requirements",
            Requirement,
            key=("requirement_set", "name", "round"),
            unless="requirement",
            order=("position", "name", "round"),
            items=(
                Link("requirement_set", "requirement sets", SET),
                Column("requirement", "name", "Empty: the row tells of the set only."),
                Column("round", "round"),
                Column("position", "position", "Its place among the requirements of the set."),
                Column("kind", "kind"),
                Column("at least", "at_least", "How many pieces."),
                Column("at most", "at_most", "Empty: no more than at least."),
                Column("minutes", "minutes", "At most."),
                Column("memory", "memory"),
                Column("piano", "piano"),
                Column("weight", "weight"),
                Column("details", "details"),
            ),
        ),
    ),
)

PIECES = Sheet(
    "pieces",
    "A movement or section of a work: the unit that is prepared. Capitals count in its names.",
    (
        Record(
            "pieces",
            Piece,
            key=("composer", "work", "section"),
            cased=True,
            items=(
                Column("composer", "composer"),
                Column("work", "work"),
                Column("section", "section"),
                Link("instrument", "instruments", ("instrument",), required=False),
                Column("kind", "kind"),
                Column("period", "period"),
                Column("character", "character"),
                Column("minutes", "minutes"),
                Column("piano", "piano"),
                Column("edition", "edition"),
                Column("hours", "hours"),
                Column("target tempo", "target_tempo"),
                Column("beat", "beat"),
                Column("notes", "notes"),
            ),
        ),
    ),
)

ENTRIES = Sheet(
    "entries",
    "One student going for one audition. Requirements of, season, instrument, level and degree "
    "name its requirement set; all five empty: none yet. Any of them empty: as in the entry.",
    (
        Record(
            "entries",
            Entry,
            key=("student", "audition", "instrument"),
            order=(
                *SCORE,
                "audition.institution.name",
                "audition.season",
                "audition.name",
                "instrument.name",
            ),
            items=(
                Link("student", "students", ("student",)),
                Link("audition", "auditions", AUDITION),
                Link(
                    "instrument",
                    "instruments",
                    ("instrument",),
                    fill={"instrument": "student.instrument"},
                ),
                Link(
                    "requirement_set",
                    "requirement sets",
                    (
                        "requirements of",
                        "requirements season",
                        "requirements instrument",
                        "level",
                        "degree",
                    ),
                    required=False,
                    fill={
                        "requirements of": "audition.institution",
                        "requirements season": "audition.season",
                        "requirements instrument": "instrument",
                    },
                ),
                Link("chosen_date", "dates", (*AUDITION, "chosen date"), required=False),
                Column("date state", "date_state"),
                Column("result", "result"),
                Column("heard on", "result_on", "The day the result came."),
                Column("notes", "notes"),
            ),
        ),
    ),
)

PROGRAMME = Sheet(
    "programme",
    "The pieces of each entry: one row for each piece chosen for a requirement of its set.",
    (
        Record(
            "programme",
            Assignment,
            key=("entry", "requirement", "piece"),
            order=(
                *ENTRY_ORDER,
                "requirement.position",
                "requirement.name",
                "requirement.round",
                "piece.composer",
                "piece.work",
                "piece.section",
            ),
            items=(
                *TO_ENTRY,
                Link(
                    "requirement",
                    "requirements",
                    ("requirement", "round"),
                    under="entry.requirement_set",
                ),
                Link("piece", "pieces", PIECE),
            ),
        ),
    ),
)

TASKS = Sheet(
    "tasks",
    "What has to be done for an entry: counted back from a deadline, or with a date of its own. "
    "Leave the sheet out, and the tasks are drawn up from the deadlines and the lead times.",
    (
        Record(
            "tasks",
            Task,
            key=("entry", "deadline", "name"),
            order=(*ENTRY_ORDER, "deadline.on", "deadline.name", "name"),
            items=(
                *TO_ENTRY,
                Link("deadline", "deadlines", (*AUDITION, "deadline"), required=False),
                Column("task", "name"),
                Column("who", "doer"),
                Column("date", "on", "Only without a deadline."),
                Column("before", "lead", "How long before the deadline it is due."),
                Column("counted in", "lead_unit"),
                Column("takes", "takes", "Days of work."),
                Column("state", "state"),
                Column("done on", "done_on"),
                Column("note", "note"),
            ),
        ),
    ),
)

CHECKS = Sheet(
    "checks",
    "How a piece went on one day. Marks are in the order of the studio's own list.",
    (
        Record(
            "checks",
            LessonCheck,
            key=("student", "piece", "on", "source"),
            order=(*SCORE, "on", "piece.composer", "piece.work", "piece.section", "source"),
            items=(
                Link("student", "students", ("student",)),
                Link("piece", "pieces", PIECE),
                Column("date", "on"),
                Column("by", "source", "Who measured: the teacher in a lesson, or the student."),
                Column("tempo", "tempo", "The fastest clean tempo."),
                Column("target", "target", "The target tempo on that day."),
                Column("mark 1", "mark_1"),
                Column("mark 2", "mark_2"),
                Column("mark 3", "mark_3"),
                Column("mark 4", "mark_4"),
                Column("memory", "memory"),
                Column("note", "note"),
            ),
        ),
    ),
)

DAYS = Sheet(
    "days",
    "The audition day of an entry. All times are the place's own.",
    (
        Record(
            "days",
            AuditionDay,
            key=("entry",),
            order=ENTRY_ORDER,
            items=(
                *TO_ENTRY,
                Column("call", "call", "When the audition itself begins."),
                Column("minutes", "minutes", "How long it lasts."),
                Column("check-in", "check_in_place"),
                Column("check in by", "check_in_by"),
                Column("entrance", "entrance"),
                Column("parking", "parking"),
                Column("walk minutes", "walk_minutes"),
                Column("warm-up room", "warm_up_room"),
                Column("warm-up from", "warm_up_from"),
                Column("warm-up minutes", "warm_up_minutes"),
                Column("audition room", "audition_room"),
                Column("panel", "panel"),
                Column("journey minutes", "travel_minutes"),
                Column("journey km", "travel_km"),
                Column("also on the day", "extras"),
                Column("contacts", "contacts"),
                Column("in the case", "bring"),
                Column("notes", "notes"),
            ),
        ),
    ),
)

LEAD_TIMES = Sheet(
    "lead times",
    "Which task each kind of deadline brings, and how long before.",
    (
        Record(
            "lead times",
            LeadTime,
            key=("kind", "name"),
            items=(
                Column("for", "kind"),
                Column("task", "name"),
                Column("who", "doer"),
                Column("before", "lead"),
                Column("counted in", "lead_unit"),
                Column("takes", "takes", "Days of work."),
            ),
        ),
    ),
)

SHEETS = (
    INSTRUMENTS,
    STUDENTS,
    AWAY,
    INSTITUTIONS,
    AUDITIONS,
    DEADLINES,
    DATES,
    REQUIREMENTS,
    PIECES,
    ENTRIES,
    PROGRAMME,
    TASKS,
    CHECKS,
    DAYS,
    LEAD_TIMES,
)
RECORDS = {record.name: record for sheet in SHEETS for record in sheet.records}
