"""From a problem to its answer."""

from dataclasses import dataclass, replace

from planner import keys
from planner.pitch import asking, forms, patterns, placing, words
from planner.pitch.asking import Wanted
from planner.pitch.checking import check
from planner.pitch.clefs import clef
from planner.pitch.forms import Ladder
from planner.pitch.model import Answer, Problem, Scale, Sound
from planner.pitch.notes import Pitch, read_pitch
from planner.pitch.placing import Placed, Range
from planner.pitch.transposing import sounding_key, to_sounding
from planner.scales import ScaleDemand, read_scales, spoken_scales


def answer(problem: Problem) -> Answer:
    """Return the scales of a demand; raise ValueError, with what to do, if there can be none."""
    check(problem)
    demand = read_scales(problem.scales)
    low, high = read_pitch(problem.instrument.lowest), read_pitch(problem.instrument.highest)
    scales = [_scale(one, demand, problem, (low, high)) for one in asking.wanted(demand, problem)]
    if demand.chromatic:
        scales.append(_chromatic(demand, problem, (low, high)))
    manner = replace(demand, keys=(), octaves=None, octaves_in=(), chromatic="", full_range=False)
    return Answer(
        said=f"{words.about_instrument(problem)} {words.summary(tuple(scales))}",
        lowest=_sound(low, problem),
        highest=_sound(high, problem),
        scales=tuple(scales),
        in_words=spoken_scales(manner),
    )


def _sound(note: Pitch, problem: Problem) -> Sound:
    sounds = to_sounding(note, problem.instrument.semitones)
    return Sound(note, sounds, sounds.midi, round(sounds.hertz(problem.a4), 3))


@dataclass(frozen=True)
class _Draft:
    """A scale before it is drawn. octaves: as asked; full: the full range is."""

    name: str
    tonic: str
    form: str
    ladder: Ladder
    octaves: int | None
    full: bool
    placed: Placed


def _scale(one: Wanted, demand: ScaleDemand, problem: Problem, within: Range) -> Scale:
    ladder = forms.ladder(one.sort, one.tonic)
    placed = (
        placing.full_range(ladder, within)
        if demand.full_range
        else placing.over_octaves(ladder, one.octaves or 1, within)
    )
    draft = _Draft(
        name=words.key_name(one.sort, one.tonic),
        tonic=one.tonic,
        form=words.FORMS[one.sort],
        ladder=ladder,
        octaves=one.octaves,
        full=demand.full_range,
        placed=placed,
    )
    drawn = _drawn(draft, demand, problem, within)
    concert = sounding_key(one.tonic, one.sort.mode, problem.instrument.semitones)
    return replace(
        drawn,
        sounding=words.key_name(one.sort, _usual(concert, one)) if concert != one.tonic else "",
        signature=one.signature,
        said=(*drawn.said, *words.about_key(one, problem)),
    )


_USUAL = {("C♭", keys.MAJOR): "B", ("C♯", keys.MAJOR): "D♭", ("A♯", keys.MINOR): "B♭"}


def _usual(concert: str, one) -> str:
    """Return the name a player has for a concert key: B for the C♭ of a trumpet's D♭."""
    return _USUAL.get((concert, one.sort.mode), concert)


def _chromatic(demand: ScaleDemand, problem: Problem, within: Range) -> Scale:
    asked = asking.chromatic(demand)
    start = asked.start and keys.signed(asking.written_tonic(asked.start, problem), keys.MAJOR)
    ladder = forms.chromatic(start or within[0].tonic)
    if asked.full:
        placed = placing.all_semitones(ladder, within)
    else:
        placed = placing.over_octaves(ladder, asked.octaves or 1, within)
    begin = placed.rising[0].tonic if placed.rising else ladder.root
    name = f"chromatic scale from {begin}"
    draft = _Draft(name, begin, "chromatic", ladder, asked.octaves, asked.full, placed)
    drawn = _drawn(draft, replace(demand, pattern=""), problem, within)
    unread = "" if asked.understood else f"It is asked in the words “{demand.chromatic}”."
    return replace(drawn, said=(*drawn.said, *filter(None, (unread,))))


def _drawn(draft: _Draft, demand: ScaleDemand, problem: Problem, within: Range) -> Scale:
    """Return the scale with its notes in the pattern and the direction that are asked."""
    placed, chord = draft.placed, draft.ladder.chord
    pattern = patterns.pattern(demand.pattern, chord)
    way = patterns.direction(f"{demand.pattern}; {demand.articulation}")
    rising = patterns.turned(placed.rising, pattern, chord)
    falling = patterns.turned((*placed.rising[-1:], *placed.falling), pattern, chord)
    reach = words.about_reach(draft.name, draft.octaves, draft.full, placed, _root(draft, within))
    return Scale(
        title=words.title(draft.name, placed, pattern),
        tonic=draft.tonic,
        form=draft.form,
        sounding="",
        signature=0,
        clef=clef(problem.instrument, rising),
        octaves=placed.octaves or None,
        direction=way,
        pattern=pattern,
        rising=() if way == "down" else rising,
        falling=() if way == "up" else falling if way == "down" else falling[1:],
        starts=placed.starts,
        fits=placed.octaves in (None, draft.octaves or 1),
        said=tuple(filter(None, (reach,))),
    )


def _root(draft: _Draft, within: Range) -> tuple[Pitch, Pitch]:
    """Return the lowest note on which the scale could begin, and the highest that there is."""
    roots = (note for note in forms.every(draft.ladder.root) if note.midi >= within[0].midi)
    return next(roots), within[1]
