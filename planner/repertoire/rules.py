"""Rules about one piece, how they are written in words, and whether a piece obeys them.

How names and words are compared: capitals, accents, punctuation and the order of the words are
put apart, and so is "and"; "no." and "op." may be left out on either side, but a number after
"no." is never one after "op."; "1st" is "first", "mvt" is "movement", "E♭" and "Eb" are "E flat";
"in C" is C major, never C minor.
"""

import re
import unicodedata
from collections.abc import Iterator
from dataclasses import dataclass
from enum import StrEnum
from functools import lru_cache
from typing import TYPE_CHECKING

if TYPE_CHECKING:
    from planner.repertoire.model import Piece


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


RANGES = frozenset({About.YEARS, About.MINUTES, About.LEVEL, About.NUMBER})


@dataclass(frozen=True)
class Rule:
    """One thing that a piece must be.

    words: it must have one of these (each word of it, in any order, capitals apart). least,
    most: for YEARS, LEVEL, NUMBER as they are, for MINUTES in whole seconds; either None.
    barred: True turns it round: it must not. LISTED looks for the words in composer, work and
    section together; PIECE compares keys; INSTRUMENT wants the whole name, so that a bass
    trombone is no trombone. NUMBER is the first number in the section, else in the work, that no
    "op." stands before; its words may be "odd", "even" or numbers. Raises ValueError for a rule
    that says nothing.
    """

    about: About
    words: tuple[str, ...] = ()
    least: int | None = None
    most: int | None = None
    barred: bool = False

    def __post_init__(self):
        ranged = self.least is not None or self.most is not None
        if ranged and (self.words or self.about not in RANGES):
            raise ValueError(f"a rule about {self.about} has either words or a least and a most")
        if self.words and self.about in RANGES - {About.NUMBER}:
            raise ValueError(f"a rule about {self.about} has a least or a most, not words")
        if not ranged and not self.words:
            raise ValueError(f"a rule about {self.about} says nothing")


def obeys(piece: "Piece", rule: Rule) -> bool | None:
    """Return whether `piece` obeys `rule`; None: the fact that it takes is not recorded.

    A piece without a section is the whole work, and one without an instrument is for any: both
    are facts. A rule about a book is met too by a work of that name, where no book is recorded.
    A year that is missing is taken from a period such as "1930s", "1904" or "19th century" (1800
    to 1899), if every year of it gives the same answer; names of styles, which have no sure
    limits, never do.
    """
    if rule.about is About.INSTRUMENT and not piece.instrument:
        return True
    kept = _KEPT.get(rule.about, _has_words)(piece, rule)
    return kept if kept is None else kept is not rule.barred


def number(piece: "Piece") -> int | None:
    """Return the number of a study or a movement: see `Rule`."""
    for text in (piece.section, piece.work):
        for sign, figure in _NUMBERED.findall(text):
            if not sign.casefold().startswith("op"):
                return int(figure)
    return None


def years(text: str) -> tuple[int, int] | None:
    """Return the first and last year of a dating: "1904", "1904–07", "1930s", "19th century".

    Of several the earliest and the latest; "c. 1780" is ten years either way. None where `text`
    holds no dating or one that is open ("before 1750").
    """
    if _OPEN.search(text):
        return None
    found = [span for how, spans in _DATINGS for m in how.finditer(text) for span in (spans(m),)]
    return (min(a for a, _ in found), max(b for _, b in found)) if found else None


# ---- words

_SPELT = str.maketrans(
    {
        "&": " and ",
        "♭": " flat ",
        "♯": " sharp ",
        "#": " sharp ",
        "ø": "o",
        "ł": "l",
        "đ": "d",
        "ı": "i",
    }
    | {"æ": "ae", "œ": "oe"}
)
_SAME = {
    "1st": "first", "2nd": "second", "3rd": "third", "4th": "fourth", "5th": "fifth",
    "6th": "sixth", "mvt": "movement", "mvmt": "movement", "mov": "movement",
    "ab": "a flat", "bb": "b flat", "cb": "c flat", "db": "d flat", "eb": "e flat",
    "fb": "f flat", "gb": "g flat",
}  # fmt: skip
_SIGNS = {"no": "no", "nos": "no", "nr": "no", "number": "no", "op": "op", "opus": "op"}
_KEY = re.compile(r"\b(in )?([a-g](?: flat| sharp)?)( major| minor)?(?= |$)")
_NUMBERED = re.compile(r"(?i)\b(op(?:us)?\b[. ]*)?(?<!\d)(\d+)(?!\d|st|nd|rd|th)")


@dataclass(frozen=True)
class _Text:
    """A text as it is compared. words: each with "no" or "op" where it is a number after one.
    keys: "c minor", "e flat major"."""

    words: frozenset[tuple[str, str]]
    keys: frozenset[str]


@lru_cache(maxsize=1 << 16)
def plain(text: str) -> str:
    """Return `text` in small letters without accents and punctuation, its words spelt alike."""
    letters = unicodedata.normalize("NFKD", unicodedata.normalize("NFKD", text).casefold())
    letters = "".join(c for c in letters if not unicodedata.combining(c)).translate(_SPELT)
    return " ".join(_SAME.get(word, word) for word in re.findall(r"\w+", letters))


