"""One student going for one audition: music, tasks, checks, the day."""

from studio.days.models import AuditionDay
from studio.entries.models import (
    Assignment,
    DateWish,
    Entry,
    Hearing,
    KeyCheck,
    LeadTime,
    LessonCheck,
    PracticeDay,
    PracticeLog,
    Take,
    Task,
    TrialLesson,
    Wish,
)
from studio.workbook.layout import Column, Link, Many, sheet
from studio.workbook.sheets.music import PIECE
from studio.workbook.sheets.people import SCORE
from studio.workbook.sheets.places import AUDITION

ENTRY = ("student", *AUDITION, "instrument")
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

ENTRIES = sheet(
    "entries",
    "One student going for one audition. Requirements of, season, instrument, level and degree "
    "name its requirement set; all five empty: none yet. Any of them empty: as in the entry.",
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
        Column("round", "round", "Of applications, such as early or regular."),
        Link("accompanist", "accompanists", ("accompanist",), required=False),
        Column("teacher comes", "teacher_comes"),
        Column("journey minutes", "journey_minutes"),
        Column("journey cost", "journey_cost"),
        Column("result", "result"),
        Column("heard on", "result_on", "The day the result came."),
        Column("waiting place", "waiting_place"),
        Column("reply", "reply", "The student's, to an offer."),
        Column("replied on", "replied_on"),
        Column("in the plan", "kept"),
        Column("worth", "worth"),
        Column("errata passed on", "errata_told"),
        Column("notes", "notes"),
    ),
)

PROGRAMME = sheet(
    "programme",
    "The pieces of each entry: one row for each piece chosen for a requirement of its set.",
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
)

WISHES = sheet(
    "wishes",
    "What the teacher wants of one piece when a student's music is planned.",
    Wish,
    key=("student", "piece"),
    order=(*SCORE, *(f"piece.{path}" for path in PIECE)),
    items=(
        Link("student", "students", ("student",)),
        Link("piece", "pieces", PIECE),
        Column("wish", "word"),
    ),
)

DATE_WISHES = sheet(
    "date wishes",
    "What is wished of one date that an audition offers: its place in the student's order, and "
    "the teacher's word.",
    DateWish,
    key=("entry", "date"),
    order=(*ENTRY_ORDER, "date.on"),
    items=(
        *TO_ENTRY,
        Link("date", "dates", (*AUDITION, "date")),
        Column("rank", "rank", "1: the one they would like best."),
        Column("wish", "word"),
    ),
)

# The task that comes first may be of another entry of the student: an errand shared by several.
BEFORE = ("after institution", "after season", "after audition")
TO_TASK = Link(
    "after",
    "tasks",
    ("student", *BEFORE, "after instrument", *BEFORE, "after deadline", "after"),
    required=False,
    fill={
        "after institution": "entry.audition.institution",
        "after season": "entry.audition.season",
        "after audition": "entry.audition",
        "after instrument": "entry.instrument",
    },
    help="The student's task that has to be done first; with its deadline, if it has one.",
)

TASKS = sheet(
    "tasks",
    "What has to be done for an entry: counted back from a deadline or from the audition's day, or "
    "with a date of its own. "
    "Leave the sheet out, and the tasks are drawn up from the deadlines and the lead times.",
    Task,
    key=("entry", "deadline", "name"),
    order=(*ENTRY_ORDER, "deadline.on", "deadline.name", "name"),
    items=(
        *TO_ENTRY,
        Link("deadline", "deadlines", (*AUDITION, "deadline"), required=False),
        Column("task", "name"),
        Column("who", "doer"),
        Column("date", "on", "Only without a deadline."),
        Column("from the day", "of_day", "Yes: counted back from the audition's day."),
        Column("before", "lead", "How long before the deadline, or the day, it is due."),
        Column("counted in", "lead_unit"),
        Column("takes", "takes", "Days of work."),
        TO_TASK,
        Column("needs", "needs", "What has to be so before it can be begun."),
        Column("once for all", "shared"),
        Link(
            "recommender",
            "recommenders",
            ("student", "recommender"),
            required=False,
            help="For a letter: who writes it.",
        ),
        Column("state", "state"),
        Column("done on", "done_on"),
        Column("note", "note"),
    ),
)

CHECKS = sheet(
    "checks",
    "How a piece went on one day. Marks are in the order of the studio's own list.",
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
)

KEY_CHECKS = sheet(
    "scales",
    "How fast one scale went clean on one day. Its key is the written one.",
    KeyCheck,
    key=("student", "sort", "tonic", "on", "source"),
    order=(*SCORE, "on", "sort", "tonic", "source"),
    items=(
        Link("student", "students", ("student",)),
        Column("scale", "sort"),
        Column("key", "tonic", "As F# or Bb."),
        Column("date", "on"),
        Column("by", "source", "Who measured: the teacher in a lesson, or the student."),
        Column("tempo", "tempo", "The fastest clean tempo."),
    ),
)

