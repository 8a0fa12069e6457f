"""The rows of one unit in the integer programme.

z: how many pieces of one Alike sit in one seat. A switch says of a slot or group whether it is
played; where that is no choice it is ON and no column. Pieces that may be used twice in a hearing
(`reuse`) are counted once by columns of their own, one for each scope that counts them; scopes
lie inside each other, so any such counts can be handed out (handing.py).
"""

from dataclasses import dataclass, field

from planner.repertoire.mip import Model
from planner.repertoire.model import Again, Binding
from planner.repertoire.signatures import APART, Unit, most

ON = -1
OFF_LIMIT = APART


@dataclass(frozen=True)
class Short:
    """By how much a unit falls short at the least, what comes first weighs most.

    unmet: pieces by which AT_LEAST asks for more than its scope can hold at all. missing: pieces.
    over: seconds by which limits of length are missed.
    """

    unmet: int = 0
    missing: int = 0
    over: int = 0


@dataclass
class Layout:
    """Where the columns of a unit are. z: by (seat, alike). distinct: by (seats, alike).
    switches: by (hearing, key of slot or group). played: the switch by seat. missing: by seat.
    unmet: by bond, or by (hearing, key of group). over: by bond.
    """

    z: dict[tuple[int, int], int] = field(default_factory=dict)
    distinct: dict[tuple[frozenset[int], int], int] = field(default_factory=dict)
    switches: dict[tuple[int, str], int] = field(default_factory=dict)
    played: dict[int, int] = field(default_factory=dict)
    missing: dict[int, int] = field(default_factory=dict)
    unmet: dict[int, int] = field(default_factory=dict)
    over: dict[int, int] = field(default_factory=dict)


def add(model: Model, unit: Unit, chosen: dict[int, int], short: Short | None, root: int) -> Layout:
    """Add the rows of `unit` to `model` and return where its columns are.

    chosen: the column of each piece. short: how much may be lacking; None for as much as it
    takes. root: the switch of the whole unit, ON or a column.
    """
    rows = _Rows(model, unit, chosen, short, root)
    rows.elastic()
    rows.tree()
    rows.seats()
    for a in range(len(unit.alikes)):
        rows.budget(a)
    for number, bond in enumerate(unit.bonds):
        rows.bond(number, bond)
    rows.limits()
    return rows.layout


