"""How a scale is played, as far as a demand's words can be drawn (common practice, no source)."""

import re
from dataclasses import dataclass

from planner.pitch.patterns import one_way


@dataclass(frozen=True)
class Manner:
    """How one way of a scale is played. slurs: how many notes each slur takes, over and over;
    1: the note alone, 0: all of the way. dots: staccato.
    """

    slurs: tuple[int, ...] = ()
    dots: bool = False


Manners = tuple[Manner, Manner]
PLAIN = Manner()
_NUMBERS = {"two": 2, "pair": 2, "three": 3, "four": 4, "six": 6, "eight": 8}
_NUMBER = "|".join(_NUMBERS)
_UP, _DOWN = 0, 1
_WAYS = {
    **dict.fromkeys(("up", "upwards", "rising", "ascending"), (_UP,)),
    **dict.fromkeys(("down", "downwards", "falling", "descending"), (_DOWN,)),
    **dict.fromkeys(("", "up and down", "both ways", "throughout"), (_UP, _DOWN)),
}
_WAY = "|".join(sorted(filter(None, _WAYS), key=len, reverse=True))
_PART = re.compile(
    r"(?:(?P<all>(?:all )?(?:slurred|legato))|(?:all )?(?:tongued|detached)|separate bows"
    rf"|(?P<dots>staccato)|slurred (?:in|by) (?P<in>{_NUMBER})s)(?: (?P<way>{_WAY}))?"
)
_MIXED = re.compile(rf"({_NUMBER}) slurred(?:,| and)? ({_NUMBER}) tongued")


def articulation(words: str) -> Manners:
    """Return how the way up and the way down are played; both plain if any word is not known."""
    rest = " ".join(one_way(words).casefold().split()).strip(" ,;.")
    if mixed := _MIXED.fullmatch(rest):
        slurred, tongued = (_NUMBERS[name] for name in mixed.groups())
        return (Manner((slurred, *[1] * tongued)),) * 2
    found: dict[int, Manner] = {}
    for part in filter(None, re.split(r"\s*[,;]\s*| and (?!down\b)", rest)):
        read = _PART.fullmatch(part)
        ways = _WAYS[read["way"] or ""] if read else ()
        if not read or found.keys() & set(ways):
            return PLAIN, PLAIN
        found |= dict.fromkeys(ways, _manner(read))
    return found.get(_UP, PLAIN), found.get(_DOWN, PLAIN)


def _manner(read: re.Match) -> Manner:
    if read["all"]:
        return Manner((0,))
    if read["in"]:
        return Manner((_NUMBERS[read["in"]],))
    return Manner(dots=bool(read["dots"]))