PRACTICE_LOGS = sheet(
    "practice",
    "Minutes a student practised on one day: on a piece, or on a run-through for an entry. Neither "
    "named: scales and all else.",
    PracticeLog,
    key=("student", "on", "piece", "entry"),
    order=(
        *SCORE,
        "on",
        *(f"piece.{path}" for path in PIECE),
        "entry.audition.institution.name",
        "entry.audition.season",
        "entry.audition.name",
    ),
    items=(
        Link("student", "students", ("student",)),
        Column("date", "on"),
        Link("piece", "pieces", PIECE, required=False),
        Link(
            "entry",
            "entries",
            ENTRY,
            required=False,
            fill={"instrument": "student.instrument"},
            help="Only for a run-through of its whole programme.",
        ),
        Column("minutes", "minutes", "All of that day."),
    ),
)

PRACTICE_DAYS = sheet(
    "practice days",
    "The minutes a student has on one day, where they are others than the weekday's.",
    PracticeDay,
    key=("student", "on"),
    order=(*SCORE, "on"),
    items=(
        Link("student", "students", ("student",)),
        Column("date", "on"),
        Column("minutes", "minutes"),
    ),
)

TAKES = sheet(
    "takes",
    "A recording that was made for an entry, and what somebody saw when looking at it.",
    Take,
    key=("entry", "rules", "made_on", "file"),
    order=(*ENTRY_ORDER, "rules.round", "made_on", "file"),
    items=(
        *TO_ENTRY,
        Link("rules", "recordings", ("round",), under="entry.requirement_set"),
        Column("made on", "made_on"),
        Column("file", "file"),
        Many("pieces", "pieces", "pieces", "Each as composer | work | section."),
        Column("with piano", "piano"),
        Column("edited", "edited"),
        Column("minutes", "minutes"),
        Column("in the order", "order_seen", "Somebody looked, and it is in the order asked for."),
        Column("camera right", "camera_seen"),
        Column("nobody speaks", "silence_seen"),
        Column("no names", "names_seen"),
        Column("to be sent", "chosen"),
        Column("sent on", "sent_on"),
        Column("note", "note"),
    ),
)

# The rules of a take may be another set's than those the entry goes by now.
TAKEN_UNDER = {
    "requirements of": "institution",
    "requirements season": "season",
    "requirements instrument": "instrument",
    "level": "level",
    "degree": "degree",
}

HEARINGS = sheet(
    "hearings",
    "The programme of an entry heard in one go: in a mock audition, or on a recording.",
    Hearing,
    key=("entry", "kind", "on", "heard_by"),
    order=(*ENTRY_ORDER, "on", "kind", "heard_by"),
    items=(
        *TO_ENTRY,
        Column("kind", "kind"),
        Column("date", "on"),
        Column("who listened", "heard_by"),
        Many("pieces", "pieces", "pieces", "Each as composer | work | section. Empty: all of it."),
        Column("points", "points", "By its rubric, else by the studio's marks."),
        Link(
            "take",
            "takes",
            (*ENTRY, *TAKEN_UNDER, "take round", "take made on", "take file"),
            required=False,
            fill={
                heading: f"entry.requirement_set.{name}" for heading, name in TAKEN_UNDER.items()
            },
            help="Which of its takes was listened to, if one was.",
        ),
        Column("note", "note"),
    ),
)

TRIAL_LESSONS = sheet(
    "trial lessons",
    "A lesson with a teacher that the student may study with one day.",
    TrialLesson,
    key=("student", "institution", "teacher"),
    order=(*SCORE, "on", "institution.name", "teacher"),
    items=(
        Link("student", "students", ("student",)),
        Link("institution", "institutions", ("institution",)),
        Column("teacher", "teacher"),
        Column("asked on", "asked_on"),
        Column("answer", "reply"),
        Column("date", "on"),
        Column("time", "at", "The place's own."),
        Column("took place", "held"),
        Column("cost", "cost", "In the studio's currency."),
        Column("worked on", "worked_on"),
        Column("questions", "questions"),
        Column("impressions", "impressions"),
    ),
)

DAYS = sheet(
    "days",
    "The audition day of an entry. All times are the place's own.",
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
)

LEAD_TIMES = sheet(
    "lead times",
    "Which task each kind of deadline, or the day itself, brings, and how long before.",
    LeadTime,
    key=("kind", "of", "name"),
    items=(
        Column("for", "kind"),
        Column("only for", "of"),
        Column("task", "name"),
        Column("who", "doer"),
        Column("before", "lead"),
        Column("counted in", "lead_unit"),
        Column("takes", "takes", "Days of work."),
        Column("after", "after"),
        Column("needs", "needs", "What has to be so before it can be begun."),
        Column("once for all", "shared"),
    ),
)
