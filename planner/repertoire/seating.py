"""Whether given pieces fill the slots of one unit: an exact search, cut off after so many steps.

It needs no solver, so it answers in a fraction of a millisecond what is asked thousands of times
(greedy.py) and what is nearly always easy.
"""

from collections import Counter
from collections.abc import Collection, Iterable, Iterator
from itertools import combinations, islice, product

from planner.repertoire.model import Again, Binding, Group, Hearing, Slot
from planner.repertoire.rows import OFF_LIMIT
from planner.repertoire.signatures import Unit, most

STEPS = 4000

Played = frozenset[tuple[int, str]]


class Undecided(Exception):
    """The search was cut off before it came to an end."""


class Seating:
    """One unit, made ready to be filled again and again."""

    def __init__(self, unit: Unit):
        self.unit = unit
        self.usable = frozenset(p for alike in unit.alikes for p in alike.pieces)
        self._alike = {p: a for a, alike in enumerate(unit.alikes) for p in alike.pieces}
        self._bonds = [
            [(n, bond) for n, bond in enumerate(unit.bonds) if i in bond.seats]
            for i in range(len(unit.seats))
        ]
        self._rank = {p: (_length(unit, a), p) for p, a in self._alike.items()}

    def fill(
        self, pieces: Collection[int], lacking: int = 0, using: int | None = None
    ) -> dict[int, tuple[int, ...]] | None:
        """Return the pieces (indices) by seat that is played, None if `pieces` do not do.

        lacking: how many may be missing. using: a piece that must be among them. Raises
        Undecided after STEPS steps.
        """
        search = _Search(self, self.usable & frozenset(pieces), using)
        return search.run(lacking)

    def alike(self, p: int) -> int:
        """Return which Alike of the unit piece `p` belongs to."""
        return self._alike[p]

    def rank(self, p: int) -> tuple[int, int]:
        """Return what the pieces are tried in the order of: first those easiest on the limits."""
        return self._rank[p]

    def bonds(self, i: int) -> list:
        """Return (number, bond) of the constraints above seat `i`."""
        return self._bonds[i]


def _length(unit: Unit, a: int) -> int:
    found = 0
    for bond, trait in zip(unit.bonds, unit.alikes[a].traits, strict=True):
        if bond.together.binding is Binding.LENGTH and trait:
            found += -trait if bond.together.most is None else trait
    return found


FIRST = (-(10**9), -1)  # ranks before every piece


