"""One-line notations in a musician's words: clauses between semicolons, labels before colons.

What stands between quotation marks belongs together: no ";" and no "or" in it parts anything.
The marks stay in the text.
"""

import difflib
import re
from collections.abc import Callable, Iterable
from fractions import Fraction
from typing import NamedTuple, TypeVar

T = TypeVar("T")
Span = tuple[int | None, int | None]


class Unclear(ValueError):
    """Something cannot be read. The message names the clause and says what to write instead."""


class Help(NamedTuple):
    """A line of the table that explains a notation. label: "" where the clause has none."""

    label: str
    example: str
    meaning: str


# ---- clauses

_QUOTED = re.compile(r'(?<![^\s:])(?:"[^"]*"|“[^”]*”)(?![^\s;,.:])')
_HELD = str.maketrans({";": "\ue000", " ": "\ue001", ":": "\ue002", "+": "\ue003", ",": "\ue004"})
_LET_GO = str.maketrans({new: chr(old) for old, new in _HELD.items()})


def held(text: str) -> str:
    """Return `text` with single spaces, and what is quoted so that nothing in it parts."""
    spaced = " ".join(text.translate(dict.fromkeys(map(ord, _HELD.values()))).split())
    return _QUOTED.sub(lambda quoted: quoted[0].translate(_HELD), spaced)


def let_go(text: str) -> str:
    """Return a part of a `held` text as it was written."""
    return text.translate(_LET_GO).strip()


def each(text: str, read: Callable[[str], T]) -> tuple[T, ...]:
    """Return what `read` makes of every clause, which it is given as of `held`.

    Raises Unclear, naming each clause that `read` finds unclear.
    """
    found, unclear = [], []
    for clause in filter(None, (part.strip() for part in held(text).split(";"))):
        try:
            found.append(read(clause))
        except Unclear as error:
            unclear.append(f"“{let_go(clause)}”: {error}")
    if unclear:
        raise Unclear(" ".join(unclear))
    return tuple(found)


def alternatives(text: str) -> tuple[str, ...]:
    """Return the texts between "or" in a `held` text; raise Unclear if one is missing."""
    found = tuple(let_go(part) for part in re.split(r"(?i)(?:^|\s+)or(?:\s+|$)", text))
    if not all(found):
        raise Unclear("Something is missing before or after “or”.")
    return found


def quoted(text: str) -> str:
    """Return `text` between quotation marks; raise ValueError if it holds too many of its own."""
    for before, after in ('""', "“”"):
        marked = f"{before}{text}{after}"
        if _QUOTED.fullmatch(marked):
            return marked
    raise ValueError(f"{text} cannot be written: it holds quotation marks of both kinds")


def did_you_mean(word: str, known: Iterable[str]) -> str:
    """Return " Did you mean “composer”?", or "" where nothing known comes close."""
    close = difflib.get_close_matches(word, list(known), n=1)
    return f" Did you mean “{close[0]}”?" if close else ""


# ---- numbers and ranges

_FIGURE = r"\d[\d.,:]*[½¼¾]?|[½¼¾]"
_LEAST = r"at least|min(?:imum|\.)?|(?:no|not) (?:less|fewer) than|from|since|≥"
_MOST = r"at most|max(?:imum|\.)?|(?:no|not) more than|not over|up to|to|until|till|≤"
_ABOVE = r"after|above|over|more than|later than|>"
_BELOW = r"before|below|under|less than|fewer than|earlier than|<"
_MORE = r"(?:or|and) (?:more|higher|above|later|over|longer|after)|on|onwards?|\+"
_LESS = r"(?:or|and) (?:less|fewer|lower|below|earlier|under|shorter|before)"
_TWO = re.compile(
    rf"(?:(?:between|from) )?({_FIGURE}) ?(?:to|and|until|till|up to|[-–—]) ?({_FIGURE})"
)
_ONE = re.compile(
    rf"(?:(?P<least>{_LEAST})|(?P<most>{_MOST})|(?P<above>{_ABOVE})|(?P<below>{_BELOW}))? ?"
    rf"(?P<figure>{_FIGURE})(?: ?(?:(?P<more>{_MORE})|(?P<less>{_LESS})))?"
)


def span(text: str, read: Callable[[str], int], advice: str, strict: bool = True) -> Span:
    """Return (least, most) of "2 to 3", "at least 2", "before 1900", "5 or more", "4".

    read: a figure as a number, ValueError if it is none. advice: what to write instead. strict:
    "before" and "above" are understood. Raises Unclear.
    """
    said = " ".join(text.casefold().split())
    try:
        two = _TWO.fullmatch(said)
        spans = [(read(two[1]), read(two[2]))] if two else _one_by_one(said, read, strict)
    except ValueError:
        raise Unclear(advice) from None
    least = max((low for low, _ in spans if low is not None), default=None)
    most = min((high for _, high in spans if high is not None), default=None)
    if least is not None and most is not None and least > most:
        raise Unclear(f"Nothing lies between the two. {advice}")
    return least, most


def _one_by_one(said: str, read, strict: bool) -> list[Span]:
    return [_one(part, read, strict) for part in re.split(r", | and (?!\w+$)", said)]


def _one(said: str, read, strict: bool) -> Span:
    found = _ONE.fullmatch(said)
    if not found:
        raise ValueError(said)
    here, figure = found.groupdict(), read(found["figure"])
    if (here["above"] or here["below"]) and not strict:
        raise ValueError(said)
    if here["least"] or here["more"]:
        return figure, None
    if here["most"] or here["less"]:
        return None, figure
    if here["above"]:
        return figure + 1, None
    return (None, figure - 1) if here["below"] else (figure, figure)


_PARTS = {"½": Fraction(1, 2), "¼": Fraction(1, 4), "¾": Fraction(3, 4)}


def minutes(figure: str) -> int:
    """Return the seconds of "2.5", "2,5", "2½" or "2:30" minutes; raise ValueError."""
    whole, colon, seconds = figure.partition(":")
    if colon:
        if not re.fullmatch(r"[0-5]\d", seconds):
            raise ValueError(figure)
        return 60 * int(whole) + int(seconds)
    part = _PARTS.get(figure[-1], Fraction(0))
    whole = figure.rstrip("½¼¾").replace(",", ".")
    return int(60 * (Fraction(whole or "0") + part) + Fraction(1, 2))


def written_minutes(seconds: int) -> str:
    """Return seconds so that `minutes` reads them again: "2", "2.5", "2:20"."""
    whole, rest = divmod(seconds, 60)
    if rest % 6 == 0:
        return f"{whole}.{rest // 6}".removesuffix(".0")
    return f"{whole}:{rest:02}"


COUNTS = ("no", "one", "two", "three", "four", "five", "six", "seven", "eight", "nine", "ten")


def count(text: str) -> int:
    """Return the number of "3" or "three"; raise ValueError."""
    said = text.casefold()
    return COUNTS.index(said) if said in COUNTS else int(said)
