"""The smallest number of dates to move so that nothing is impossible.

A way from a release to a deadline that is too long can only be kept if one of the two moves. So
the dates to move are a vertex cover of the bipartite graph of such pairs; the smallest is as large
as the largest matching (König 1931), which proves it. Where today alone is too late, only the
deadline can move. Of several smallest covers this is the one with the most releases: to be ready
sooner is more in one's own hands than a later deadline.
"""

from collections.abc import Iterator, Mapping, Set
from datetime import date

from planner.deadlines.network import Days, Limit, Release, earliest, latest
from planner.deadlines.passes import Network

End = tuple[str, str]  # kind and key, as in Move
MOVABLE = ("opening", "ready")


def shifts(network: Network) -> dict[End, int]:
    """Return the dates to move and by how many days: releases to earlier, deadlines to later."""
    forced = set(_late(network, _begin(network, {}), set()))
    sooner, later = smallest_cover(_pairs(network, forced))
    moved = forced | later
    starts = latest(network.order, _by(network, moved), network.workdays)[0]
    to: dict[End, date] = {}
    for index, release in _releases(network):
        end, start = _end(release), starts[index]
        if end in sooner:
            day = release.day if start is None else min(release.day, start)
            to[end] = min(day, to.get(end, day))
        else:
            to[end] = release.day
    late = _late(network, _begin(network, to), set())
    found = {end: late[end] for end in moved}
    for _, release in _releases(network):
        if (end := _end(release)) in sooner:
            found[end] = (release.day - to[end]).days
    return found


def smallest_cover(pairs: Mapping[End, Set[End]]) -> tuple[set[End], set[End]]:
    """Return the smallest vertex cover of a bipartite graph, left and right, most on the left.

    pairs: the right ends of each left one. The largest matching is found by augmenting ways.
    """
    left_of: dict[End, End] = {}

    def augment(left: End, seen: set[End]) -> bool:
        for right in sorted(pairs[left] - seen):
            seen.add(right)
            if right not in left_of or augment(left_of[right], seen):
                left_of[right] = left
                return True
        return False

    for left in sorted(pairs):
        augment(left, set())
    free = set(pairs) - set(left_of.values())
    lefts, rights = set(free), set()
    while free:  # what alternating ways reach from the unmatched left
        reached = {right for left in free for right in pairs[left]} - rights
        rights |= reached
        free = {left_of[right] for right in reached} - lefts
        lefts |= free
    return {left for left in pairs if pairs[left] and left not in lefts}, rights


def _pairs(network: Network, forced: Set[End]) -> dict[End, set[End]]:
    """Return the deadlines that each release is too late for, but for those forced to move."""
    starts = latest(network.order, _by(network, forced), network.workdays)[0]
    sources: dict[End, Days] = {}
    for index, release in _releases(network):
        start = starts[index]
        if start is not None and release.day > start:
            begin = sources.setdefault(_end(release), [None] * len(network.order))
            begin[index] = release.day
    return {end: set(_late(network, begin, forced)) for end, begin in sources.items()}


def _late(network: Network, begin: Days, but: Set[End]) -> dict[End, int]:
    """Return by how many days each deadline is missed, `but` some, if steps begin like that."""
    ends = earliest(network.order, begin, network.workdays)[1]
    found: dict[End, int] = {}
    for index, limit in _limits(network):
        end, done = _end(limit), ends[index]
        if done is not None and done > limit.day and end not in but:
            found[end] = max(found.get(end, 0), (done - limit.day).days)
    return found


def _begin(network: Network, to: Mapping[End, date]) -> Days:
    """Return when each step can begin by itself: today, facts, and releases as moved in `to`."""
    begin: Days = []
    for step in network.order:
        day = network.today
        for release in step.releases:
            moved = to.get(_end(release)) if release.kind in MOVABLE else release.day
            day = day if moved is None else max(day, moved)
        begin.append(day)
    return begin


def _by(network: Network, but: Set[End]) -> Days:
    """Return by when each step has to end by itself, `but` for some deadlines."""
    by: Days = [None] * len(network.order)
    for index, limit in _limits(network):
        if _end(limit) not in but:
            last = by[index]
            by[index] = limit.day if last is None else min(limit.day, last)
    return by


def _limits(network: Network) -> Iterator[tuple[int, Limit]]:
    return ((step.index, limit) for step in network.order for limit in step.limits)


def _releases(network: Network) -> Iterator[tuple[int, Release]]:
    return (
        (step.index, release)
        for step in network.order
        for release in step.releases
        if release.kind in MOVABLE
    )


def _end(date_: Limit | Release) -> End:
    return date_.kind, date_.key