class _Search:
    def __init__(self, seating: Seating, pieces: frozenset[int], using: int | None):
        self.seating, self.unit, self.using = seating, seating.unit, using
        self.takes = [sorted(seat.usable & pieces, key=seating.rank) for seat in self.unit.seats]
        self.steps = STEPS
        self.seats: dict[int, list[int]] = {}
        self.missing: Counter[int] = Counter()
        self.used = [Counter() for _ in self.unit.hearings]
        self.seen = [Counter() for _ in self.unit.bonds]
        self.words = [set() for _ in self.unit.bonds]
        self.amounts = [0] * len(self.unit.bonds)
        self.ahead: list[int] = []
        self.played: Played = frozenset()

    def run(self, lacking: int) -> dict[int, tuple[int, ...]] | None:
        for played in playings(self.unit):
            self._step()
            self.played = played
            seats = enumerate(self.unit.seats)
            order = [i for i, seat in seats if (seat.hearing, seat.slot.key) in self.played]
            short = sum(max(0, self.unit.seats[i].slot.least - len(self.takes[i])) for i in order)
            if short <= lacking and self._begin(order, lacking):
                return {i: tuple(sorted(self.seats[i])) for i in order}
        return None

    def _begin(self, order: list[int], lacking: int) -> bool:
        self.ahead = self._ordered(order)
        self.seats = {i: [] for i in order}
        if self.using is None:
            return self._next(0, FIRST, lacking)
        for i in order:
            if self.using in self.takes[i] and self._sit(self.using, i):
                if self._next(0, FIRST, lacking):
                    return True
                self._rise(self.using, i)
        return False

    def _ordered(self, order: list[int]) -> list[int]:
        # Those that bar each other stand together, so that a clash is found at once.
        ahead, left = [], set(order)
        while left:
            near = {
                i
                for one in ahead
                for _, bond in self.seating.bonds(one)
                if bond.together.binding in OFF_LIMIT
                for i in bond.seats
            }
            i = min(left, key=lambda i: (i not in near, len(self.takes[i]), i))
            ahead.append(i)
            left.remove(i)
        return ahead

    def _step(self):
        self.steps -= 1
        if self.steps < 0:
            raise Undecided

    # ---- one seat after another

    def _next(self, at: int, last: tuple[int, int], lacking: int) -> bool:
        """Fill the seats from `at` on; `last` is the rank of the piece last taken here."""
        self._step()
        if at == len(self.ahead):
            return self._whole()
        i = self.ahead[at]
        slot = self.unit.seats[i].slot
        open_ = slot.least - len(self.seats[i])
        if open_ <= 0 and self._next(at + 1, FIRST, lacking):
            return True
        if len(self.seats[i]) < most(slot):
            for p in self._candidates(i, last):
                if self._sit(p, i):
                    if self._next(at, self.seating.rank(p), lacking):
                        return True
                    self._rise(p, i)
        if 0 < open_ <= lacking:
            self.missing[i] = open_
            if self._next(at + 1, FIRST, lacking - open_):
                return True
            self.missing[i] = 0
        return False

    def _candidates(self, i: int, last: tuple[int, int]) -> Iterator[int]:
        # Of pieces that are alike and not yet used anywhere, the first stands for all.
        fresh = set()
        for p in self.takes[i]:
            if not any(used[p] for used in self.used):
                alike = self.seating.alike(p)
                if alike in fresh:
                    continue
                fresh.add(alike)
            if self.seating.rank(p) > last:
                yield p

    def _sit(self, p: int, i: int) -> bool:
        """Seat `p`, if it may sit there."""
        h = self.unit.seats[i].hearing
        if p in self.seats[i] or (self.used[h][p] and not self.unit.hearings[h].reuse):
            return False
        if self.unit.again is Again.MUST_NOT and any(
            used[p] for other, used in enumerate(self.used) if other != h
        ):
            return False
        traits = self.unit.alikes[self.seating.alike(p)].traits
        if not all(self._bears(n, bond, p, traits[n]) for n, bond in self.seating.bonds(i)):
            return False
        self.seats[i].append(p)
        self.used[h][p] += 1
        for n, bond in self.seating.bonds(i):
            self._count(n, bond, p, traits[n], 1)
        return True

    def _bears(self, n: int, bond, p: int, trait) -> bool:
        if bond.together.binding in OFF_LIMIT:
            return not self.seen[n][p] and not self.words[n] & trait
        upper = bond.together.most
        return upper is None or self.seen[n][p] or self.amounts[n] + int(trait) <= upper

    def _rise(self, p: int, i: int) -> None:
        traits = self.unit.alikes[self.seating.alike(p)].traits
        self.seats[i].remove(p)
        self.used[self.unit.seats[i].hearing][p] -= 1
        for n, bond in self.seating.bonds(i):
            self._count(n, bond, p, traits[n], -1)

    def _count(self, n: int, bond, p: int, trait, one: int) -> None:
        if one < 0:
            self.seen[n][p] -= 1
        if bond.together.binding in OFF_LIMIT:
            self.words[n] = self.words[n] | trait if one > 0 else self.words[n] - trait
        elif not self.seen[n][p]:
            self.amounts[n] += one * int(trait)
        if one > 0:
            self.seen[n][p] += 1

    # ---- what can only be seen at the end

    def _whole(self) -> bool:
        if self.unit.again is Again.MUST:
            first, second = self.used
            if any(number and not second[p] for p, number in first.items()):
                return False
        return all(
            self._enough(n, bond)
            for n, bond in enumerate(self.unit.bonds)
            if bond.together.least and (bond.hearing, bond.together.scope or "") in self.played
        )

    def _enough(self, n: int, bond) -> bool:
        missing = sum(self.missing[i] for i in bond.seats)
        if bond.together.binding is Binding.LENGTH:
            return missing > 0 or self.amounts[n] >= bond.together.least
        return self.amounts[n] + missing >= bond.together.least


# ---- the tree


def playings(unit: Unit) -> Iterator[Played]:
    """Yield the ways to play the trees of `unit`: (hearing, key) of what is played.

    The key of a whole hearing is "". All of them, or more than STEPS.
    """
    ways = [_hearing(h, hearing) for h, hearing in enumerate(unit.hearings)]
    yield from _each(ways)


def _each(ways: Iterable[Iterable[Played]]) -> Iterator[Played]:
    some = (frozenset().union(*parts) for parts in product(*ways))
    return islice(some, STEPS + 1)


def _hearing(h: int, hearing: Hearing) -> Iterator[Played]:
    children: dict[str | None, list] = {}
    for node in (*hearing.groups, *hearing.slots):
        children.setdefault(node.inside, []).append(node)
    whole = frozenset({(h, "")})
    return _each([[whole], *(_node(h, node, children) for node in children.get(None, ()))])


def _node(h: int, node: Slot | Group, children: dict) -> Iterator[Played]:
    own = [frozenset({(h, node.key)})]
    if isinstance(node, Slot):
        return iter(own)
    below = children.get(node.key, ())
    least = len(below) if node.least is None else node.least
    upper = least if node.least is None or node.most is None else node.most
    ways = (
        way
        for number in range(least, min(upper, len(below)) + 1)
        for some in combinations(below, number)
        for way in _each([own, *(_node(h, child, children) for child in some)])
    )
    return islice(ways, STEPS + 1)
