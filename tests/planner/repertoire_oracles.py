"""Two other ways to the least music, written from the definitions in `planner.repertoire.model`.

`Brute` tries every set of pieces. `PerPiece` is an integer programme with a variable for every
piece in every slot, for general solvers. Neither shares code with the engine: rules are judged
here too, as far as repertoire_cases.py makes any.
"""

from collections import Counter
from itertools import combinations, product

from planner.repertoire.model import Again, Binding, Slot
from planner.repertoire.rules import About

CLASHES = (Binding.COMPOSERS, Binding.WORKS, Binding.CONTRASTING)


# ---- what a piece is


def obeys(piece, rule):
    """Whether `piece` obeys `rule`; None if that is not known."""
    kept = _kept(piece, rule)
    return kept if kept is None or not rule.barred else not kept


def _kept(piece, rule):
    if rule.about is About.PIECE:
        return piece.key in rule.words
    if rule.about in (About.YEARS, About.MINUTES):
        number = piece.year if rule.about is About.YEARS else piece.seconds
        if number is None:
            return None
        return (rule.least is None or number >= rule.least) and (
            rule.most is None or number <= rule.most
        )
    have = (piece.composer,) if rule.about is About.COMPOSER else piece.character
    have = {word.lower() for word in have if word}
    return any(word.lower() in have for word in rule.words) if have else None


def fits(piece, slot):
    """Whether it is known that `piece` fits `slot`."""
    if slot.judged and piece.key in slot.judged:
        return slot.judged[piece.key]
    if slot.kind and slot.kind != piece.kind:
        return False
    if slot.instrument and piece.instrument not in ("", slot.instrument):
        return False
    return all(obeys(piece, rule) for rule in slot.rules)


def seen(piece, together):
    """What a constraint sees in a piece: words, seconds or whether it counts; None: not known."""
    if together.binding is Binding.LENGTH:
        return piece.seconds
    if together.binding is Binding.COMPOSERS:
        return {piece.composer.lower()} if piece.composer else None
    if together.binding is Binding.WORKS:
        names = piece.composer.lower(), piece.work.lower()
        return {names} if all(names) else None
    if together.binding is Binding.CONTRASTING:
        return set(piece.character) or None
    said = [obeys(piece, rule) for rule in together.rules]
    return False if False in said else None if None in said else True


# ---- the tree


def playings(hearing):
    """Return every way to play the tree, each as the set of slots and groups that are played."""
    return _all(hearing, None)


def _all(hearing, key):
    ways = [
        _ways(hearing, node) for node in (*hearing.slots, *hearing.groups) if node.inside == key
    ]
    return [frozenset().union(*parts) for parts in product(*ways)]


def _ways(hearing, node):
    if isinstance(node, Slot):
        return [frozenset({node.key})]
    below = [child for child in (*hearing.slots, *hearing.groups) if child.inside == node.key]
    least = len(below) if node.least is None else node.least
    most = least if node.least is None or node.most is None else node.most
    return [
        frozenset({node.key}).union(*parts)
        for number in range(least, min(most, len(below)) + 1)
        for some in combinations(below, number)
        for parts in product(*(_ways(hearing, child) for child in some))
    ]


def within(hearing, scope):
    """Return the keys of the slots of `hearing` in `scope`."""
    above = {node.key: node.inside for node in (*hearing.slots, *hearing.groups)}

    def inside(key):
        return key == scope or (key is not None and inside(above[key]))

    return {slot.key for slot in hearing.slots if inside(slot.key)}


def most_of(slot):
    return slot.least if slot.most is None else slot.most


