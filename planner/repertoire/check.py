"""Whether a plan is what the problem asks, read row by row from the problem itself.

Nothing here knows of the model that made the plan: only the tree, the counts, the constraints and
the pieces as the problem has them. A plan is believed after this, and not before.
"""

from collections import Counter
from collections.abc import Collection, Mapping
from dataclasses import dataclass

from planner.repertoire.fitting import fit
from planner.repertoire.model import (
    Again,
    Audition,
    Binding,
    Group,
    Hearing,
    Piece,
    Placed,
    Problem,
    Slot,
    Together,
)
from planner.repertoire.signatures import trait

Places = Mapping[str, Placed]


@dataclass(frozen=True, order=True)
class Missed:
    """What a plan misses: pieces that AT_LEAST asks for, and seconds."""

    unmet: int = 0
    over: int = 0

    def __add__(self, other: "Missed") -> "Missed":
        return Missed(self.unmet + other.unmet, self.over + other.over)


NOTHING = Missed()


class Unsound(AssertionError):
    """A plan breaks the problem. The message says where."""


def check(
    problem: Problem,
    kept: Collection[str],
    placed: Collection[Placed],
    pieces: Collection[str],
    over: int = 0,
    unmet: int = 0,
) -> int:
    """Return the minutes of the plan that prepares `pieces` and plays `placed`.

    kept: keys of the auditions that it covers. over: seconds by which it may miss limits of
    length, unmet: pieces by which it may miss what is asked for in vain (see Cover), both in all.
    Raises Unsound if it breaks the problem.
    """
    library = {piece.key: piece for piece in problem.pieces}
    _prepared(problem, library, placed, pieces)
    by_hearing: dict[tuple[str, str], dict[str, Placed]] = {}
    for place in placed:
        here = by_hearing.setdefault((place.audition, place.hearing), {})
        _claim(place.slot not in here, f"{_where(place)} is played twice")
        here[place.slot] = place
    missed = NOTHING
    for audition in problem.auditions:
        if audition.key in kept:
            played = [by_hearing.pop((audition.key, h.key), {}) for h in audition.hearings]
            missed += _audition(audition, played, library, unmet)
    _claim(not by_hearing, f"{sorted(by_hearing)} are not among the hearings to cover")
    _claim(missed.unmet <= unmet, f"{missed.unmet} pieces are asked for in vain, not {unmet}")
    _claim(missed.over <= over, f"limits of length are missed by {missed.over} seconds")
    return sum(library[key].prep for key in pieces)


def _claim(true: bool, otherwise: str) -> None:
    if not true:
        raise Unsound(otherwise)


def _where(place: Placed) -> str:
    return f"audition {place.audition}, hearing {place.hearing}, slot {place.slot}"


def _prepared(problem, library, placed, pieces) -> None:
    prepared = set(pieces)
    _claim(len(prepared) == len(pieces), "a piece is prepared twice")
    _claim(prepared <= library.keys(), "a piece is not in the library")
    _claim(not prepared & set(problem.banned), "a banned piece is prepared")
    used = {key for place in placed for key in place.pieces}
    _claim(used <= prepared, f"{sorted(used - prepared)} are played but not prepared")
    idle = prepared - used - set(problem.pinned)
    _claim(not idle, f"{sorted(idle)} are prepared but neither played nor pinned")
    _claim(set(problem.pinned) <= prepared, "a pinned piece is not prepared")


def _audition(
    audition: Audition, played: list[Places], library: Mapping[str, Piece], unmet: int
) -> Missed:
    """Check the hearings of one audition; return what it misses."""
    missed = NOTHING
    for hearing, places in zip(audition.hearings, played, strict=True):
        missed += _Hearing(audition, hearing, places, library, unmet).check()
    used = [{key for place in places.values() for key in place.pieces} for places in played]
    if audition.again is Again.MUST and len(used) > 1:
        _claim(used[0] <= used[1], f"{audition.key}: {sorted(used[0] - used[1])} not played again")
    if audition.again is Again.MUST_NOT:
        times = Counter(key for keys in used for key in keys)
        twice = sorted(key for key, number in times.items() if number > 1)
        _claim(not twice, f"audition {audition.key}: {twice} are played in two hearings")
    return missed


