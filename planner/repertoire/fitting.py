"""Whether a piece fits a slot by itself, and in words what speaks against it."""

from collections.abc import Iterator
from dataclasses import dataclass

from planner.repertoire.model import Piece, Slot
from planner.repertoire.phrases import spoken_minutes, wanted
from planner.repertoire.rules import About, Rule, number, obeys, same

UNACCOMPANIED = frozenset({"etude", "excerpt", "scales"})

_KINDS = {
    "solo": "a solo",
    "etude": "an etude",
    "excerpt": "an excerpt",
    "scales": "scales",
    "other": "other music",
}
_FACTS = {
    About.COMPOSER: "its composer",
    About.WORK: "its title",
    About.BOOK: "its book",
    About.GENRE: "its genre",
    About.PERIOD: "its period",
    About.YEARS: "its year",
    About.CHARACTER: "its character",
    About.MINUTES: "its length",
    About.LEVEL: "its level",
    About.NUMBER: "its number",
    About.LANGUAGE: "its language",
    About.EDITION: "its edition",
    About.BARS: "its bars",
    About.LISTED: "its composer or title",
}


@dataclass(frozen=True)
class Fit:
    """Whether a piece fits a slot.

    verdict: None where it might, but a fact is not recorded. against: what it is or is not, one
    reason each. unknown: the facts that are not recorded, "its year is not recorded". Both are
    empty where the teacher has judged.
    """

    verdict: bool | None
    against: tuple[str, ...] = ()
    unknown: tuple[str, ...] = ()


FITS = Fit(True)


def fit(piece: Piece, slot: Slot) -> Fit:
    """Return whether `piece` fits `slot`: the teacher's word, else kind, instrument, piano, rules.

    A rule about the instrument names what is played instead of the slot's own instrument, unless
    it is barred. Etudes, excerpts and scales of which the piano is not stated are without piano.
    """
    if slot.judged and piece.key in slot.judged:
        return Fit(slot.judged[piece.key])
    said = [*_kind(piece, slot), *_instrument(piece, slot), *_piano(piece, slot)]
    for rule in slot.rules:
        kept = obeys(piece, rule)
        if kept is not True:
            said.append((kept, reason(piece, rule)))
    if not said:
        return FITS
    against = tuple(text for kept, text in said if kept is False)
    return Fit(False if against else None, against, tuple(t for kept, t in said if kept is None))


Said = Iterator[tuple[bool | None, str]]


def _kind(piece: Piece, slot: Slot) -> Said:
    if slot.kind and not piece.kind:
        yield None, "its kind is not recorded"
    elif slot.kind and piece.kind != slot.kind:
        have, ask = (_KINDS.get(kind, kind) for kind in (piece.kind, slot.kind))
        yield False, f"{have}, not {ask}"


def _instrument(piece: Piece, slot: Slot) -> Said:
    if not (slot.instrument and piece.instrument) or same(piece.instrument, slot.instrument):
        return
    if not any(rule.about is About.INSTRUMENT and not rule.barred for rule in slot.rules):
        yield False, f"for {_small(piece.instrument)}, not for {_small(slot.instrument)}"


def _small(name: str) -> str:
    """ "Bass trombone" within a sentence."""
    return name[:1].lower() + name[1:]


def _piano(piece: Piece, slot: Slot) -> Said:
    if slot.piano == "not stated":
        return
    have = piece.piano
    if have == "not stated" and piece.kind in UNACCOMPANIED:
        have = "without piano"
    if have == "not stated":
        yield None, "whether it has a piano part is not recorded"
    elif have != slot.piano:
        yield False, f"{have}, asked for {slot.piano}"


def reason(piece: Piece, rule: Rule) -> str:
    """Return why `piece` is not known to obey `rule`: "written in 1935, asked for before 1900"."""
    if obeys(piece, rule) is None:
        return f"{_FACTS[rule.about]} is not recorded"
    if rule.about in _NAMED:
        return f"{'' if rule.barred else 'not '}{_NAMED[rule.about]}{', ruled out' * rule.barred}"
    have = _have(piece, rule.about)
    return f"{have}, ruled out" if rule.barred else f"{have}, asked for {_asked(rule)}"


_NAMED = {About.LISTED: "on the list", About.PIECE: "one of the pieces named"}


def _have(piece: Piece, about: About) -> str:
    """What the piece is, in the words of the rule."""
    match about:
        case About.YEARS:
            return f"written in {piece.year}" if piece.year is not None else f"of {piece.period}"
        case About.MINUTES:
            return _long(piece.seconds)
        case About.NUMBER:
            return f"number {number(piece)}"
        case About.LEVEL:
            return f"level {piece.level}"
        case About.CHARACTER:
            return ", ".join(piece.character)
        case About.SECTION:
            return piece.section or "the whole work"
        case About.BOOK:
            return f"from {piece.book or piece.work}"
        case About.INSTRUMENT:
            return f"for {_small(piece.instrument)}"
    text = getattr(piece, about.value)
    return f"{_PUT[about]} {text}" if about in _PUT else text


def _long(seconds: int) -> str:
    return "1 minute" if seconds == 60 else f"{spoken_minutes(seconds)} minutes"


_PUT = {About.COMPOSER: "by", About.LANGUAGE: "in", About.EDITION: "edition", About.BARS: "bars"}


def _asked(rule: Rule) -> str:
    asked = wanted(rule)
    return _small(asked) if rule.about is About.INSTRUMENT else asked
