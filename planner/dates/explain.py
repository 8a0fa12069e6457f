"""Second best, what each date costs, why there is no plan, and the ways out."""

import time
from collections.abc import Iterator
from dataclasses import dataclass, fields, replace
from itertools import combinations

from planner.dates import words
from planner.dates.case import Case
from planner.dates.model import Audition, Burden, Offer, Plan, Price, Problem, WayOut
from planner.dates.search import Found, least
from planner.dates.trips import believed

AGAIN = 60  # steps for a bound that begins from that of a like search
QUICK = 0.25  # seconds for what one date costs, at first
SETS = 600  # of auditions that are tried to find the smallest that does not go together
LEFT_OUT = 3  # auditions at most
TRIES = 60


@dataclass(frozen=True)
class Told:
    """What there is to say besides the plan. unpriced: some prices were not found in time."""

    second: Plan | None = None
    prices: tuple[Price, ...] = ()
    conflict: tuple[str, ...] = ()
    ways_out: tuple[WayOut, ...] = ()
    unpriced: bool = False


NOTHING = Told()


def explained(case: Case, found: list[Found], plan: Plan | None, deadline: float) -> Told:
    """Return all of it. found: the best path and the second best. deadline: monotonic."""
    prices = Prices(case, found[0], plan, deadline).every()
    if plan is not None:
        second = found[1] if len(found) > 1 and found[1].proven else None
        unpriced = any(price.extra is None and not price.why for price in prices)
        return Told(second and believed(case, second), prices, unpriced=unpriced)
    if not found[0].proven:
        return Told(prices=prices)
    clash = conflict(case, deadline)
    keys = tuple(case.auditions[index].key for index in clash)
    return Told(prices=prices, conflict=keys, ways_out=ways_out(case, clash, deadline))


# ---- prices


class Prices:
    """What each offer costs against the plan."""

    def __init__(self, case: Case, best: Found, plan: Plan | None, deadline: float):
        self.case, self.best, self.plan, self.deadline = case, best, plan, deadline
        self.groups = range(len(case.auditions))
        self.taken = {choice.offer for choice in plan.choices} if plan else set()

    def every(self) -> tuple[Price, ...]:
        """Return them in the order of the auditions kept.

        Each is given a little time first, so that a hard one does not take that of the others.
        """
        offers = [
            (audition, offer)
            for audition in self.case.problem.auditions
            if audition.kept
            for offer in audition.offers
        ]
        found = [self._price(*one, QUICK) for one in offers]
        left = [n for n, price in enumerate(found) if price.extra is None and not price.why]
        for done, n in enumerate(left):
            share = (self.deadline - time.monotonic()) / (len(left) - done)
            found[n] = self._price(*offers[n], share)
        return tuple(found)

    def _price(self, audition: Audition, offer: Offer, seconds: float) -> Price:
        case = self.case
        if audition in case.over:
            return Price(audition.key, offer.key, None, None, words.OVER)
        refused = case.refused.get(offer.key)
        if refused:
            why = words.why(case.problem, audition, offer, refused)
            return Price(audition.key, offer.key, None, None, why)
        if offer.key in self.taken:
            return Price(audition.key, offer.key, 0, Burden())
        if self.plan is None:
            why = words.NO_PLAN if self.best.proven else ""
            return Price(audition.key, offer.key, None, None, why)
        if not self.best.proven or time.monotonic() > self.deadline:
            return Price(audition.key, offer.key, None)
        return self._forced(audition, offer, seconds)

    def _forced(self, audition: Audition, offer: Offer, seconds: float) -> Price:
        case, node = self.case, self.case.node[offer.key]
        without = others(case, node)
        found = least(
            case.graph,
            self.groups,
            min(self.deadline, time.monotonic() + seconds),
            without=without,
            worths=self.best.worths,
            steps=AGAIN,
        )
        if not found.proven:
            return Price(audition.key, offer.key, None)
        if found.path is None:
            return Price(audition.key, offer.key, None, None, why_not(case, node, self.deadline))
        there, here = believed(case, found).burden, self.plan.burden
        more = Burden(*(getattr(there, f.name) - getattr(here, f.name) for f in fields(Burden)))
        return Price(audition.key, offer.key, more.points, more)


def others(case: Case, node: int) -> tuple[int, ...]:
    """Return the other nodes of the group of `node`."""
    group = next(group for group in case.graph.groups if node in group)
    return tuple(other for other in group if other != node)


def why_not(case: Case, node: int, deadline: float) -> str:
    """Return why no plan takes the node, in a sentence."""
    own = next(index for index, group in enumerate(case.graph.groups) if node in group)
    without = others(case, node)
    if not fits(case, {own}, deadline, without):
        return words.SHUT if case.problem.closed else words.TOO_LATE
    for index, audition in enumerate(case.auditions):
        if index != own and not fits(case, {own, index}, deadline, without):
            return words.clash(audition.name)
    return words.CLASH


# ---- why there is no plan


