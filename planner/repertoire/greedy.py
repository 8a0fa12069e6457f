"""What the least music is compared with: the usual way, and each audition planned by itself."""

from dataclasses import replace
from fractions import Fraction
from heapq import heapify, heappop, heappush

from planner.repertoire.case import Case
from planner.repertoire.cover import Cover, cover
from planner.repertoire.model import Placed
from planner.repertoire.programme import covered, weight
from planner.repertoire.seating import Seating, Undecided
from planner.repertoire.signatures import most


def greedy_minutes(case: Case) -> int | None:
    """Return the minutes of `usual`, None where not everything kept can be covered."""
    plan = usual(case)
    return None if plan is None else plan.minutes


def apart_minutes(case: Case, seconds: float = 10.0) -> int | None:
    """Return the minutes when each audition kept is planned by itself and all of it is prepared.

    None where not everything can be covered. seconds: time limit of each solve.
    """
    pieces: set[str] = set(case.problem.pinned)
    for audition in sorted(case.kept):
        alone = cover(case, frozenset({audition}), seconds=seconds)
        if not alone.complete:
            return None
        pieces.update(alone.pieces)
    return sum(piece.prep for piece in case.problem.pieces if piece.key in pieces)


def usual(case: Case, seconds: float = 10.0) -> Cover | None:
    """Return the plan that the usual way leads to, None where not everything can be covered.

    Always the piece that fills most open places for its time, whatever it takes to move others
    round for it; where none fills any by itself, the least that completes the next audition. At
    the end what is superfluous is taken away, the longest to prepare first. The same on every
    run. seconds: time limit of each solve, where one is needed.
    """
    greedy = _Greedy(case, seconds)
    return greedy.plan() if greedy.gather() else None


class _Hall:
    """One unit on its way to be filled. open: places that are open even at the best."""

    def __init__(self, unit):
        self.unit, self.seating = unit, Seating(unit)
        self.pieces: set[int] = set()
        self.seats: dict[int, tuple[int, ...]] = {}
        self.gains: dict[int, int] = {}
        everything = sum(most(seat.slot) for seat in unit.seats)
        self.open = everything + 1
        self._settle(range(everything + 1), None)

    def _settle(self, numbers, using) -> None:
        for number in numbers:
            seats = self._fill(number, using)
            if seats is not None:
                self.seats, self.open = seats, number
                return

    def _fill(self, lacking, using=None):
        try:
            return self.seating.fill(self.pieces, lacking, using)
        except Undecided:
            return None

    def gain(self, p: int) -> int:
        """Return how many more places are filled once `p` is prepared too."""
        if not self.open or p not in self.seating.usable:
            return 0
        alike = self.seating.alike(p)
        if alike not in self.gains:
            before = self.open, self.seats
            self.take(p)
            self.gains[alike] = before[0] - self.open
            self.open, self.seats = before
            self.pieces.discard(p)
        return self.gains[alike]

    def take(self, p: int) -> None:
        """Prepare `p` too and fill what it can."""
        self.pieces.add(p)
        while self.open:
            seats = self._fill(self.open - 1, p)
            if seats is None:
                return
            self.seats, self.open = seats, self.open - 1

    def add(self, p: int) -> None:
        """Prepare `p` for good."""
        if p in self.seating.usable:
            self.take(p)
            self.gains = {}

    def does_without(self, p: int) -> bool:
        """Give `p` up, if the unit can still be filled."""
        if any(p in some for some in self.seats.values()):
            self.pieces.discard(p)
            seats = self._fill(0)
            if seats is None:
                self.pieces.add(p)
                return False
            self.seats = seats
        self.pieces.discard(p)
        return True

    def seat(self, places, index) -> None:
        """Take over a whole plan: `places` by (hearing, slot), `index` of pieces by key."""
        self.open = 0
        self.seats = {
            i: tuple(index[key] for key in places[where].pieces)
            for i, seat in enumerate(self.unit.seats)
            if (where := (self.unit.hearings[seat.hearing].key, seat.slot.key)) in places
        }


class _Greedy:
    def __init__(self, case: Case, seconds: float):
        self.case, self.seconds = case, seconds
        self.halls = [_Hall(unit) for unit in case.of(case.kept)]
        self.where: dict[int, list[_Hall]] = {}
        for hall in self.halls:
            for p in hall.seating.usable:
                self.where.setdefault(p, []).append(hall)
        self.taken: set[int] = set()
        for p in sorted(case.pinned):
            self._take(p)

    def _take(self, p: int) -> None:
        self.taken.add(p)
        for hall in self.where.get(p, ()):
            hall.add(p)

    # ---- gathering

    def gather(self) -> bool:
        """Take pieces until all is covered; return whether it can be."""
        while any(hall.open for hall in self.halls):
            if not self._take_each() and not self._complete():
                return False
        return True

    def _take_each(self) -> bool:
        """Take pieces as long as one fills an open place; return whether any did.

        As others are taken a piece fills fewer places: what it was worth before is a bound, and
        is reckoned again only where it would be the best.
        """
        before = len(self.taken)
        offers = [self._offer(p) for p in sorted(self.where.keys() - self.taken)]
        offers = [offer for offer in offers if offer]
        heapify(offers)
        while offers:
            offer = heappop(offers)
            now = self._offer(offer[-1])
            if now == offer:
                self._take(offer[-1])
            elif now:
                heappush(offers, now)
        return len(self.taken) > before

    def _offer(self, p: int) -> tuple | None:
        """Return the minutes for each place that `p` fills, and what decides between equals."""
        gain = sum(hall.gain(p) for hall in self.where[p])
        if not gain:
            return None
        piece = self.case.pieces[p]
        other = piece.key not in self.case.problem.preferred
        return Fraction(piece.prep, gain), -gain, other, weight(piece), p

    def _complete(self) -> bool:
        """Add the least that completes the next audition; return whether it can be covered."""
        case = self.case
        audition = next(hall.unit.audition for hall in self.halls if hall.open)
        keys = tuple(case.pieces[p].key for p in sorted(self.taken))
        held = replace(case, problem=replace(case.problem, pinned=keys))
        found = cover(held, frozenset({audition}), seconds=self.seconds)
        if not found.complete:
            return False
        for p in sorted(case.index[key] for key in found.pieces):
            if p not in self.taken:
                self._take(p)
        places = {(place.hearing, place.slot): place for place in found.placed}
        for other in self.halls:
            if other.unit.audition == audition:
                other.seat(places, case.index)
        return True

    # ---- taking away

    def plan(self) -> Cover:
        """Take away what is superfluous and return the plan."""
        by_length = sorted(self.taken, key=lambda p: (-self.case.pieces[p].prep, -p))
        for p in by_length:
            if p not in self.case.pinned:
                self._give_up(p)
        return covered(self.case, self.case.kept, self._places(), 0)

    def _give_up(self, p: int) -> None:
        halls = self.where.get(p, ())
        for n, hall in enumerate(halls):
            if not hall.does_without(p):
                for earlier in halls[:n]:
                    earlier.pieces.add(p)
                return

    def _places(self) -> list[Placed]:
        keys = [piece.key for piece in self.case.pieces]
        return [
            Placed(
                hall.unit.audition,
                hall.unit.hearings[hall.unit.seats[i].hearing].key,
                hall.unit.seats[i].slot.key,
                tuple(keys[p] for p in some),
            )
            for hall in self.halls
            for i, some in hall.seats.items()
        ]