class Brute:
    """Every set of pieces, tried. For problems of a few pieces.

    without: names of slots (keys) and constraints that are left out.
    """

    def __init__(self, problem):
        self.problem = problem
        self.pieces = [p for p in problem.pieces if p.key not in problem.banned]
        self.pins = self._mask(problem.pinned)
        self.minutes = [0] * (1 << len(self.pieces))
        for mask in range(1, len(self.minutes)):
            low = mask & -mask
            self.minutes[mask] = self.minutes[mask ^ low] + self.pieces[low.bit_length() - 1].prep
        self.needs = {a.key: self._needs(a) for a in problem.auditions}

    def _mask(self, keys):
        return sum(1 << n for n, piece in enumerate(self.pieces) if piece.key in keys)

    def _needs(self, audition):
        """Return the sets of pieces with which the audition can be played."""
        found = [hearing_ways(hearing, self.pieces) for hearing in audition.hearings]
        sets = set()
        for used in product(*found):
            twice = Counter(n for pieces in used for n in pieces)
            if audition.again is Again.MUST and len(used) > 1 and not used[0] <= used[1]:
                continue
            if audition.again is Again.MUST_NOT and max(twice.values(), default=1) > 1:
                continue
            sets.add(sum(1 << n for n in twice))
        return {one for one in sets if not any(other & one == other != one for other in sets)}

    def possible(self, audition):
        """Whether the whole library can cover the audition (its key)."""
        return bool(self.needs[audition])

    def plans(self, kept=None):
        """Yield the masks of all sets of pieces, pins among them, that cover `kept`."""
        kept = [a.key for a in self.problem.auditions if a.kept] if kept is None else kept
        for mask in range(1 << len(self.pieces)):
            if mask & self.pins == self.pins and all(self._covers(mask, key) for key in kept):
                yield mask

    def _covers(self, mask, key):
        return any(need & mask == need for need in self.needs[key])

    def best(self, kept=None):
        """Return (minutes, pieces) of the best plan, None if there is none."""
        return min(
            ((self.minutes[mask], mask.bit_count()) for mask in self.plans(kept)), default=None
        )

    def likings(self, kept=None):
        """Return the most preferred pieces that a best plan has."""
        best, liked = self.best(kept), self._mask(self.problem.preferred)
        return max(
            (mask & liked).bit_count()
            for mask in self.plans(kept)
            if (self.minutes[mask], mask.bit_count()) == best
        )

    def frontier(self):
        """Return the (minutes, worth) that no other set of auditions beats."""
        worths = {a.key: a.worth for a in self.problem.auditions if a.kept}
        keys = [key for key in worths if self.possible(key)]
        points = {
            (self.best(some)[0], sum(worths[key] for key in some))
            for number in range(1, len(keys) + 1)
            for some in combinations(keys, number)
        }
        return sorted(
            point
            for point in points
            if not any(
                other != point and other[0] <= point[0] and other[1] >= point[1] for other in points
            )
        )


def hearing_ways(hearing, pieces):
    """Return the sets of pieces (indices) with which one hearing can be played."""
    found = set()
    for played in playings(hearing):
        slots = [slot for slot in hearing.slots if slot.key in played]
        choices = [_choices(slot, pieces) for slot in slots]
        for chosen in product(*choices):
            places = dict(zip((slot.key for slot in slots), chosen, strict=True))
            if _sound(hearing, played, places, pieces):
                found.add(frozenset(n for some in chosen for n in some))
    return found


def _choices(slot, pieces):
    fitting = [n for n, piece in enumerate(pieces) if fits(piece, slot)]
    return [
        some
        for number in range(slot.least, most_of(slot) + 1)
        for some in combinations(fitting, number)
    ]


def _sound(hearing, played, places, pieces):
    used = Counter(n for some in places.values() for n in some)
    if not hearing.reuse and max(used.values(), default=1) > 1:
        return False
    return all(
        _obeyed(together, hearing, places, pieces)
        for together in hearing.together
        if together.scope is None or together.scope in played
    )


def _obeyed(together, hearing, places, pieces):
    scope = within(hearing, together.scope)
    here = [n for key, some in places.items() if key in scope for n in some]
    facts = [seen(pieces[n], together) for n in here]
    if None in facts:
        return False
    if together.binding in CLASHES:
        words = Counter(word for words in facts for word in words)
        return max(words.values(), default=1) == 1
    amount = sum(dict(zip(here, facts, strict=True)).values())
    return (together.least is None or amount >= together.least) and (
        together.most is None or amount <= together.most
    )


# ---- an integer programme, a variable for every piece in every slot


