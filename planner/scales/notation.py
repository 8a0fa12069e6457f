"""How a demand for scales is written: one line, in a musician's words (SCALES_HELP lists all).

    demand = clause { ";" clause }
    clause = sort ":" ( "all" | "to" number | key { "," key } )
           | "arpeggios" | "octaves:" number [ "in" key { "," key } ]
           | "chromatic" [ ":" words ] | "full range"
           | "tempo:" number [ "to the" words ]
           | ( "articulation" | "pattern" | "order" ) ":" words
           | "from memory" | "not from memory" | ( "panel" | "student" ) "chooses"
           | number "to continue"

"arpeggios" alone means those of every key whose scale is asked. A clause that stands twice is
refused, except "octaves" of other keys.
"""

import re

from planner import keys
from planner.clauses import COUNTS, Help, Unclear, count, did_you_mean, each, let_go
from planner.scales.demand import Keys, ScaleDemand, Sort

SCALES_HELP = (
    Help("major", "major: to 4", "keys to four sharps and flats; also all, or C, G, B flat"),
    Help("minor", "minor: all", "in any one form"),
    Help("harmonic minor", "harmonic minor: to 3", "also natural minor, melodic minor"),
    Help("arpeggios", "arpeggios", "of every key whose scale is asked"),
    Help("major arpeggios", "major arpeggios: to 2", "of these keys; also minor arpeggios"),
    Help("dominant sevenths", "dominant sevenths: to 2", "of these keys: in C the one on G"),
    Help("octaves", "octaves: 2", "in every key; octaves: 3 in C, D flat for some"),
    Help("chromatic", "chromatic: full range", "also chromatic: 2 octaves, or chromatic alone"),
    Help("full range", "full range", "as far as the instrument goes"),
    Help("tempo", "tempo: 96 to the quarter", "beats a minute, at least"),
    Help("articulation", "articulation: slurred up, tongued down", "in your words"),
    Help("pattern", "pattern: eighths, triplet at the top", "in your words"),
    Help("order", "order: circle of fourths", "in your words"),
    Help("memory", "from memory", "or: not from memory"),
    Help("chooses", "panel chooses", "or: student chooses"),
    Help("to continue", "7 to continue", "so many clean ones, and the audition goes on"),
)

_PLAIN = {
    "arpeggios": ("arpeggios", True),
    "full range": ("full_range", True),
    "chromatic": ("chromatic", "asked"),
    "from memory": ("memory", "yes"),
    "by memory": ("memory", "yes"),
    "not from memory": ("memory", "no"),
    "panel chooses": ("chooser", "panel"),
    "student chooses": ("chooser", "student"),
}
_NAMES = {"chooser": "chooses", "enough": "to continue"}
_TEXTS = ("articulation", "pattern", "order", "chromatic")
_ARPEGGIOS = {keys.MAJOR: Sort.MAJOR_ARPEGGIOS, keys.MINOR: Sort.MINOR_ARPEGGIOS}
_CHORDS = (*_ARPEGGIOS.values(), Sort.DOMINANT_SEVENTHS)
_LABELS = (*(sort.value for sort in Sort), *_TEXTS, "octaves", "tempo", *_PLAIN)
MOST_KEYS = 100  # more than there are of every sort together
_TEMPO = re.compile(r"(\d+)(?: (?:to the|for the) (.+))?", re.IGNORECASE)
_OCTAVES = re.compile(r"(\d+|one|two|three|four)(?: octaves?)?(?: in (.+))?", re.IGNORECASE)
_ENOUGH = re.compile(rf"(\d+|{'|'.join(COUNTS[1:])}) to continue", re.IGNORECASE)
_LIMIT = re.compile(r"(?:up )?to (\d|one|two|three|four|five|six|seven)\b.*", re.IGNORECASE)


def read_scales(text: str) -> ScaleDemand:
    """Return the demand that `text` writes; raise Unclear, naming the clause, if it cannot be read.

    An empty text asks for nothing.
    """
    found: dict = {"keys": {}, "octaves_in": {}}
    for name, value in each(text, _clause):
        _put(found, name, value)
    found["tempo"], found["beat"] = found.get("tempo", (None, ""))
    if found.pop("arpeggios", False):
        _add_arpeggios(found["keys"])
    ordered = tuple(found["keys"][sort] for sort in Sort if sort in found["keys"])
    inside = sorted(found["octaves_in"].items(), key=lambda pair: (keys.fifths(pair[0]), pair))
    return ScaleDemand(**found | {"keys": ordered, "octaves_in": tuple(inside)})


def _put(found: dict, name: str, value: object) -> None:
    if name == "octaves_in":
        twice = found[name].keys() & value.keys()
        found[name] |= value
    elif name == "keys":
        twice = value.sort in found[name]
        found[name][value.sort] = value
    else:
        twice = name in found
        found[name] = value
    if twice:
        said = value.sort.value if name == "keys" else _NAMES.get(name, name.partition("_")[0])
        raise Unclear(f"“{said}” stands twice: keep one of the two.")