@lru_cache(maxsize=1 << 16)
def _read(text: str) -> _Text:
    text = plain(text)
    found = [key for key in _KEY.finditer(text) if _is_key(key)]
    keys = frozenset(f"{key[2]}{key[3] or ' major'}" for key in found)
    return _Text(frozenset(_words(_KEY.sub(_bare, text))), keys)


def _is_key(found: re.Match) -> bool:
    return bool(found[1] or found[3])


def _bare(found: re.Match) -> str:
    return found[2] + (found[3] or "").replace(" major", "") if _is_key(found) else found[0]


def _words(text: str) -> Iterator[tuple[str, str]]:
    sign = ""
    for word in text.split():
        if word in _SIGNS:
            sign = _SIGNS[word]
        elif word != "and":
            yield word, sign if word.isdecimal() else ""
            sign = ""


def has(text: str, word: str) -> bool:
    """Return whether `text` has each word of `word`, which may be several."""
    there, wanted = _read(text), _read(word)
    if wanted.keys and there.keys and not wanted.keys <= there.keys:
        return False
    return bool(wanted.words) and all(_stands_in(there.words, *each) for each in wanted.words)


def _stands_in(words: frozenset[tuple[str, str]], word: str, sign: str) -> bool:
    if (word, sign) in words:
        return True
    others = ("",) if sign else ("no", "op")
    return word.isdecimal() and any((word, other) in words for other in others)


def same(text: str, other: str) -> bool:
    """Return whether two names have the same words."""
    return set(plain(text).split()) == set(plain(other).split())


# ---- each kind of rule: True, False, or None where the fact is not recorded


def _has_words(piece: "Piece", rule: Rule) -> bool | None:
    text = getattr(piece, rule.about.value)
    return any(has(text, word) for word in rule.words) if text else None


def _section(piece: "Piece", rule: Rule) -> bool:
    return any(has(piece.section, word) for word in rule.words)


def _character(piece: "Piece", rule: Rule) -> bool | None:
    text = " ".join(piece.character)
    return any(has(text, word) for word in rule.words) if text else None


def _book(piece: "Piece", rule: Rule) -> bool | None:
    text = piece.book or piece.work
    found = any(has(text, word) for word in rule.words)
    return found if piece.book else found or None


def _listed(piece: "Piece", rule: Rule) -> bool | None:
    text = f"{piece.composer} {piece.work} {piece.section}"
    found = any(has(text, word) for word in rule.words)
    return found if piece.composer and piece.work else found or None


def _piece(piece: "Piece", rule: Rule) -> bool:
    return piece.key in rule.words


def _instrument(piece: "Piece", rule: Rule) -> bool:
    return any(same(piece.instrument, word) for word in rule.words)


def _number(piece: "Piece", rule: Rule) -> bool | None:
    found = number(piece)
    if found is None or not rule.words:
        return _within(found, rule)
    return any(plain(word) in (_PARITY[found % 2], str(found)) for word in rule.words)


def _years(piece: "Piece", rule: Rule) -> bool | None:
    span = years(piece.period) if piece.year is None else (piece.year, piece.year)
    if span is None:
        return None
    least, most = rule.least or -9999, 9999 if rule.most is None else rule.most
    first, last = span
    if least <= first and last <= most:
        return True
    return False if last < least or most < first else None


def _within(value: int | None, rule: Rule) -> bool | None:
    if value is None:
        return None
    return (rule.least is None or rule.least <= value) and (rule.most is None or value <= rule.most)


_PARITY = ("even", "odd")
_KEPT = {
    About.SECTION: _section,
    About.CHARACTER: _character,
    About.BOOK: _book,
    About.LISTED: _listed,
    About.PIECE: _piece,
    About.INSTRUMENT: _instrument,
    About.NUMBER: _number,
    About.YEARS: _years,
    About.MINUTES: lambda piece, rule: _within(piece.seconds, rule),
    About.LEVEL: lambda piece, rule: _within(piece.level, rule),
}


# ---- datings


def _year_or_span(found: re.Match) -> tuple[int, int]:
    about, first, last = found.groups()
    first, last = int(first), int(first[: 4 - len(last)] + last) if last else int(first)
    return min(first, last) - 10 * bool(about), max(first, last) + 10 * bool(about)


def _decade(found: re.Match) -> tuple[int, int]:
    # "1900s" may be ten years or a hundred.
    return int(found[1]), int(found[1]) + (99 if found[1].endswith("00") else 9)


def _century(found: re.Match) -> tuple[int, int]:
    first = 100 * (int(found[1]) - 1)
    return first, first + 99


_OPEN = re.compile(r"(?i)\b(before|after|since|until|till|from)\b")
_DATINGS = (
    (
        re.compile(
            r"(?i)(\bc\. ?|\bca\.? ?|\bcirca |\babout )?"
            r"\b(\d{4})(?:\s*[-–/]\s*(\d{4}|\d{2}))?(?![\d’'s])"
        ),
        _year_or_span,
    ),
    (re.compile(r"\b(\d{3}0)[’']?s\b"), _decade),
    (re.compile(r"(?i)\b(\d{1,2})(?:st|nd|rd|th)\b(?=.*\bcentur)"), _century),
)
