"""What one student could prepare: rows in, planner.repertoire out, and its plan against what is.

Nothing here queries.
"""

from dataclasses import dataclass, replace
from functools import cached_property

from planner import codec
from planner.repertoire import model
from planner.repertoire.fitting import fit
from planner.repertoire.rules import About
from studio.answers import solve
from studio.entries.hours import Hours
from studio.entries.models import Entry, Wish
from studio.entries.plan_stay import stay
from studio.requirements import bridge
from studio.requirements.models import Requirement
from studio.requirements.tree import most

SECONDS = 8  # for each solve: a page can wait for a few of them


@dataclass(frozen=True)
class Place:
    """A slot of an audition. now: the assignments to it; planned: the pieces of the plan.

    lacking: how many pieces too few fit it.
    """

    entry: Entry
    requirement: Requirement
    now: tuple
    planned: tuple
    lacking: int = 0

    @property
    def added(self):
        """The pieces that the plan brings."""
        there = {each.piece_id for each in self.now}
        return [piece for piece in self.planned if piece.pk not in there]

    @property
    def dropped(self):
        """The assignments that the plan has something instead of."""
        return self._without[: max(0, len(self._without) - self.lacking)]

    @property
    def doubtful(self):
        """The assignments that do not fit, with nothing to take their place."""
        return self._without[len(self.dropped) :]

    @property
    def _without(self):
        wanted = {piece.pk for piece in self.planned}
        return [each for each in self.now if each.piece_id not in wanted]

    @property
    def changed(self):
        """Whether the plan differs from what is assigned."""
        return bool(self.added or self.dropped)

    def surplus(self, more):
        """Return how many pieces would be too many with so many more."""
        return max(0, len(self.now) + more - most(self.requirement))


