"""From a demand to the scales that are wanted, in written keys, each once."""

import re
from collections.abc import Iterator
from dataclasses import dataclass, replace

from planner import keys
from planner.clauses import count
from planner.pitch.model import Problem
from planner.pitch.transposing import sounding
from planner.scales import Keys, ScaleDemand, Sort

_CHROMATIC_OCTAVES = re.compile(r"\b(\d|one|two|three|four|five|six) octaves?\b", re.IGNORECASE)
_CHROMATIC_FROM = re.compile(r"\bfrom ([A-G](?:[ -]?(?:sharp|flat)|[#b♯♭])?)(?!\w)", re.IGNORECASE)
_FULL = re.compile(r"\bfull range\b", re.IGNORECASE)


@dataclass(frozen=True)
class Wanted:
    """One scale that is wanted. asked, tonic: as the demand has it, and as it is written.

    exact: the written key before it was respelled; it may have more than seven signs. twin: the
    other key of the demand that sounds the same. octaves: None where not stated.
    """

    sort: Sort
    asked: str
    exact: str
    tonic: str
    octaves: int | None
    twin: str = ""
    any_form: bool = False

    @property
    def signature(self) -> int:
        """The sharps of the written key, flats negative."""
        return keys.signature(self.tonic, self.sort.mode)


def wanted(demand: ScaleDemand, problem: Problem) -> list[Wanted]:
    """Return the scales of `demand`; keys that sound alike are one, with the fewest signs."""
    found: dict[tuple[Sort, int], Wanted] = {}
    for one in demand.keys:
        for scale in _each(one, demand, problem):
            place = scale.sort, keys.pitch(scale.tonic)
            held = found.get(place)
            found[place] = _together(held, scale) if held else scale
    return _in_order(list(found.values()), demand.order)


def _each(one: Keys, demand: ScaleDemand, problem: Problem) -> Iterator[Wanted]:
    sort = Sort(problem.any_minor) if one.sort is Sort.MINOR else one.sort
    for asked in one.every:
        exact = written_tonic(asked, problem)
        yield Wanted(
            sort=sort,
            asked=asked,
            exact=exact,
            tonic=keys.signed(exact, sort.mode),
            octaves=demand.octaves_of(asked),
            any_form=one.sort is Sort.MINOR,
        )


def written_tonic(asked: str, problem: Problem) -> str:
    """Return the written tonic of one that is asked, however many signs its key has."""
    if problem.at == "written":
        return asked
    up = -sounding(problem.instrument.semitones)
    return keys.at_fifths(keys.fifths(asked) + up.fifths)


def _together(held: Wanted, new: Wanted) -> Wanted:
    first, second = sorted((held, new), key=lambda one: abs(one.signature))
    another = second.asked if second.asked != first.asked else ""
    return replace(
        first,
        octaves=max(filter(None, (held.octaves, new.octaves)), default=None),
        twin=another or first.twin,
        any_form=held.any_form and new.any_form,
    )


def _in_order(found: list[Wanted], order: str) -> list[Wanted]:
    """Return the scales around the circle from C, if the demand says which way."""
    turn = -1 if "fourths" in order.casefold() else 1 if "fifths" in order.casefold() else 0
    sorts = list(dict.fromkeys(one.sort for one in found))
    return sorted(
        found,
        key=lambda one: (sorts.index(one.sort), turn * keys.fifths(one.asked) % 12 if turn else 0),
    )


@dataclass(frozen=True)
class Chromatic:
    """How far a chromatic scale is asked. start: a note's name, "" where none is named."""

    octaves: int | None
    full: bool
    start: str
    understood: bool


def chromatic(demand: ScaleDemand) -> Chromatic:
    """Return how far the demand asks the chromatic scale, as far as its words can be read."""
    words = demand.chromatic
    octaves, start = _CHROMATIC_OCTAVES.search(words), _CHROMATIC_FROM.search(words)
    rest = _FULL.sub("", _CHROMATIC_FROM.sub("", _CHROMATIC_OCTAVES.sub("", words)))
    full = bool(_FULL.search(words)) or (demand.full_range and not octaves)
    return Chromatic(
        octaves=count(octaves[1]) if octaves else demand.octaves,
        full=full,
        start=keys.read_tonic(start[1]) if start else "",
        understood=words == "asked" or not rest.strip(" ,."),
    )
