"""Why an audition cannot be covered, the cheapest way out, and which facts are missing."""

from collections.abc import Collection, Iterator
from dataclasses import replace

from planner.readiness.words import number
from planner.repertoire.case import Case
from planner.repertoire.conflict import Demand, Tangle, can_be_filled, chosen
from planner.repertoire.cover import cover, shortfalls
from planner.repertoire.fitting import fit, reason
from planner.repertoire.model import (
    Again,
    Audition,
    Binding,
    Candidate,
    Group,
    Hearing,
    Impossible,
    Lack,
    Piece,
    Placed,
    Slot,
    Together,
    Unknown,
    WayOut,
)
from planner.repertoire.phrases import bound
from planner.repertoire.rules import obeys
from planner.repertoire.signatures import Unit, below, room, trait, unit
from planner.repertoire.words import asks, why_not

NEAREST = 5
MANY = 5  # slots in one sentence
SECONDS = 10.0

_FACTS = {Binding.LENGTH: "length", Binding.CONTRASTING: "character"}
_FLOORS = (Binding.LENGTH, Binding.AT_LEAST)
_AGAIN = {
    Again.MUST: "the pieces of {} again in {}",
    Again.MUST_NOT: "no piece in two of {}",
}


def impossible(case: Case, audition: str) -> Impossible | None:
    """Return why the audition (its key) cannot be covered, None if it can be.

    Of several hearings that cannot be played the first.
    """
    return next(_impossible(case, case.auditions[audition], None), None)


def every_impossible(
    case: Case, placed: Collection[Placed] | None = None
) -> tuple[Impossible, ...]:
    """Return why each hearing cannot be played of the auditions kept that cannot be covered.

    placed: of the plan, so that the ways out are at the slots where it is short of pieces.
    """
    return tuple(
        one
        for audition in case.problem.auditions
        if audition.kept
        for one in _impossible(case, audition, placed)
    )


def _impossible(
    case: Case, audition: Audition, placed: Collection[Placed] | None
) -> Iterator[Impossible]:
    alone = frozenset({audition.key})
    short = shortfalls(case, alone, seconds=SECONDS)
    if short and placed is None:
        placed = cover(case, alone, seconds=SECONDS, hours_only=True).placed
    for whole, by in short.items():
        parts = _parts(case, whole)
        told = {hearing.key for part in parts for hearing in part.hearings}
        rest = tuple(hearing for hearing in whole.hearings if hearing.key not in told)
        yield _Why(case, audition, parts[0]).said(placed, by.over, rest)
        for part in parts[1:]:
            yield _Why(case, audition, part).said(placed)


def _parts(case: Case, whole: Unit) -> list[Unit]:
    """Return the hearings that cannot even be played by themselves, else the unit as a whole."""
    if len(whole.hearings) == 1:
        return [whole]
    apart = (_unit(case, whole.audition, Again.MAY, (hearing,)) for hearing in whole.hearings)
    return [one for one in apart if not can_be_filled(one)] or [whole]


def _unit(case: Case, audition: str, again: Again, hearings: tuple[Hearing, ...]) -> Unit:
    return unit(audition, again, hearings, case.pieces, _fitting(case, audition))


def _fitting(case: Case, audition: str) -> dict[tuple[str, str], frozenset[int]]:
    return {where[1:]: found for where, found in case.fitting.items() if where[0] == audition}


