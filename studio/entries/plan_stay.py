"""Pieces stay where they are assigned, as far as a plan can be played like that too.

The engine says which pieces are prepared; who sits in which slot it hands out among those that
fit. A teacher who compares a plan with what is assigned should read of changes that are needed.
"""

from dataclasses import replace

from planner.repertoire.check import Unsound, check


def stay(problem, plan, now, over=0):
    """Return `plan` with as many pieces as can be found where they are `now`; none comes or goes.

    now: the keys of the pieces by (audition, slot). over: seconds by which the plan misses limits
    of length. Every change is checked against the problem like the engine's own plan.
    """
    kept = [audition for audition in problem.auditions if audition.kept]
    for audition in kept:
        for hearing in audition.hearings:
            plan = _Hearing(problem, audition, hearing, now, over).settled(plan)
    return plan


class _Hearing:
    """One hearing: its slots' keys, and what is in them now."""

    def __init__(self, problem, audition, hearing, now, over):
        self.problem, self.over = problem, over
        self.kept = [each.key for each in problem.auditions if each.kept]
        self.audition, self.hearing = audition.key, hearing.key
        self.now = {slot.key: now.get((audition.key, slot.key), ()) for slot in hearing.slots}

    def settled(self, plan):
        """Return the plan after as many moves as bring a piece home."""
        seats = self._seats(plan)
        better = True
        while better:
            better = False
            for moved in self._moves(seats, set(plan.pieces)):
                changed = self._worth(moved) > self._worth(seats) and self._checked(plan, moved)
                if changed:
                    plan, seats, better = changed, moved, True
                    break
        return plan

    def _seats(self, plan):
        return {place.slot: place.pieces for place in plan.placed if self._is_here(place)}

    def _is_here(self, place):
        return (place.audition, place.hearing) == (self.audition, self.hearing)

    def _worth(self, seats):
        return sum(key in self.now[slot] for slot, keys in seats.items() for key in keys)

    def _moves(self, seats, prepared):
        """Yield what the seats could be: all as they are now, or one piece at home."""
        given = {slot: keys for slot, keys in self.now.items() if keys}
        if {key for keys in given.values() for key in keys} <= prepared:
            yield given
        for slot, keys in seats.items():
            for home in (key for key in self.now[slot] if key in prepared and key not in keys):
                for away in (key for key in keys if key not in self.now[slot]):
                    yield _swapped(seats, slot, away, home)

    def _checked(self, plan, seats):
        """Return the plan with these seats, None if the problem does not allow it."""
        lacking = {p.slot: p.lacking for p in plan.placed if self._is_here(p)}
        if lacking.keys() != seats.keys() and any(lacking.values()):
            return None
        placed = []
        for place in plan.placed:
            if not self._is_here(place):
                placed.append(place)
            elif place.slot in seats:
                placed.append(replace(place, pieces=seats[place.slot]))
        placed += [
            type(plan.placed[0])(self.audition, self.hearing, slot, keys)
            for slot, keys in seats.items()
            if slot not in lacking
        ]
        try:
            check(self.problem, self.kept, placed, plan.pieces, self.over)
        except Unsound:
            return None
        return replace(plan, placed=tuple(placed))


def _swapped(seats, slot, away, home):
    """Return seats with `home` in `slot` instead of `away`, which goes where `home` was."""
    turned = {
        other: tuple(away if key == home else key for key in keys) for other, keys in seats.items()
    }
    turned[slot] = tuple(home if key == away else key for key in seats[slot])
    return turned
