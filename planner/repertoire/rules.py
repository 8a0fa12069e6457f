"""Rules about one piece, how they are written in words, and whether a piece obeys them."""

from dataclasses import dataclass
from enum import StrEnum


class About(StrEnum):
    """What a rule is about; the value is the word it is written with."""

    COMPOSER = "composer"
    WORK = "work"
    SECTION = "section"
    BOOK = "book"
    GENRE = "genre"
    PERIOD = "period"
    YEARS = "years"
    CHARACTER = "character"
    MINUTES = "minutes"
    LEVEL = "level"
    NUMBER = "number"
    LANGUAGE = "language"
    EDITION = "edition"
    BARS = "bars"
    INSTRUMENT = "instrument"
    LISTED = "listed"
    PIECE = "piece"


@dataclass(frozen=True)
class Rule:
    """One thing that a piece must be.

    words: it must have one of these (each word of it, in any order, capitals apart). least,
    most: for YEARS, LEVEL, NUMBER as they are, for MINUTES in whole seconds; either None.
    barred: True turns it round: it must not. LISTED looks for the words in composer, work and
    section together; PIECE compares keys. NUMBER is the first number in the section, else in the
    work; its words may be "odd" or "even".
    """

    about: About
    words: tuple[str, ...] = ()
    least: int | None = None
    most: int | None = None
    barred: bool = False