class _Why:
    """Why one unit, which cannot be filled, cannot be."""

    def __init__(self, case: Case, audition: Audition, one: Unit):
        self.case, self.audition, self.unit = case, audition, one
        self.fitting = _fitting(case, audition.key)

    def said(
        self, placed: Collection[Placed], over: int = 0, rest: tuple[Hearing, ...] = ()
    ) -> Impossible:
        """Return it. over: seconds by which limits of length are missed at the least.

        rest: hearings that are only short of pieces because they hang together with this one.
        """
        lacks = self._lacks()
        hearings = tuple(self._eased(hearing, lacks) for hearing in self.unit.hearings)
        eased = _unit(self.case, self.unit.audition, self.unit.again, hearings)
        conflict = Tangle(eased, self.case.pieces, self.fitting).conflict()
        first = self._first(lacks, conflict)
        where = self.audition.name
        if len(self.audition.hearings) > 1:
            where = f"{where}, {first.name},"
        beyond = any(map(self._beyond, conflict))
        return Impossible(
            audition=self.audition.key,
            hearing=first.key,
            lacks=tuple(lack for _, lack in lacks),
            conflict=tuple(map(self._name, conflict)),
            ways_out=self._ways_out(placed, conflict, rest),
            over=over,
            sentence=why_not(
                where, [lack for _, lack in lacks], self._told(conflict), over, beyond
            ),
        )

    def _lacks(self) -> list[tuple[Hearing, Lack]]:
        """Return the slots, asked for in any case, that fewer pieces fit than they take."""
        return [
            (hearing, Lack(slot.key, slot.name, fitting, slot.least))
            for hearing in self.unit.hearings
            for slot in hearing.slots
            if (fitting := len(self.fitting[hearing.key, slot.key])) < slot.least
            and _in_any_case(hearing, slot)
        ]

    @staticmethod
    def _eased(hearing: Hearing, lacks: list[tuple[Hearing, Lack]]) -> Hearing:
        """Return `hearing` asking no more of those slots, and of what they are in, than there is.

        A piece that is missing may be whatever is asked for.
        """
        here = {lack.slot: lack for other, lack in lacks if other is hearing}
        slots = (
            replace(slot, least=here[slot.key].fitting) if slot.key in here else slot
            for slot in hearing.slots
        )
        together = []
        for one in hearing.together:
            scope = below(hearing, one.scope)
            missing = sum(here[key].wanted - here[key].fitting for key in scope & here.keys())
            if missing and one.least:
                one = replace(one, least=_less(one, missing))
            if one.least or one.binding not in _FLOORS or one.most is not None:
                together.append(one)
        return replace(hearing, slots=tuple(slots), together=tuple(together))

    def _first(self, lacks, conflict: tuple[Demand, ...]) -> Hearing:
        if lacks:
            return lacks[0][0]
        return self.unit.hearings[min((demand.hearing for demand in conflict), default=0)]

    def _name(self, demand: Demand) -> str:
        hearings = self.unit.hearings
        if demand.thing is None:
            names = [hearing.name for hearing in hearings]
            return _AGAIN[self.unit.again].format(*_two(self.unit.again, names))
        name = demand.thing.name
        return f"{name} ({hearings[demand.hearing].name})" if len(hearings) > 1 else name

    def _told(self, conflict: tuple[Demand, ...]) -> list[str]:
        """Return the names of a conflict for a sentence: many slots are only counted."""
        slots = [demand for demand in conflict if isinstance(demand.thing, Slot)]
        if len(slots) < MANY:
            return list(map(self._name, conflict))
        others = [self._name(demand) for demand in conflict if demand not in slots]
        return [f"{number(len(slots))} of its slots", *others]

    def _beyond(self, demand: Demand) -> bool:
        """Whether there is no room for what is demanded."""
        hearing, thing = self.unit.hearings[demand.hearing], demand.thing
        if isinstance(thing, Group):
            return thing.least > sum(
                n.inside == thing.key for n in (*hearing.slots, *hearing.groups)
            )
        if isinstance(thing, Together) and thing.binding is Binding.AT_LEAST:
            return thing.least > room(hearing, thing.scope)
        return False

    # ---- the way out

    def _ways_out(self, placed: Collection[Placed], conflict, rest) -> tuple[WayOut, ...]:
        short = {(place.hearing, place.slot): place.lacking for place in placed
                 if place.audition == self.audition.key}  # fmt: skip
        bonds = [demand.thing for demand in conflict if isinstance(demand.thing, Together)]
        return tuple(
            WayOut(
                slot.key,
                slot.name,
                missing,
                asks(slot, [bound(b) for b in bonds if slot.key in below(hearing, b.scope)]),
                self._nearest(hearing, slot),
            )
            for hearing in (*self.unit.hearings, *rest)
            for slot in hearing.slots
            if (missing := short.get((hearing.key, slot.key), 0))
        )

    def _nearest(self, hearing: Hearing, slot: Slot) -> tuple[Candidate, ...]:
        found = []
        for piece in self.case.problem.pieces:
            against, missing = self._reasons(piece, hearing, slot)
            if against or missing:
                order = len(against), len(missing), piece.kind != slot.kind, piece.prep, piece.key
                found.append((order, Candidate(piece.key, not against, (*against, *missing))))
        return tuple(candidate for _, candidate in sorted(found, key=lambda one: one[0])[:NEAREST])

    def _reasons(self, piece: Piece, hearing: Hearing, slot: Slot) -> tuple[list, list]:
        """Return what speaks against `piece`, and which facts are missing.

        Nothing of a piece that fits, nor of one to which the teacher has said no.
        """
        fits = fit(piece, slot)
        if fits.verdict is False and not fits.against:
            return [], []
        against = list(fits.against)
        if piece.key in self.case.problem.banned:
            against.append("left out of the plan")
        missing = [*fits.unknown, *_untold(piece, hearing, slot)]
        return list(dict.fromkeys(against)), list(dict.fromkeys(missing))


