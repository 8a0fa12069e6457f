"""Demands for scales in words."""

from planner import keys
from planner.clauses import COUNTS
from planner.deadlines.wording import listed
from planner.scales.demand import Keys, ScaleDemand, Sort

SORTS = {
    Sort.MAJOR: "major",
    Sort.MINOR: "minor in any form",
    Sort.NATURAL: "natural minor",
    Sort.HARMONIC: "harmonic minor",
    Sort.MELODIC: "melodic minor",
    Sort.MAJOR_ARPEGGIOS: "major arpeggios",
    Sort.MINOR_ARPEGGIOS: "minor arpeggios",
    Sort.DOMINANT_SEVENTHS: "dominant sevenths",
}


def spoken_scales(demand: ScaleDemand) -> str:
    """Return "major to four sharps and flats, two octaves, from memory"."""
    return ", ".join(_said(demand))


def _said(demand: ScaleDemand):
    yield from _range(demand)
    yield from _manner(demand)


def _range(demand: ScaleDemand):
    for one in demand.keys:
        yield f"{SORTS[one.sort]} {spoken_keys(one)}"
    if demand.octaves is not None:
        yield octaves(demand.octaves)
    for number in sorted({number for _, number in demand.octaves_in}):
        there = [tonic for tonic, other in demand.octaves_in if other == number]
        yield f"{octaves(number)} in {listed(there)}"
    if demand.chromatic:
        yield "chromatic" + ("" if demand.chromatic == "asked" else f" ({demand.chromatic})")
    if demand.full_range:
        yield "over the full range"


def _manner(demand: ScaleDemand):
    if demand.tempo is not None:
        yield tempo(demand)
    yield from filter(None, (demand.articulation, demand.pattern, demand.order))
    if demand.memory != "not stated":
        yield "from memory" if demand.memory == "yes" else "not from memory"
    if demand.chooser != "not stated":
        yield f"the {demand.chooser} chooses"
    if demand.enough is not None:
        yield enough(demand.enough)


def spoken_keys(one: Keys) -> str:
    """Return "in all keys", "to four sharps and flats" or "in C and B♭"."""
    if one.most is None:
        return f"in {listed(one.tonics)}"
    if one.most == keys.MOST:
        return "in all keys"
    return f"to {COUNTS[one.most]} sharp{'' if one.most == 1 else 's'} and flats"


def octaves(number: int) -> str:
    """Return "two octaves"."""
    return f"{COUNTS[number]} octave{'' if number == 1 else 's'}"


def enough(number: int) -> str:
    """Return "seven to continue"."""
    return f"{COUNTS[number] if number < len(COUNTS) else number} to continue"


def tempo(demand: ScaleDemand) -> str:
    """Return "at 96 to the quarter"."""
    return f"at {demand.tempo}" + (f" to the {demand.beat}" if demand.beat else "")
