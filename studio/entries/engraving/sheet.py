"""What a sheet of engraved scales shows: all that the auditions ahead ask, each key once.

Read from a bridge.Season; nothing here queries. What is asked in words alone is printed as it is.
"""

from dataclasses import dataclass
from functools import cached_property

from planner.deadlines.wording import listed
from planner.pitch import Clef, Scale, spoken
from planner.pitch.articulation import PLAIN, articulation
from planner.pitch.clefs import clefs
from planner.pitch.starting import easiest
from planner.pitch.transposing import named
from studio.entries.drill.asked import Asked, Key, instrument, united
from studio.entries.drill.draw import ALL
from studio.entries.drill.page import target_words
from studio.entries.engraving.engrave import engraved
from studio.entries.engraving.flat import Drawing
from studio.entries.engraving.mei import write
from studio.entries.engraving.staff import groups

WEEKS = range(1, 9)  # fields for the tempo of a week
CHROMATIC = "chromatic"


@dataclass(frozen=True)
class Printed:
    """One scale as it is printed. target: the tempo that is asked, in words, "" where none is.

    askers: (who, what they want of it), where more than one wording is asked. drawing: None where
    nothing of it fits the instrument; `said` tells why.
    """

    scale: Scale
    target: str
    askers: tuple[tuple[str, str], ...]
    said: tuple[str, ...]
    drawing: Drawing | None

    @property
    def title(self):
        """ "A♭ major, two octaves", with the concert key where that is another."""
        return f"{self.scale.title} ({self.sounds})" if self.sounds else self.scale.title

    @property
    def sounds(self):
        """ "sounds as D♭ major", "" where it is the written key."""
        return f"sounds as {self.scale.sounding}" if self.scale.sounding else ""


class Part:
    """The scales of one instrument (students.Instrument), as these demands ask them."""

    def __init__(self, row, demands, code=""):
        self.name, self.demands = row.name, demands
        self._row, self._code = instrument(row), code

    @cached_property
    def scales(self):
        """A Printed for each scale: keys first, each pattern apart, the chromatic scale last."""
        return [
            self._printed(each)
            for key in self._keys
            if self._code in ("", key.code)
            for each in _by_pattern(key)
        ]

    @property
    def _keys(self):
        return [*united(self.demands), *_chromatic(self.demands)]

    def _printed(self, key):
        several = len(self.demands) > 1
        scale = easiest(key.scale, self._row)
        return Printed(
            scale=scale,
            target=target_words(key),
            askers=tuple((d.who, _wanted(d, scale)) for d, scale in key.asked_by if several),
            said=tuple(dict.fromkeys(_said(key, scale))),
            drawing=self._drawing(scale, key),
        )

    def _drawing(self, scale, key):
        if not (scale.rising or scale.falling):
            return None
        words = {demand.demand.articulation for demand, _ in key.asked_by} - {""}
        manners = {articulation(each) for each in words}
        played = manners.pop() if len(manners) == 1 else (PLAIN, PLAIN)
        return engraved(write(scale, clefs(self._row), played))

    @property
    def bass(self):
        """How its notes in the bass clef sound, if it usually has another: two ways are in use."""
        usual, semitones = clefs(self._row), self._row.semitones
        drawn = [each.scale for each in self.scales if each.drawing]
        low = any(one.clef is Clef.BASS for s in drawn for beam in groups(s, usual) for one in beam)
        if not semitones or not low or usual[0] is Clef.BASS:
            return ""
        return f"In the bass clef too it sounds {named(semitones)}."


class ScaleSheet:
    """The scales of one student's season, or some of them.

    of: a demand's key, or "all-" and an instrument's; code: one key, as asked.Key has it; "": all.
    """

    title = "Scales"

    def __init__(self, season, of="", code=""):
        self.student, self.asked = season.student, Asked(season)
        self._of, self._code = of, code

    @cached_property
    def parts(self):
        """A Part for each instrument of which something is printed, the student's own first."""
        found = []
        for row in self.asked.instruments:
            demands = self.asked.of(row)
            if self._of not in ("", f"{ALL}-{row.pk}"):
                demands = [each for each in demands if each.key == self._of]
            part = Part(row, demands, self._code)
            if part.scales:
                found.append(part)
        return found

    @property
    def is_part(self):
        """Whether only some of what is asked is wanted."""
        return bool(self._of or self._code)

    @property
    def troubles(self):
        """The demands that cannot be written down, where all is wanted."""
        return [] if self.is_part else self.asked.troubles


def _wanted(demand, scale):
    """Return how far and how: "two octaves, slurred"."""
    reach = scale.title.partition(", ")[2]
    return ", ".join(filter(None, (reach, demand.demand.articulation, demand.demand.pattern)))


def _said(key, scale):
    """Yield what the engine says of a key, and where else as much of it fits."""
    for _, one in key.asked_by:
        yield from one.said
    first = min(scale.rising + scale.falling, key=lambda note: note.midi, default=None)
    if others := [spoken(start) for start in scale.starts if start != first]:
        yield f"Within the range it can also begin on {listed(others)}."


def _by_pattern(key):
    """Yield a Key for each pattern in which a key is asked, with the longest scale in it."""
    found = {}
    for demand, scale in key.asked_by:
        found.setdefault(scale.pattern, []).append((demand, scale))
    for asked in found.values():
        scale = max((each for _, each in asked), key=lambda one: len(one.rising + one.falling))
        yield Key(key.sort, scale, tuple(asked))


def _chromatic(demands):
    """Return a Key for each chromatic scale; those that begin on the same note are one."""
    found = {}
    for demand in demands:
        for scale in demand.answer.scales:
            if scale.form == CHROMATIC:
                found.setdefault(scale.tonic, []).append((demand, scale))
    return [Key(CHROMATIC, asked[0][1], tuple(asked)) for asked in found.values()]
