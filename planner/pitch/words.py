"""What is said of a scale."""

from collections.abc import Iterator

from planner import keys
from planner.clauses import COUNTS
from planner.deadlines.wording import upper_first
from planner.pitch.asking import Wanted
from planner.pitch.forms import octaves_up
from planner.pitch.model import Problem, Scale
from planner.pitch.notes import Pitch, spoken
from planner.pitch.placing import Placed
from planner.pitch.transposing import named
from planner.scales import Sort
from planner.scales.words import octaves

FORMS = {
    Sort.MAJOR: "major",
    Sort.NATURAL: "natural minor",
    Sort.HARMONIC: "harmonic minor",
    Sort.MELODIC: "melodic minor",
    Sort.MAJOR_ARPEGGIOS: "major arpeggio",
    Sort.MINOR_ARPEGGIOS: "minor arpeggio",
    Sort.DOMINANT_SEVENTHS: "dominant seventh",
}
_PLAIN = ("major", "minor")  # names without an article
_PATTERNS = {"": "", "thirds": "in thirds", "broken": "broken"}


def key_name(sort: Sort, tonic: str) -> str:
    """Return "A♭ harmonic minor", or "dominant seventh in C"."""
    if sort is Sort.DOMINANT_SEVENTHS:
        return f"dominant seventh in {tonic}"
    return f"{tonic} {FORMS[sort]}"


def title(name: str, placed: Placed, pattern: str) -> str:
    """Return "A♭ major, two octaves, in thirds"."""
    reach = "full range"
    if placed.octaves is not None:
        reach = octaves(placed.octaves) if placed.octaves else ""
    return upper_first(", ".join(filter(None, (name, reach, _PATTERNS[pattern]))))


def about_key(one: Wanted, problem: Problem) -> Iterator[str]:
    """Yield why a key is not written as it is asked, and which other it stands for."""
    mode = one.sort.mode
    if one.exact != one.tonic:
        signs = keys.signature(one.exact, mode)
        many = COUNTS[abs(signs)] if abs(signs) < len(COUNTS) else abs(signs)
        many = f"{many} {'sharps' if signs > 0 else 'flats'}"
        concert = f"Concert {one.asked} {mode}: " if problem.at == "concert" else ""
        would = f"{concert}{one.exact} {mode} would have {many}"
        yield f"{would}, so it is written as {one.tonic} {mode}."
    if one.twin:
        yield f"{one.twin} {mode} sounds the same."
    if one.any_form:
        yield f"Any form of the minor will do: this is the {one.sort.value}."


def about_reach(
    name: str, asked: int | None, full: bool, placed: Placed, ends: tuple[Pitch, Pitch]
) -> str:
    """Return what keeps a scale from being as long as it is asked, "" if nothing does.

    asked: octaves, None where not stated. ends: the lowest note on which it could begin, and the
    highest of the instrument.
    """
    if full:
        few = f"The range holds fewer than two notes of the {name}; nothing is written."
        return "" if placed.rising else few
    number, start = asked or 1, ends[0]
    if placed.octaves == number:
        return "" if asked else "How far is not stated: one octave is written."
    the = "" if name.endswith(_PLAIN) else "the "
    above = f"{upper_first(octaves(number))} of {the}{name} would go above {spoken(ends[1])}"
    reach = f"from {spoken(start)} up to {spoken(octaves_up(start, number))}"
    verb = "are" if placed.octaves > 1 else "is"
    left = f"{octaves(placed.octaves)} {verb}" if placed.octaves else "nothing is"
    return f"{above}: {reach}. {upper_first(left)} written."


def about_instrument(problem: Problem) -> str:
    """Return "Horn sounds a perfect fifth lower than written; …"."""
    instrument = problem.instrument
    said = f"{instrument.name.strip()} sounds {named(instrument.semitones)}"
    if not instrument.semitones:
        return f"{said}."
    if problem.at == "concert":
        return f"{said}; the keys are asked in concert pitch and written transposed."
    return f"{said}; the keys are written keys."


def summary(scales: tuple[Scale, ...]) -> str:
    """Return "12 scales; 2 do not fit as asked."."""
    if not scales:
        return "No scales are asked."
    short = sum(not scale.fits for scale in scales)
    many = f"{len(scales)} scale{'' if len(scales) == 1 else 's'}"
    if not short:
        return f"{many}; all fit."
    return f"{many}; {short} {'does' if short == 1 else 'do'} not fit as asked."