def _less(together: Together, missing: int) -> int | None:
    if together.binding is Binding.LENGTH:
        return None
    return max(0, together.least - missing)


def _two(again: Again, names: list[str]) -> list[str]:
    return names[:2] if again is Again.MUST else [", ".join(names)]


def _in_any_case(hearing: Hearing, node: Slot | Group) -> bool:
    groups = {group.key: group for group in hearing.groups}
    while node.inside is not None:
        node = groups[node.inside]
        if chosen(hearing, node):
            return False
    return True


# ---- facts that are not recorded


def unknown(case: Case) -> tuple[Unknown, ...]:
    """Return the facts that are not recorded and might make a piece fit, of the auditions kept."""
    banned, found = set(case.problem.banned), {}
    for piece in case.problem.pieces:
        if piece.key in banned:
            continue
        for hearing, slot in _slots(case):
            fits = fit(piece, slot)
            if fits.verdict is not False:
                for said in (*fits.unknown, *_untold(piece, hearing, slot)):
                    found.setdefault((piece.key, _fact(said)), {})[slot.key] = None
    return tuple(Unknown(piece, fact, tuple(slots)) for (piece, fact), slots in found.items())


def _slots(case: Case) -> list[tuple[Hearing, Slot]]:
    return [
        (hearing, slot)
        for audition in case.problem.auditions
        if audition.kept
        for hearing in audition.hearings
        for slot in hearing.slots
    ]


def _fact(said: str) -> str:
    bare = said.removesuffix(" is not recorded").removeprefix("its ")
    return bare.removeprefix("whether it has a ")


def _untold(piece: Piece, hearing: Hearing, slot: Slot) -> list[str]:
    """Return why constraints on pieces together cannot tell what to make of `piece`."""
    said = []
    for together in hearing.together:
        if trait(together, piece) is None and slot.key in below(hearing, together.scope):
            said += _missing(together, piece)
    return list(dict.fromkeys(said))


def _missing(together: Together, piece: Piece) -> list[str]:
    if together.binding in (Binding.AT_LEAST, Binding.AT_MOST):
        return [reason(piece, rule) for rule in together.rules if obeys(piece, rule) is None]
    fact = _FACTS.get(together.binding) or ("title" if piece.composer else "composer")
    return [f"its {fact} is not recorded"]
