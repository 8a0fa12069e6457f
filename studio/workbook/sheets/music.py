"""What institutions ask for, and the pieces a studio plays."""

from studio.requirements.models import Piece, Requirement, RequirementSet
from studio.workbook.layout import Column, Link, Record, Sheet, sheet

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

PIECES = sheet(
    "pieces",
    "A movement or section of a work: the unit that is prepared. Capitals count in its names.",
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
)