def _add_arpeggios(asked: dict[Sort, Keys]) -> None:
    scales = [one for one in asked.values() if one.sort not in _CHORDS]
    if not scales:
        raise Unclear("“arpeggios”: say of which keys, as in “major arpeggios: to 2”.")
    for one in scales:
        sort = _ARPEGGIOS[one.sort.mode]
        asked[sort] = _both(asked.get(sort), Keys(sort, one.most, one.tonics))


def _both(held: Keys | None, new: Keys) -> Keys:
    """Return the keys of both, as the wider one has them if it holds the other."""
    if held is None or new.pitches > held.pitches:
        return new
    if held.pitches >= new.pitches:
        return held
    return Keys(new.sort, None, tuple(sorted({*held.every, *new.every}, key=keys.fifths)))


def _clause(clause: str) -> tuple[str, object]:
    label, colon, rest = (let_go(part) for part in clause.partition(":"))
    label = " ".join(label.casefold().split())
    if not colon:
        if label in _PLAIN:
            return _PLAIN[label]
        if found := _ENOUGH.fullmatch(label):
            return "enough", _enough(found[1])
        raise Unclear(f"This cannot be read.{did_you_mean(label, _LABELS)}")
    if not rest:
        raise Unclear(f"Something is missing after “{label}:”.")
    if label in set(Sort):
        return "keys", _keys(Sort(label), rest)
    if label in _TEXTS:
        return label, rest
    if label == "tempo":
        return _tempo(rest)
    if label == "octaves":
        return _octaves(rest)
    raise Unclear(f"There is no “{label}” here.{did_you_mean(label, _LABELS)}")


def _keys(sort: Sort, text: str) -> Keys:
    if text.casefold() in ("all", "all keys"):
        return Keys(sort, keys.MOST)
    if limit := _LIMIT.fullmatch(text):
        most = count(limit[1])
        if most > keys.MOST:
            raise Unclear(f"No key has more than {keys.MOST} sharps or flats. Write “all”.")
        return Keys(sort, most)
    return Keys(sort, None, tuple(sorted(_tonics(text), key=keys.fifths)))


def _tonics(text: str) -> set[str]:
    try:
        return {keys.read_tonic(part) for part in re.split(r",| and ", text)}
    except ValueError as error:
        raise Unclear(str(error)) from None


def _tempo(text: str) -> tuple[str, object]:
    found = _TEMPO.fullmatch(text)
    if not found or not 0 < int(found[1]) <= 400:
        raise Unclear("Write it as in “tempo: 96 to the quarter”.")
    return "tempo", (int(found[1]), found[2] or "")


def _enough(text: str) -> int:
    if not 0 < count(text) <= MOST_KEYS:
        raise Unclear(f"Write 1 to {MOST_KEYS}, as in “7 to continue”.")
    return count(text)


def _octaves(text: str) -> tuple[str, object]:
    found = _OCTAVES.fullmatch(text)
    if not found or not 0 < count(found[1]) <= 8:
        raise Unclear("Write it as in “octaves: 2” or “octaves: 3 in C, D flat”.")
    number = count(found[1])
    return (
        ("octaves_in", dict.fromkeys(_tonics(found[2]), number))
        if found[2]
        else (
            "octaves",
            number,
        )
    )


def write_scales(demand: ScaleDemand) -> str:
    """Return `demand` in the notation; `read_scales` reads it back the same."""
    return "; ".join(_written(demand))


def _written(demand: ScaleDemand):
    yield from _written_range(demand)
    yield from _written_manner(demand)


def _written_range(demand: ScaleDemand):
    for one in demand.keys:
        yield f"{one.sort.value}: {_written_keys(one)}"
    if demand.octaves is not None:
        yield f"octaves: {demand.octaves}"
    for number in sorted({number for _, number in demand.octaves_in}):
        there = [tonic for tonic, octaves in demand.octaves_in if octaves == number]
        yield f"octaves: {number} in {', '.join(map(keys.written, there))}"
    if demand.chromatic:
        yield "chromatic" if demand.chromatic == "asked" else f"chromatic: {demand.chromatic}"
    if demand.full_range:
        yield "full range"


def _written_manner(demand: ScaleDemand):
    if demand.tempo is not None:
        yield f"tempo: {demand.tempo}" + (f" to the {demand.beat}" if demand.beat else "")
    for label in ("articulation", "pattern", "order"):
        if getattr(demand, label):
            yield f"{label}: {getattr(demand, label)}"
    if demand.memory != "not stated":
        yield "from memory" if demand.memory == "yes" else "not from memory"
    if demand.chooser != "not stated":
        yield f"{demand.chooser} chooses"
    if demand.enough is not None:
        yield f"{demand.enough} to continue"


def _written_keys(one: Keys) -> str:
    if one.most is None:
        return ", ".join(map(keys.written, one.tonics))
    return "all" if one.most == keys.MOST else f"to {one.most}"