def fits(case: Case, some: set[int], deadline: float, without: tuple[int, ...] = ()) -> bool:
    """Return whether these auditions go together, others between them or not.

    Others may be visited on the way: so whatever is a part of what fits, fits. What the clock
    leaves open is taken to fit.
    """
    if least(case.graph, some, deadline, without=without, steps=1).path is not None:
        return True
    spare = set(range(len(case.auditions))) - some
    found = least(case.graph, some, deadline, spare=spare, without=without, steps=1)
    return found.path is not None or not found.proven


def conflict(case: Case, deadline: float) -> tuple[int, ...]:
    """Return the fewest auditions that do not go together.

    Whichever of them is left out, the rest of them does. There are no fewer than these where the
    sets to try are not too many; () where the clock stopped it.
    """
    every, tried = range(len(case.auditions)), 0
    for size in (1, 2, 3):
        for some in combinations(every, size):
            tried += 1
            if tried > SETS or time.monotonic() > deadline:
                return _irreducible(case, set(every), deadline)
            if not fits(case, set(some), deadline):
                return some
    return _irreducible(case, set(every), deadline)


def _irreducible(case: Case, left: set[int], deadline: float) -> tuple[int, ...]:
    for index in sorted(left, reverse=True):
        if time.monotonic() > deadline:
            return ()
        if not fits(case, left - {index}, deadline):
            left = left - {index}
    return tuple(sorted(left))


# ---- ways out


def ways_out(case: Case, clash: tuple[int, ...], deadline: float) -> tuple[WayOut, ...]:
    """Return the smallest changes after which there is a plan, each solved, cheapest first."""
    found = list(_left_out(case, clash, deadline))
    changes = (*_opened(case.problem), *_freed(case.problem), *_late(case))
    for kind, keys, problem, sentence in changes[:TRIES]:
        if time.monotonic() > deadline:
            break
        points = _points(Case(problem), deadline)
        if points is not None:
            found.append(WayOut(kind, keys, points, sentence))
    return tuple(sorted(found, key=lambda way: (way.points, way.kind, way.keys)))


def _points(case: Case, deadline: float, out: frozenset[int] = frozenset()) -> int | None:
    """Return the points of the best plan without some auditions, None if none is proven."""
    found = least(case.graph, set(range(len(case.auditions))) - out, deadline)
    return found.cost // case.big if found.proven and found.path is not None else None


def _left_out(case: Case, clash: tuple[int, ...], deadline: float) -> Iterator[WayOut]:
    """Give the smallest sets of auditions to leave out."""
    # What does not go together still does not, unless one of it is left out.
    sets = [frozenset({index}) for index in clash]
    for _ in range(LEFT_OUT):
        solved = [
            (out, _points(case, deadline, out))
            for out in sets[:TRIES]
            if time.monotonic() < deadline
        ]
        for out, points in solved:
            if points is not None:
                auditions = [case.auditions[index] for index in sorted(out)]
                names = [audition.name for audition in auditions]
                sentence = words.leave_out(names, len(case.auditions) - len(out))
                yield WayOut("leave out", tuple(one.key for one in auditions), points, sentence)
        if any(points is not None for _, points in solved):
            return
        every = range(len(case.auditions))
        sets = list(
            dict.fromkeys(out | {more} for out in sets for more in every if more not in out)
        )


Change = tuple[str, tuple[str, ...], Problem, str]


def _opened(problem: Problem) -> Iterator[Change]:
    for one in problem.closed:
        rest = tuple(other for other in problem.closed if other is not one)
        sentence = words.open_days(one.name, one.first, one.last, problem.today)
        yield "open", (one.name,), replace(problem, closed=rest), sentence


def _freed(problem: Problem) -> Iterator[Change]:
    for audition in problem.auditions:
        for offer in audition.offers if audition.kept else ():
            for kind, changed in _freer(problem, audition, offer):
                sentence = words.free(problem, kind, audition.name, offer.on)
                yield "free", (offer.key,), changed, sentence


def _freer(problem: Problem, audition: Audition, offer: Offer) -> Iterator[tuple[str, Problem]]:
    if audition.fixed == offer.key:
        yield "fixed", _with(problem, audition, replace(audition, fixed=None))
    for kind in ("pinned", "banned"):
        keys = getattr(problem, kind)
        if offer.key in keys:
            rest = tuple(key for key in keys if key != offer.key)
            yield kind, replace(problem, **{kind: rest})


def _late(case: Case) -> Iterator[Change]:
    for audition in case.auditions:
        for offer in audition.offers:
            refused = case.refused.get(offer.key)
            if refused and refused.kind == "booked":
                free = replace(offer, book_by=None)
                offers = tuple(free if one is offer else one for one in audition.offers)
                changed = _with(case.problem, audition, replace(audition, offers=offers))
                sentence = words.late(case.problem, audition.name, offer)
                yield "late", (offer.key,), changed, sentence


def _with(problem: Problem, audition: Audition, changed: Audition) -> Problem:
    auditions = (changed if one is audition else one for one in problem.auditions)
    return replace(problem, auditions=tuple(auditions))