class PerPiece:
    """The same problem for a general solver: minutes first, then the number of pieces."""

    def __init__(self, problem):
        self.problem = problem
        self.pieces = [p for p in problem.pieces if p.key not in problem.banned]
        self.columns, self.rows = 0, []
        self.y = [self._column() for _ in self.pieces]
        for n, piece in enumerate(self.pieces):
            if piece.key in problem.pinned:
                self._row({self.y[n]: 1}, 1, 1)
        self.weight = len(self.pieces) + 1
        self.cost = [piece.prep * self.weight + 1 for piece in self.pieces]
        for audition in problem.auditions:
            if audition.kept:
                self._audition(audition)

    def _column(self):
        self.columns += 1
        return self.columns - 1

    def _row(self, terms, least, most):
        self.rows.append((terms, least, most))

    def _audition(self, audition):
        uses = [self._hearing(hearing) for hearing in audition.hearings]
        for n in range(len(self.pieces)):
            if audition.again is Again.MUST and len(uses) > 1:
                self._row({uses[0][n]: 1, uses[1][n]: -1}, None, 0)
            if audition.again is Again.MUST_NOT:
                self._row({use[n]: 1 for use in uses}, None, 1)

    def _hearing(self, hearing):
        on = self._tree(hearing)
        x = {}
        for slot in hearing.slots:
            bound = [t for t in hearing.together if slot.key in within(hearing, t.scope)]
            for n, piece in enumerate(self.pieces):
                if fits(piece, slot) and None not in [seen(piece, t) for t in bound]:
                    x[slot.key, n] = self._column()
                    self._row({x[slot.key, n]: 1, self.y[n]: -1}, None, 0)
            here = {x[key, n]: 1 for key, n in x if key == slot.key}
            self._row(here | {on[slot.key]: -slot.least}, 0, None)
            self._row(here | {on[slot.key]: -most_of(slot)}, None, 0)
        used = self._used(x, {slot.key for slot in hearing.slots})
        for n in range(len(self.pieces)):
            if not hearing.reuse:
                self._row({x[at]: 1 for at in x if at[1] == n}, None, 1)
        for together in hearing.together:
            self._together(together, hearing, x, on)
        return used

    def _tree(self, hearing):
        on = {node.key: self._column() for node in (*hearing.slots, *hearing.groups)}
        on[None] = self._column()
        self._row({on[None]: 1}, 1, 1)
        groups = {group.key: group for group in hearing.groups}
        for key in (None, *groups):
            below = [n.key for n in (*hearing.slots, *hearing.groups) if n.inside == key]
            group = groups.get(key)
            everything = group is None or group.least is None
            least = len(below) if everything else group.least
            most = least if everything or group.most is None else group.most
            terms = {on[child]: 1 for child in below}
            self._row(terms | {on[key]: -least}, 0, None)
            self._row(terms | {on[key]: -most}, None, 0)
        return on

    def _used(self, x, scope):
        """Return by piece a column that is 1 exactly where the piece is played in the scope."""
        used = []
        for n in range(len(self.pieces)):
            column = self._column()
            here = [x[key, m] for key, m in x if m == n and key in scope]
            for other in here:
                self._row({other: 1, column: -1}, None, 0)
            self._row({column: 1} | dict.fromkeys(here, -1), None, 0)
            used.append(column)
        return used

    def _together(self, together, hearing, x, on):
        scope = within(hearing, together.scope)
        if together.binding in CLASHES:
            words = {}
            for (key, n), column in x.items():
                if key in scope:
                    for word in seen(self.pieces[n], together):
                        words.setdefault(word, {})[column] = 1
            for terms in words.values():
                self._row(terms, None, 1)
            return
        used = self._used(x, scope)
        terms = {
            used[n]: int(seen(self.pieces[n], together)) for n in {n for k, n in x if k in scope}
        }
        if together.least is not None:
            self._row(terms | {on[together.scope]: -together.least}, 0, None)
        if together.most is not None:
            self._row(terms, None, together.most)

    def by_scipy(self):
        """Return (minutes, pieces), None if there is no plan: scipy's milp."""
        import numpy as np
        from scipy.optimize import Bounds, LinearConstraint, milp
        from scipy.sparse import coo_array

        at = [(r, c, v) for r, (terms, _, _) in enumerate(self.rows) for c, v in terms.items()]
        rows, columns, values = zip(*at, strict=True)
        matrix = coo_array((values, (rows, columns)), (len(self.rows), self.columns)).tocsr()
        least = [-np.inf if low is None else low for _, low, _ in self.rows]
        most = [np.inf if high is None else high for _, _, high in self.rows]
        cost = np.zeros(self.columns)
        cost[self.y] = self.cost
        found = milp(
            cost,
            integrality=np.ones(self.columns),
            bounds=Bounds(0, 1),
            constraints=LinearConstraint(matrix, least, most),
            options={"mip_rel_gap": 0.0},
        )
        return self._read(round(found.fun)) if found.status == 0 else self._none(found.status == 2)

    def by_cp_sat(self, seconds=60.0):
        """Return (minutes, pieces), None if there is no plan: CP-SAT, one worker."""
        from ortools.sat.python import cp_model

        model = cp_model.CpModel()
        columns = [model.new_bool_var("") for _ in range(self.columns)]
        for terms, low, high in self.rows:
            total = sum(value * columns[c] for c, value in terms.items())
            if terms:
                model.add_linear_constraint(
                    total, -(10**6) if low is None else low, 10**6 if high is None else high
                )
            elif (low or 0) > 0:
                return None
        model.minimize(sum(c * columns[y] for c, y in zip(self.cost, self.y, strict=True)))
        solver = cp_model.CpSolver()
        solver.parameters.num_workers = 1
        solver.parameters.max_time_in_seconds = seconds
        status = solver.solve(model)
        if status == cp_model.OPTIMAL:
            return self._read(round(solver.objective_value))
        return self._none(status == cp_model.INFEASIBLE)

    def _read(self, cost):
        return divmod(cost, self.weight)

    def _none(self, impossible):
        if not impossible:
            raise TimeoutError("the oracle did not come to an end")