class _Hearing:
    """One hearing of a plan."""

    def __init__(self, audition, hearing: Hearing, places: Places, library, unmet: int):
        self.name = f"audition {audition.key}, hearing {hearing.key}"
        self.hearing, self.places, self.library = hearing, places, library
        self.lenient = unmet > 0
        self.children: dict[str | None, list[Slot | Group]] = {}
        for node in (*hearing.groups, *hearing.slots):
            self.children.setdefault(node.inside, []).append(node)

    def check(self) -> Missed:
        """Check all of it; return what it misses."""
        unknown = self.places.keys() - {slot.key for slot in self.hearing.slots}
        _claim(not unknown, f"{self.name} has no slots {sorted(unknown)}")
        for slot in self.hearing.slots:
            if slot.key in self.places:
                self._slot(slot, self.places[slot.key])
        if not self.hearing.reuse:
            times = Counter(key for place in self.places.values() for key in place.pieces)
            twice = sorted(key for key, number in times.items() if number > 1)
            _claim(not twice, f"{self.name}: {twice} fill two slots")
        missed = self._bound(None)
        for node in self.children.get(None, ()):
            cost = self._cost(node)
            _claim(cost is not None, f"{self.name}: {node.key} is not played as it asks")
            missed += cost
        return missed

    def _slot(self, slot: Slot, place: Placed) -> None:
        number = len(place.pieces)
        most = slot.least if slot.most is None else slot.most
        _claim(len(set(place.pieces)) == number, f"{_where(place)}: a piece is there twice")
        _claim(place.lacking >= 0, f"{_where(place)}: less than nothing is lacking")
        full = slot.least <= number + place.lacking <= most
        _claim(full, f"{_where(place)}: {number} pieces and {place.lacking} lacking")
        for key in place.pieces:
            right = fit(self.library[key], slot).verdict is True
            _claim(right, f"{_where(place)}: {key} does not fit")

    # ---- the tree

    def _slots(self, scope: str | None) -> list[str]:
        if scope in {slot.key for slot in self.hearing.slots}:
            return [scope]
        return [key for node in self.children.get(scope, ()) for key in self._slots(node.key)]

    def _idle(self, node: Slot | Group) -> bool:
        return not any(key in self.places for key in self._slots(node.key))

    def _cost(self, node: Slot | Group) -> Missed | None:
        """Return what is missed if `node` counts as played; None if it cannot.

        A group of which nothing sounds may count either way.
        """
        if isinstance(node, Slot):
            return self._bound(node.key) if node.key in self.places else None
        sure, spare = [], []
        for child in self.children.get(node.key, ()):
            (spare if self._idle(child) else sure).append(self._cost(child))
        own = self._bound(node.key)
        if own is None or None in sure:
            return None
        spare = sorted(cost for cost in spare if cost is not None)
        least, most, vain = self._numbers(node)
        needed = max(0, least - len(sure))
        if len(sure) > most or needed > len(spare) or (vain and not self.lenient):
            return None
        return sum((*sure, *spare[:needed]), start=own + Missed(vain, 0))

    def _numbers(self, group: Group) -> tuple[int, int, int]:
        """Return how many of its children are played, least and most, and asked for in vain."""
        children = len(self.children.get(group.key, ()))
        if group.least is None:
            return children, children, 0
        most = group.least if group.most is None else group.most
        return min(group.least, children), most, max(0, group.least - children)

    # ---- constraints

    def _bound(self, scope: str | None) -> Missed | None:
        """Return what is missed if `scope` is played; None if nothing of it is and it cannot."""
        missed = NOTHING
        for together in self.hearing.together:
            if together.scope == scope:
                found = self._missed(together)
                if found is None:
                    return None
                missed += found
        return missed

    def _missed(self, together: Together) -> Missed | None:
        places = [self.places[key] for key in self._slots(together.scope) if key in self.places]
        seats = [self.library[key] for place in places for key in place.pieces]
        where = f"{self.name}, {together.name}"
        seen = [trait(together, piece) for piece in seats]
        _claim(None not in seen, f"{where}: a piece of which the fact is not known")
        if together.binding in (Binding.COMPOSERS, Binding.WORKS, Binding.CONTRASTING):
            keys = [piece.key for piece in seats]
            _claim(len(set(keys)) == len(keys), f"{where}: a piece fills two slots")
            words = Counter(word for words in seen for word in words)
            twice = sorted(word for word, times in words.items() if times > 1)
            _claim(not twice, f"{where}: {twice} twice")
            return NOTHING
        # A piece that fills two slots is one piece.
        amounts = {piece.key: int(amount) for piece, amount in zip(seats, seen, strict=True)}
        lacking = sum(place.lacking for place in places)
        return self._range(together, sum(amounts.values()), lacking, bool(places), where)

    def _range(self, together, amount, lacking, played, where) -> Missed | None:
        least, most = together.least or 0, together.most
        above = 0 if most is None else max(0, amount - most)
        if together.binding is Binding.LENGTH:
            # A piece that is missing may be as long as need be.
            return Missed(0, above + (0 if lacking else max(0, least - amount)))
        below = max(0, least - amount - lacking)
        if below and not self.lenient:
            _claim(not played, f"{where}: {amount} pieces, asked for {least}")
            return None
        _claim(not above, f"{where}: {amount} pieces, at most {most}")
        return Missed(below, 0)