class Planning:
    """The auditions ahead of a bridge.Season, the studio's pieces, and the plan that covers them.

    season: its student loaded by `plan_queries.planned`. library: the studio's pieces, all.
    """

    def __init__(self, season, library):
        self.season, self.student = season, season.student
        self.hours = Hours(season, library)
        self.library = {piece.pk: piece for piece in library}

    # what is asked

    @cached_property
    def entries(self):
        """Entries still to be played, in the order of their dates, undated ones last."""
        today = self.season.today
        return [each for each in self.season.live_entries if not each.on or each.on >= today]

    @cached_property
    def hearings(self):
        """The planner's Hearings by entry pk, where there are any."""
        made = {
            entry.pk: bridge.hearings(entry.requirement_set, entry.instrument.name)
            for entry in self.entries
            if entry.requirement_set
        }
        return {pk: hearings for pk, hearings in made.items() if hearings}

    @cached_property
    def asked(self):
        """The entries that music is planned for, those left out of the plan among them."""
        return [entry for entry in self.entries if entry.pk in self.hearings]

    @property
    def kept(self):
        """The entries that the plan covers."""
        return [entry for entry in self.asked if entry.kept]

    def slots(self, entry):
        """Return the planner's Slots of an entry by requirement pk, in order."""
        hearings = self.hearings[entry.pk]
        return {int(slot.key): slot for hearing in hearings for slot in hearing.slots}

    # what there is to play

    @cached_property
    def wishes(self):
        """The teacher's word by piece pk."""
        return {wish.piece_id: wish.word for wish in self.student.wishes.all()}

    @cached_property
    def assigned(self):
        """The keys of the pieces that are assigned in the auditions ahead."""
        return {each.piece_id for entry in self.entries for each in entry.assignments.all()}

    @cached_property
    def pieces(self):
        """The pieces of the library that may be played, as the planner knows them, by pk.

        Those for any instrument and for one that is played somewhere, or that a rule names; and
        whatever is judged, wished for or assigned.
        """
        instruments = {self._instrument(name) for name in self._instruments()} | {""}
        named = {*self.wishes, *self.assigned, *self._judged()}
        return {
            pk: bridge.piece(piece, self.hours.minutes(piece))
            for pk, piece in sorted(self.library.items())
            if pk in named
            or self._instrument(piece.instrument and piece.instrument.name) in instruments
        }

    def _instrument(self, name):
        return (name or "").casefold()

    def _instruments(self):
        for entry in self.asked:
            yield entry.instrument.name
            for slot in self.slots(entry).values():
                for rule in slot.rules:
                    if rule.about == About.INSTRUMENT:
                        yield from rule.words

    def _judged(self):
        for entry in self.asked:
            for slot in self.slots(entry).values():
                yield from (int(key) for key, fits in (slot.judged or {}).items() if fits)

    @cached_property
    def fitting(self):
        """The keys of the pieces that fit some slot of the entries kept, banned ones too."""
        slots = {repr(_asking(slot)): slot for e in self.kept for slot in self.slots(e).values()}
        return [
            pk
            for pk, piece in self.pieces.items()
            if any(fit(piece, slot).verdict for slot in slots.values())
        ]

    # the question and its answer

    @cached_property
    def problem(self):
        """planner.repertoire.Problem; keys are str(pk) of pieces, entries and requirements."""
        return model.Problem(
            pieces=tuple(self.pieces.values()),
            auditions=tuple(map(self._audition, self.asked)),
            pinned=self._wished(Wish.Word.KEEP),
            banned=self._wished(Wish.Word.LEAVE),
            preferred=tuple(str(pk) for pk in self.pieces if self._is_preferred(pk)),
            seconds=SECONDS,
        )

    @property
    def frontier_problem(self):
        """The same of hours against auditions, those left out of the plan among them."""
        auditions = tuple(replace(each, kept=True) for each in self.problem.auditions)
        return replace(self.problem, auditions=auditions, marginals=False, frontier=True)

    def _audition(self, entry):
        return model.Audition(
            key=str(entry.pk),
            name=entry.audition.institution.short,
            hearings=self.hearings[entry.pk],
            again=bridge.again(entry.requirement_set),
            worth=entry.worth,
            kept=entry.kept,
        )

    def _wished(self, word):
        return tuple(str(pk) for pk in self.pieces if self.wishes.get(pk) == word)

    def _is_preferred(self, pk):
        wish = self.wishes.get(pk)
        return wish == Wish.Word.LIKE or wish != Wish.Word.LEAVE and pk in self.assigned

    @cached_property
    def answer(self):
        """planner.repertoire.Answer; raises workers.Unsolved."""
        return solve("repertoire", self.problem)

    @cached_property
    def plan(self):
        """The planner's Plan, its pieces left where they are assigned as far as that goes."""
        answer = self.answer
        over = sum(each.over for each in answer.impossible)
        now = {
            (str(entry.pk), str(pk)): tuple(str(each.piece_id) for each in given)
            for entry in self.kept
            for pk, given in self._given(entry).items()
        }
        return stay(self.problem, answer.plan, now, over)

    @property
    def digest(self):
        """What tells this plan from another."""
        return codec.digest(self.plan)

    # the plan against what is assigned

    @cached_property
    def planned(self):
        """The pieces of the plan."""
        return [self.library[int(key)] for key in self.plan.pieces]

    @cached_property
    def places(self):
        """A Place for each slot that is planned, or has something now, of the entries kept."""
        placed = {(int(p.audition), int(p.slot)): p for p in self.plan.placed}
        made = []
        for entry in self.kept:
            given = self._given(entry)
            for row in self._requirements(entry):
                now, then = given.get(row.pk, ()), placed.get((entry.pk, row.pk))
                if now or then:
                    made.append(self._place(entry, row, tuple(now), then))
        return made

    def _given(self, entry):
        """Return the assignments of an entry by requirement pk."""
        given = {}
        for each in entry.assignments.all():
            given.setdefault(each.requirement_id, []).append(each)
        return given

    def _place(self, entry, row, now, placed):
        keys, lacking = (placed.pieces, placed.lacking) if placed else ((), 0)
        return Place(entry, row, now, tuple(self.library[int(key)] for key in keys), lacking)

    def _requirements(self, entry):
        slots = self.slots(entry)
        rows = {row.pk: row for row in entry.requirement_set.requirements.all()}
        return [rows[pk] for pk in slots]


def _asking(slot):
    """Return a slot without what does not matter to whether a piece fits it."""
    return replace(slot, key="", name="", least=1, most=None, inside=None)
