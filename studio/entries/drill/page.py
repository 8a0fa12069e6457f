"""The drill: one key at a time, and all of them with their clean tempos.

Read from a bridge.Season of `rows.drilled`; nothing here queries.
"""

from collections import Counter
from dataclasses import dataclass, replace
from functools import cached_property

from planner.deadlines.wording import listed, upper_first
from planner.pitch.transposing import named
from planner.readiness.words import number
from planner.scales import words
from studio.entries.drill.asked import Asked, Demand, Key, united
from studio.entries.drill.draw import ALL, ORDERS, drawn
from studio.entries.drill.tempos import STUDENT, TEACHER, Tempos, Track

BAR = 120.0  # how wide a full bar is drawn


@dataclass(frozen=True)
class Choice:
    """One of several to choose from."""

    value: str
    label: str
    chosen: bool


@dataclass(frozen=True)
class Asker:
    """Who asks for a key: how far and how, in words."""

    who: str
    reach: str
    manner: str


@dataclass(frozen=True)
class Side:
    """The clean tempos of one source. bar: how long its bar is drawn, "" for none."""

    source: str
    title: str
    last: str
    best: str
    trend: str
    against: str
    bar: str


@dataclass(frozen=True)
class Line:
    """One key with its figures. target: in words, "" where none is stated. goal_x: where the line
    of the target stands among the bars, "" where there is no single one.
    """

    key: Key
    name: str
    target: str
    goal_x: str
    sides: tuple[Side, ...]
    url: str


class Drill:
    """What of a Season is drilled, and where: a draw.Turn.

    source: whose figures are written down here, a LessonCheck.Source; "" for who only reads.
    """

    def __init__(self, season, turn, checks, source=""):
        self.season, self.source = season, source
        self.student, self.today = season.student, season.today
        self.asked, self.tempos = Asked(season), Tempos(checks)
        self.turn = replace(turn, of=self._of(turn.of))
        if self.turn.key not in self.by_code:
            self.turn = replace(self.turn, key="")

    # what is drilled

    def _of(self, wanted):
        """Return what is meant by `wanted`: usually all that the student's own instrument asks."""
        known = [choice for choice, _ in self._choices]
        return wanted if wanted in known else next(iter(known), "")

    @cached_property
    def _choices(self):
        """(value, label) of all that can be drilled: everything of an instrument, each demand."""
        found, several = [], len(self.asked.instruments) > 1
        for instrument in self.asked.instruments:
            demands = [each for each in self.asked.of(instrument) if united([each])]
            on = f", {instrument.name}" if several else ""
            if len(demands) > 1:
                found.append((f"{ALL}-{instrument.pk}", f"Everything that is asked{on}"))
            alone = Counter(each.who for each in demands)
            for each in demands:
                words = f": {each.words}" if alone[each.who] > 1 else ""
                found.append((each.key, f"{each.who}{words}{on}"))
        return found

    @property
    def choices(self):
        """Whose scales can be chosen."""
        return [Choice(value, label, value == self.turn.of) for value, label in self._choices]

    @property
    def orders(self):
        """In which order."""
        return [Choice(name, label, name == self.turn.order) for name, label in ORDERS.items()]

    @cached_property
    def demands(self):
        """The chosen demands."""
        if not self.turn.of.startswith(ALL):
            return [each for each in self.asked.written if each.key == self.turn.of]
        pk = int(self.turn.of.removeprefix(f"{ALL}-"))
        return [each for each in self.asked.written if each.instrument.pk == pk]

    @cached_property
    def keys(self):
        """The keys of the chosen demands."""
        return united(self.demands)

    @cached_property
    def by_code(self):
        """All keys that can be drilled, by how they stand in addresses."""
        return {key.code: key for key in self.keys}

    @property
    def beside(self):
        """(who, what) of scales that are asked and are in no key: the chromatic one."""
        return [
            (demand.who, scale.title)
            for demand in self.demands
            for scale in demand.answer.scales
            if scale.form == "chromatic"
        ]

    @property
    def said(self):
        """What holds for all of it: how the instrument sounds, what is taken for granted."""
        instrument = self.demands[0].instrument
        sounds = f"{instrument.name} sounds {named(instrument.semitones)}."
        assumed = dict.fromkeys(each.assumes for each in self.demands if each.assumes)
        several = len(self.asked.instruments) > 1
        kept = "Tempos are kept by the written key, on whichever instrument it was played."
        return [
            *([sounds] if instrument.semitones else []),
            *assumed,
            *([kept] if several else []),
        ]

    # the key that is drawn

    @cached_property
    def key(self):
        """The asked.Key to play now."""
        if self.turn.key:
            return self.by_code[self.turn.key]
        return drawn(self.turn, self.keys, self._speed)

    def _speed(self, key):
        """Return how far a key was towards its tempo this morning, or None."""
        tempo, goal = self.tempos.before(key, self.today), target(key)
        return tempo and tempo / (goal or 100)

    @property
    def line(self):
        """The Line of the key to play now."""
        return self._line(self.key)

    @property
    def askers(self):
        """An Asker for each demand of the key to play now."""
        return [_asker(demand, scale) for demand, scale in self.key.asked_by]

    @property
    def notes(self):
        """What the engine says of the scale."""
        return list(dict.fromkeys(said for _, scale in self.key.asked_by for said in scale.said))

    @property
    def tempo(self):
        """What the field of the tempo starts from: the latest of this source, or None."""
        last = self.source and self.tempos.of(self.key, self.source).last
        return last.tempo if last else None

    @property
    def place(self):
        """ "Key 3 of 12", with the round from the second on."""
        if self.turn.key:
            return "Chosen by hand"
        rounds, at = divmod(self.turn.at, len(self.keys))
        later = f", round {number(rounds + 1)}" if rounds else ""
        return f"Key {at + 1} of {len(self.keys)}{later}"

    @property
    def gates(self):
        """How far it is to what is enough to continue, a sentence for each demand that says so."""
        return [_gate(demand, self) for demand in self.demands if demand.demand.enough]

    def is_clean_today(self, key, goal):
        """Whether a key went clean today, at `goal` if there is one."""
        source = self.source or STUDENT
        check = self.tempos.on(key, source, self.today)
        return bool(check) and (not goal or check.tempo >= goal)

    # all keys

    @cached_property
    def lines(self):
        """A Line for each key, in the order in which the demands have them."""
        return [self._line(key) for key in self.keys]

    @property
    def summary(self):
        """ "24 keys: 9 at tempo by the lessons, 11 by their own figures."."""
        many = f"{len(self.keys)} key{'' if len(self.keys) == 1 else 's'}"
        if not any(target(key) for key in self.keys):
            return f"{many}. No tempo is stated."
        sides = ((TEACHER, "in lessons"), (STUDENT, self._own))
        counts = [f"{self._at_tempo(source)} {words}" for source, words in sides]
        return f"{many}. At the tempo that is asked: {', '.join(counts)}."

    def _at_tempo(self, source):
        last = ((key, self.tempos.of(key, source).last) for key in self.keys)
        return sum(bool(one and target(key) and one.tempo >= target(key)) for key, one in last)

    @property
    def _own(self):
        return "on your own" if self.source == STUDENT else "on their own"

    def _line(self, key):
        tracks = {source: self.tempos.of(key, source) for source in (TEACHER, STUDENT)}
        goal = target(key)
        tempos = (track.best.tempo for track in tracks.values() if track.best)
        most = max(filter(None, (goal, *tempos)), default=0)
        titles = {TEACHER: "In lessons", STUDENT: upper_first(self._own)}
        return Line(
            key=key,
            name=name(key),
            target=target_words(key),
            goal_x=f"{BAR * goal / most:.1f}" if goal else "",
            sides=tuple(
                self._side(source, titles[source], track, goal, most)
                for source, track in tracks.items()
            ),
            url=replace(self.turn, key=key.code).query,
        )

    def _side(self, source, title, track: Track, goal, most):
        last = track.last
        return Side(
            source=source,
            title=title,
            last=track.last_words(self.today),
            best=track.best_words(self.today),
            trend=track.trend,
            against=against(last.tempo, goal) if last and goal else "",
            bar=f"{BAR * last.tempo / most:.1f}" if last else "",
        )


