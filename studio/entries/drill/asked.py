"""Which scales a student's auditions ask, written for the instrument they are played on.

Rows in, planner.pitch problems out. Read from a bridge.Season; page and sheet show the same.
Nothing here queries.
"""

from dataclasses import dataclass
from functools import cached_property

from planner import keys, pitch
from planner.deadlines.wording import listed
from planner.pitch.words import FORMS
from planner.scales import ScaleDemand, Sort, read_scales, spoken_scales
from planner.scales.demand import FORMS as MINORS
from studio.answers import solve
from studio.entries.asking import details, names
from studio.entries.bridge import asked
from studio.entries.compare import columns
from studio.entries.models import Entry
from studio.requirements.models import KeysAt, Kind, Requirement

SORTS = {form: sort for sort, form in FORMS.items()}
USUAL_MINOR = Sort.HARMONIC  # common practice, no source
WRITTEN, CONCERT = KeysAt.WRITTEN.value, KeysAt.CONCERT.value


@dataclass(frozen=True)
class Demand:
    """Scales that are asked in the same words of the same instrument, by one audition or several.

    who: the auditions in words. rows: (entry, requirement) of each. text: the demand in the
    notation of planner.scales, "" where it is not written in it. problem, answer: of planner.pitch;
    None where nothing can be written, and `trouble` says why and what to do.
    """

    who: str
    rows: tuple[tuple[Entry, Requirement], ...]
    text: str
    problem: pitch.Problem | None
    trouble: str

    @property
    def key(self):
        """The key of its first requirement, as it stands in addresses."""
        return str(self.rows[0][1].pk)

    @property
    def instrument(self):
        """The students.Instrument that it is played on."""
        return self.rows[0][0].instrument

    @cached_property
    def demand(self) -> ScaleDemand:
        """What is asked, read; nothing where it cannot be."""
        return read_scales(self.problem.scales) if self.problem else ScaleDemand()

    @cached_property
    def answer(self) -> pitch.Answer | None:
        """The scales as they are written."""
        return self.problem and solve("pitch", self.problem)

    @property
    def words(self):
        """ "major to four sharps and flats, two octaves, from memory"."""
        return spoken_scales(self.demand)

    @property
    def assumes(self):
        """What is taken for granted about its keys, "" if nothing is."""
        requirement = self.rows[0][1]
        if requirement.keys_at != KeysAt.UNSTATED or not self.instrument.semitones:
            return ""
        return (
            "Whether its keys are written or concert keys is not stated: they are taken as written."
        )


@dataclass(frozen=True)
class Key:
    """One scale in one written key, as much of it as anybody asks.

    scale: the longest that is asked. asked_by: (demand, its scale) each, in the order of the
    auditions.
    """

    sort: Sort
    scale: pitch.Scale
    asked_by: tuple[tuple[Demand, pitch.Scale], ...]

    @property
    def tonic(self):
        """Its tonic as a KeyCheck has it: "Bb"."""
        return self.scale.tonic.replace("♭", "b").replace("♯", "#")

    @property
    def code(self):
        """How it stands in addresses: "harmonic minor:Bb"."""
        return f"{self.sort}:{self.tonic}"

    @property
    def place(self):
        """What is the same for keys that sound alike: their sort and semitones above C."""
        return place(self.sort, self.scale.tonic)

    @property
    def who(self):
        """Who asks for it, in words."""
        return listed([demand.who for demand, _ in self.asked_by])


def place(sort, tonic):
    """Return where a scale is kept, by its sort and its tonic as "B♭" or "Bb"."""
    return str(sort), keys.pitch(keys.read_tonic(tonic))


class Asked:
    """The scales that the auditions ahead of a bridge.Season ask for."""

    def __init__(self, season):
        self.season = season

    @cached_property
    def entries(self):
        """The auditions still to be played, in the order of their dates."""
        today = self.season.today
        return [each for each in self.season.live_entries if not each.on or each.on >= today]

    @cached_property
    def rows(self):
        """(entry, requirement) of all that they ask."""
        return [(e, line.requirement) for e in self.entries for line in asked(e)[0]]

    @cached_property
    def demands(self):
        """A Demand for each wording, with those that cannot be written down for the instrument."""
        found = {}
        for entry, row in self.rows:
            if row.kind == Kind.SCALES or row.scales:
                found.setdefault(_alike(entry, row), []).append((entry, row))
        return [self._demand(rows) for rows in found.values()]

    @property
    def written(self):
        """The demands that can be written down."""
        return [each for each in self.demands if each.problem]

    @property
    def troubles(self):
        """The demands that cannot."""
        return [each for each in self.demands if not each.problem]

    @cached_property
    def instruments(self):
        """The instruments that scales can be written for, the student's own first."""
        own = self.season.student.instrument_id
        found = {each.instrument.pk: each.instrument for each in self.written}
        return sorted(found.values(), key=lambda instrument: instrument.pk != own)

    def of(self, instrument):
        """Return the demands that can be written for one instrument."""
        return [each for each in self.written if each.instrument.pk == instrument.pk]

    @cached_property
    def _names(self):
        return names(columns(self.entries, self.season.student))

    def _demand(self, rows):
        entry, row = rows[0]
        who = listed(list(dict.fromkeys(self.who(*each) for each in rows)))
        problem, trouble = self._problem(entry, row)
        return Demand(who, tuple(rows), row.scales, problem, trouble)

    def who(self, entry, row):
        """Return which audition asks for a requirement, with its round unless that is live."""
        name = self._names[entry.pk]
        live = row.round == row.Round.LIVE
        return name if live else f"{name} ({row.get_round_display().lower()})"

    def _problem(self, entry, row):
        """Return the planner.pitch.Problem and "", or None and why there is none."""
        if not row.scales:
            said = f"“{details(row)}”" if details(row) else f"“{row.name}”"
            return None, f"{said}: stated in words only, so no keys can be drawn from it."
        problem = pitch.Problem(
            instrument(entry.instrument),
            row.scales,
            CONCERT if row.keys_at == CONCERT else WRITTEN,
            self._any_minor,
        )
        try:
            solve("pitch", problem)
        except ValueError as error:
            return None, f"“{row.scales}”: {error}"
        return problem, ""

    @cached_property
    def _any_minor(self):
        """The form of the minor where any will do: one that is learned anyhow, else the usual."""
        learned = {one.sort for _, row in self.rows for one in _read(row.scales).keys}
        return next((form for form in MINORS if form in learned), USUAL_MINOR).value


def _alike(entry, row):
    """Return what is the same where the same scales are asked; words alone are each their own."""
    return entry.instrument_id, row.scales or row.pk, row.keys_at


def _read(text):
    try:
        return read_scales(text)
    except ValueError:
        return ScaleDemand()


def instrument(row):
    """Return a students.Instrument as planner.pitch knows it."""
    return pitch.Instrument(row.name, row.lowest, row.highest, row.semitones)


def united(demands) -> list[Key]:
    """Return the keys of `demands` (of one instrument), each once; the chromatic scale is not one.

    Keys that sound alike are one, spelled as the longest that is asked.
    """
    found = {}
    for demand in demands:
        for scale in demand.answer.scales:
            if sort := SORTS.get(scale.form):
                found.setdefault(place(sort, scale.tonic), []).append((sort, demand, scale))
    return [_key(rows) for rows in found.values()]


def _key(rows):
    """Return the Key of (sort, demand, scale) rows."""
    longest = max((s for *_, s in rows), key=lambda s: (len(s.rising), -abs(s.signature)))
    return Key(rows[0][0], longest, tuple((demand, scale) for _, demand, scale in rows))
