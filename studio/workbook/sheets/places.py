"""Institutions, their auditions, deadlines and dates."""

from studio.institutions.models import Audition, Deadline, Institution, OfferedDate
from studio.workbook.layout import Column, Link, Many, sheet

AUDITION = ("institution", "season", "audition")

INSTITUTIONS = sheet(
    "institutions",
    "Universities, schools of music, honour ensembles, youth orchestras.",
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
)

AUDITIONS = sheet(
    "auditions",
    "What an institution holds in one season.",
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
)

DEADLINES = sheet(
    "deadlines",
    "Each date by which an institution wants one thing.",
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
        Column("date", "on", "Empty: so long before the audition as the next two say."),
        Column("before", "before", "How long before the student's own audition date."),
        Column("counted in", "before_unit"),
        Column("time", "at"),
        Column("time zone", "zone"),
        Column("opens on", "opens_on"),
        Link("opens_after", "deadlines", (*AUDITION, "opens after"), required=False),
        Column("round", "round"),
        Column("late until", "late_until"),
        Column("late terms", "late_terms"),
        Column("cost", "cost", "In the studio's currency."),
        Column("link", "link"),
        Column("notes", "notes"),
    ),
)

DATES = sheet(
    "dates",
    "The days on which an institution hears players.",
    OfferedDate,
    key=("audition", "on"),
    items=(
        Link("audition", "auditions", AUDITION),
        Column("date", "on"),
        Column("from", "starts"),
        Column("to", "ends"),
        Column("place", "place"),
        Column("book by", "book_by"),
        Column("full", "full"),
        Many("instruments", "instruments", "instruments"),
        Column("notes", "notes"),
    ),
)