class _Rows:
    def __init__(self, model, unit, chosen, short, root):
        self.model, self.unit, self.chosen, self.short, self.root = model, unit, chosen, short, root
        self.layout = Layout()

    # ---- what may be lacking

    def elastic(self) -> None:
        """Add the columns for what may be lacking."""
        layout, model, unit, short = self.layout, self.model, self.unit, self.short
        if short is None or short.missing:
            for i, seat in enumerate(unit.seats):
                layout.missing[i] = model.column(most(seat.slot))
        for number, bond in enumerate(unit.bonds):
            least = bond.together.least or 0
            if bond.together.binding is Binding.LENGTH and (short is None or short.over):
                layout.over[number] = model.column(max(self._longest(number), least))
            elif least > bond.room and (short is None or short.unmet):
                layout.unmet[number] = model.column(least)

    def limits(self) -> None:
        """Add the rows that keep to what may be lacking."""
        layout, short = self.layout, self.short
        if short is None:
            return
        for columns, number in (
            (layout.missing, short.missing),
            (layout.unmet, short.unmet),
            (layout.over, short.over),
        ):
            if columns:
                self.model.row([(column, 1) for column in columns.values()], most=number)

    def _longest(self, number: int) -> int:
        longest = max((alike.traits[number] or 0 for alike in self.unit.alikes), default=0)
        return self.unit.bonds[number].room * longest

    # ---- the tree

    def tree(self) -> None:
        """Add the switches and the rows of the groups."""
        for h, hearing in enumerate(self.unit.hearings):
            children = {}
            for node in (*hearing.groups, *hearing.slots):
                children.setdefault(node.inside, []).append(node.key)
            for key in children.get(None, ()):
                self.layout.switches[h, key] = self.root
            groups = {group.key: group for group in hearing.groups}
            ahead = list(children.get(None, ()))
            while ahead:
                key = ahead.pop()
                if key in groups:
                    self._group(h, groups[key], children.get(key, ()))
                    ahead.extend(children.get(key, ()))

    def _group(self, h, group, children) -> None:
        own = self.layout.switches[h, group.key]
        if group.least is None or (group.least == len(children)):
            for child in children:
                self.layout.switches[h, child] = own
            return
        columns = [self.model.column(1) for _ in children]
        for child, column in zip(children, columns, strict=True):
            self.layout.switches[h, child] = column
        upper = group.least if group.most is None else group.most
        terms = [(column, 1) for column in columns]
        vain = group.least - len(children)
        if vain > 0 and (self.short is None or self.short.unmet):
            self.layout.unmet[h, group.key] = self.model.column(vain)
            terms.append((self.layout.unmet[h, group.key], 1))
        self._between(terms, group.least, upper, own)

    def _between(self, terms, least, upper, switch) -> None:
        # least * switch <= terms <= upper * switch
        model = self.model
        if switch == ON:
            model.row(terms, least or None, upper)
        elif least == upper:
            model.row([*terms, (switch, -least)], 0, 0)
        else:
            if least:
                model.row([*terms, (switch, -least)], least=0)
            model.row([*terms, (switch, -upper)], most=0)

    # ---- slots and pieces

    def seats(self) -> None:
        """Add the columns z and the rows that fill the slots."""
        by_seat = {i: [] for i in range(len(self.unit.seats))}
        for a, alike in enumerate(self.unit.alikes):
            for i in alike.seats:
                upper = min(most(self.unit.seats[i].slot), len(alike.pieces))
                column = self.layout.z[i, a] = self.model.column(upper)
                by_seat[i].append((column, 1))
        for i, seat in enumerate(self.unit.seats):
            terms = by_seat[i]
            if i in self.layout.missing:
                terms.append((self.layout.missing[i], 1))
            switch = self.layout.switches[seat.hearing, seat.slot.key]
            self.layout.played[i] = switch
            self._between(terms, seat.slot.least, most(seat.slot), switch)

    def budget(self, a: int) -> None:
        """Add the rows that keep to the pieces that are prepared."""
        alike = self.unit.alikes[a]
        pool = [(self.chosen[p], -1) for p in alike.pieces if p in self.chosen]
        used = []
        for h, hearing in enumerate(self.unit.hearings):
            at = frozenset(i for i in alike.seats if self.unit.seats[i].hearing == h)
            if hearing.reuse:
                self._count_scopes(h, at, a)
            used.append(self._tops(h, at, a))
        if self.unit.again is Again.MUST:
            first, second = ([term for top in tops for term in top] for tops in used)
            self.model.row([*first, *((column, -one) for column, one in second)], most=0)
            used = used[1:]
        if self.unit.again is Again.MUST_NOT:
            used = [[[term for tops in used for top in tops for term in top]]]
        for tops in used:
            for terms in tops:
                if terms:
                    self.model.row([*terms, *pool], most=0)

    def _count_scopes(self, h: int, at: frozenset[int], a: int) -> None:
        scopes = {frozenset(bond.seats) & at for bond in self.unit.bonds if bond.hearing == h}
        if self.unit.again is not Again.MAY:
            scopes.add(at)
        for scope in sorted(scopes, key=lambda scope: (len(scope), sorted(scope))):
            if len(scope) > 1:
                self._count(scope, a)

    def _count(self, scope: frozenset[int], a: int) -> None:
        # max(parts) <= count <= sum(parts): any such number can be handed out.
        inner = [self._column(part, a) for part in parts(self.layout, scope, a)]
        room = sum(most(self.unit.seats[i].slot) for i in scope)
        count = self.model.column(min(room, len(self.unit.alikes[a].pieces)))
        for part in inner:
            self.model.row([(part, 1), (count, -1)], most=0)
        self.model.row([(count, 1), *((part, -1) for part in inner)], most=0)
        self.layout.distinct[scope, a] = count

    def _tops(self, h: int, at: frozenset[int], a: int) -> list[list[tuple[int, int]]]:
        if not self.unit.hearings[h].reuse:
            return [[(self.layout.z[i, a], 1) for i in sorted(at)]]
        return [[(self._column(part, a), 1)] for part in parts(self.layout, at, a)]

    def _column(self, scope: frozenset[int], a: int) -> int:
        if (scope, a) in self.layout.distinct:
            return self.layout.distinct[scope, a]
        (i,) = scope
        return self.layout.z[i, a]

    def _pieces(self, bond, a: int) -> list[int]:
        """Columns that add up to the pieces of an Alike in the scope, each piece once."""
        scope = frozenset(bond.seats) & frozenset(self.unit.alikes[a].seats)
        if (scope, a) in self.layout.distinct:
            return [self.layout.distinct[scope, a]]
        return [self.layout.z[i, a] for i in sorted(scope)]

    # ---- constraints

    def bond(self, number: int, bond) -> None:
        """Add the rows of one constraint."""
        if bond.together.binding in OFF_LIMIT:
            self._apart(number, bond)
        else:
            self._amount(number, bond)

    def _apart(self, number: int, bond) -> None:
        # No piece twice, and each word once.
        words = {}
        for a, alike in enumerate(self.unit.alikes):
            places = [self.layout.z[i, a] for i in alike.seats if i in bond.seats]
            if not places:
                continue
            counted = self._pieces(bond, a)
            if counted != places:
                self.model.row(
                    [(counted[0], 1), *((column, -1) for column in places)], least=0, most=0
                )
            for word in alike.traits[number]:
                words.setdefault(word, []).extend(places)
        for word in sorted(words):
            self.model.row([(column, 1) for column in words[word]], most=1)

    def _amount(self, number: int, bond) -> None:
        together, length = bond.together, bond.together.binding is Binding.LENGTH
        terms = [
            (column, int(alike.traits[number]))
            for a, alike in enumerate(self.unit.alikes)
            if alike.traits[number]
            for column in self._pieces(bond, a)
        ]
        missing = [self.layout.missing[i] for i in bond.seats if i in self.layout.missing]
        over = [by[number] for by in (self.layout.over, self.layout.unmet) if number in by]
        if together.least:
            worth = together.least if length else 1
            eased = [*((m, worth) for m in missing), *((column, 1) for column in over)]
            switch = self._switch(bond)
            if switch == ON:
                self.model.row([*terms, *eased], least=together.least)
            else:
                self.model.row([*terms, *eased, (switch, -together.least)], least=0)
        if together.most is not None:
            self.model.row([*terms, *((column, -1) for column in over)], most=together.most)

    def _switch(self, bond) -> int:
        scope = bond.together.scope
        return self.root if scope is None else self.layout.switches[bond.hearing, scope]


def parts(layout: Layout, scope: frozenset[int], a: int, inside: bool = False) -> list:
    """Return `scope` in parts: the largest sets of seats counted for Alike `a`, then single seats.

    inside: only sets smaller than `scope` itself.
    """
    found, left = [], set(scope)
    counted = [seats for seats, other in layout.distinct if other == a]
    for seats in sorted(counted, key=lambda seats: (-len(seats), sorted(seats))):
        if seats <= left and not (inside and seats == scope):
            found.append(seats)
            left -= seats
    return [*found, *(frozenset({i}) for i in sorted(left))]