def name(key):
    """Return "E♭ harmonic minor"."""
    return key.scale.title.partition(",")[0]


def targets(key):
    """Return the fastest tempo that is asked of a key, by its beat."""
    found = {}
    for demand, _ in key.asked_by:
        tempo, beat = demand.demand.tempo, demand.demand.beat
        if tempo:
            found[beat] = max(tempo, found.get(beat, 0))
    return found


def target(key):
    """Return the tempo to reach; None where none is stated, or where they count in other beats."""
    found = targets(key)
    return next(iter(found.values())) if len(found) == 1 else None


def target_words(key):
    """Return "96 to the quarter", all of them where they count in other beats."""
    found = targets(key).items()
    return listed([f"{tempo} to the {beat}" if beat else str(tempo) for beat, tempo in found])


def against(tempo, goal):
    """Return "at tempo" or "8 below"."""
    return "at tempo" if tempo >= goal else f"{goal - tempo} below"


def _asker(demand: Demand, scale):
    reach = scale.title.partition(", ")[2]
    tempo = words.tempo(demand.demand) if demand.demand.tempo else ""
    manner = demand.answer.in_words
    return Asker(demand.who, reach, manner or tempo)


def _gate(demand, drill):
    keys = united([demand])
    clean = sum(drill.is_clean_today(key, demand.demand.tempo) for key in keys)
    enough = upper_first(words.enough(demand.demand.enough))
    return f"{enough} ({demand.who}): {number(clean) if clean else 'none'} clean today."


def empty(drill, staff):
    """Say what to do where no key can be drawn; None where one can."""
    if drill.keys:
        return None
    if drill.asked.demands:
        text = "No audition ahead states keys that can be drawn. What they say stands below."
    else:
        text = "No audition ahead asks for scales. As soon as one does, its keys are drawn here."
    if staff:
        text += " Scales are written down in the requirements of a set."
    return {"title": "No keys to draw", "text": text}
