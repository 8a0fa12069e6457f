"""What institutions ask for, and the pieces a studio plays."""

from studio.requirements.models import (
    Erratum,
    Judgement,
    Piece,
    RecordingRules,
    Requirement,
    RequirementSet,
)
from studio.workbook.layout import Column, Link, Record, Sheet, sheet

SET = ("institution", "season", "instrument", "level", "degree")
PIECE = ("composer", "work", "section")
SET_ORDER = (
    "institution.name",
    "season",
    "instrument.position",
    "instrument.name",
    "level",
    "degree",
)

REQUIREMENTS = Sheet(
    "requirements",
    "What an institution asks: one row a requirement. Institution, season, instrument, level and "
    "degree say whose set it belongs to; what is said of the set may stand on any of its rows.",
    (
        Record(
            "requirement sets",
            RequirementSet,
            key=SET,
            order=SET_ORDER,
            items=(
                Link("institution", "institutions", ("institution",)),
                Column("season", "season", usual="season"),
                Link("instrument", "instruments", ("instrument",)),
                Column("level", "level"),
                Column("degree", "degree"),
                Column("source", "source"),
                Column("checked by", "checked_by"),
                Column("checked on", "checked_on"),
                Column("reuse", "reuse", "Whether one piece may fill two slots."),
                Column("again", "again", "Whether the screening's pieces are played again."),
                Column("all pieces together", "together"),
                Column("scored", "rubric", "How points are given, and how many pass."),
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
                Link(
                    "parent",
                    "requirements",
                    ("inside", "round"),
                    required=False,
                    under="requirement_set",
                ),
                Column("kind", "kind"),
                Column("at least", "at_least", "How many pieces; of a group, how many of it."),
                Column("at most", "at_most", "Empty: no more than at least."),
                Column("minutes", "minutes", "At most."),
                Column("memory", "memory"),
                Column("piano", "piano"),
                Column("only pieces with", "fits"),
                Column("pieces together", "together"),
                Column("scales asked for", "scales"),
                Column("keys at", "keys_at", "Whether they name written or concert keys."),
                Column("study seconds", "study_seconds", "To look at what is read at sight."),
                Column("weight", "weight"),
                Column("details", "details"),
            ),
        ),
    ),
)

RECORDINGS = sheet(
    "recordings",
    "How the recording of one round has to be made and sent.",
    RecordingRules,
    key=("requirement_set", "round"),
    order=(*(f"requirement_set.{path}" for path in SET_ORDER), "round"),
    items=(
        Link("requirement_set", "requirement sets", SET),
        Column("round", "round"),
        Column("files", "files"),
        Column("in the order given", "fixed_order"),
        Column("editing", "editing", "Whether it is allowed."),
        Column("piano", "piano"),
        Column("video", "video", "Whether a picture is wanted."),
        Column("camera", "camera"),
        Column("speaking", "speaking", "Whether it is allowed."),
        Column("names", "names", "Whether names may be heard or seen."),
        Column("months old", "max_age", "At most."),
        Column("minutes", "max_minutes", "In all, at most."),
        Column("notes", "notes"),
    ),
)

ERRATA = sheet(
    "errata",
    "A correction that an institution published after its requirements.",
    Erratum,
    key=("requirement_set", "on", "text"),
    order=(*(f"requirement_set.{path}" for path in SET_ORDER), "on", "text"),
    items=(
        Link("requirement_set", "requirement sets", SET),
        Column("published on", "on"),
        Column("correction", "text"),
        Link(
            "requirement",
            "requirements",
            ("requirement", "round"),
            required=False,
            under="requirement_set",
        ),
        Column("source", "source"),
    ),
)

PIECES = sheet(
    "pieces",
    "A movement or section of a work: the unit that is prepared. Capitals count in its names.",
    Piece,
    key=PIECE,
    cased=True,
    items=(
        Column("composer", "composer"),
        Column("work", "work"),
        Column("section", "section"),
        Link("instrument", "instruments", ("instrument",), required=False),
        Column("kind", "kind"),
        Column("book", "book"),
        Column("genre", "genre"),
        Column("period", "period"),
        Column("year", "year"),
        Column("character", "character"),
        Column("language", "language"),
        Column("level", "level"),
        Column("bars", "bars"),
        Column("minutes", "minutes"),
        Column("piano", "piano"),
        Column("edition", "edition"),
        Column("hours", "hours"),
        Column("target tempo", "target_tempo"),
        Column("beat", "beat"),
        Column("notes", "notes"),
    ),
)

JUDGEMENTS = sheet(
    "judgements",
    "Whether a piece fits a requirement, in the teacher's own judgement: stronger than its rules.",
    Judgement,
    key=("requirement", "piece"),
    order=(
        *(f"requirement.requirement_set.{path}" for path in SET_ORDER),
        "requirement.position",
        "requirement.name",
        "requirement.round",
        *(f"piece.{path}" for path in PIECE),
    ),
    items=(
        Link("requirement", "requirements", (*SET, "requirement", "round")),
        Link("piece", "pieces", PIECE),
        Column("fits", "fits"),
        Column("reason", "reason"),
    ),
)
