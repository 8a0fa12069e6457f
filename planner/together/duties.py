"""Which dates one companion cannot share: the rules between students, as rows of numbers.

A duty is one companion's day. Its rooms are the sites at which something is on offer that day; the
companion is in one of them at most. A row of a room says how many of some offers can be taken if
the companion is there; none of them if not.
"""

from collections import defaultdict
from collections.abc import Iterable, Sequence
from dataclasses import dataclass

Node = tuple[int, int]  # student and offer, by number


@dataclass(frozen=True)
class Call:
    """An offer at which a companion has to be.

    net, node, group: student, offer and audition, by number. day: an ordinal. span: first and last
    minute, the last not included; None where not stated.
    """

    net: int
    node: int
    group: int
    companion: int
    day: int
    site: str
    span: tuple[int, int] | None = None


@dataclass(frozen=True)
class Row:
    """At most so many of these offers."""

    nodes: tuple[Node, ...]
    most: int


@dataclass(frozen=True)
class Duty:
    """One companion's day. sites and rooms belong together; alone: there is but one."""

    companion: int
    day: int
    sites: tuple[str, ...]
    rooms: tuple[tuple[Row, ...], ...]

    @property
    def alone(self) -> bool:
        """Whether the companion cannot be elsewhere, so that nothing has to be decided."""
        return len(self.sites) == 1

    @property
    def nets(self) -> frozenset[int]:
        """The students that it binds together."""
        return frozenset(net for room in self.rooms for row in room for net, _ in row.nodes)


def duties(calls: Iterable[Call], most: Sequence[int]) -> tuple[Duty, ...]:
    """Return the days on which not everything goes. most: auditions a day, by companion."""
    days: dict = defaultdict(lambda: defaultdict(list))
    for call in calls:
        days[call.companion, call.day][call.site].append(call)
    found = []
    for (companion, day), by_site in sorted(days.items()):
        sites = tuple(sorted(by_site))
        rooms = tuple(_rows(by_site[site], most[companion], len(sites) == 1) for site in sites)
        parts = {(call.net, call.group) for some in by_site.values() for call in some}
        if any(rooms) and len(parts) > 1:
            found.append(Duty(companion, day, sites, rooms))
    return tuple(found)


def _rows(calls: list[Call], most: int, alone: bool) -> tuple[Row, ...]:
    """Return the rows of one site on one day. Of one audition only one offer is taken anyhow."""
    parts = defaultdict(set)
    for call in calls:
        parts[call.net, call.group].add((call.net, call.node))
    one_each = set(map(frozenset, parts.values()))
    sets = one_each | set(_at_once(calls))
    largest = [one for one in sets if not any(one < other for other in sets)]
    rows = [Row(tuple(sorted(one)), 1) for one in largest if not (alone and one in one_each)]
    if len(parts) > most:
        rows.append(Row(tuple(sorted((call.net, call.node) for call in calls)), most))
    return tuple(sorted(rows, key=lambda row: (row.most, row.nodes)))


def _at_once(calls: list[Call]) -> list[frozenset[Node]]:
    """Return, for each moment at which one begins, the offers that are then going on.

    Of any two that overlap, the later is going on when it begins: so each pair is among them.
    """
    timed = [call for call in calls if call.span]
    return [
        frozenset((c.net, c.node) for c in timed if c.span[0] <= at < c.span[1])
        for at in sorted({call.span[0] for call in timed})
    ]


def needed(calls: Iterable[Call], most: Sequence[int]) -> dict[tuple[int, str], list]:
    """Return how often a companion has to go to a site, at the least, within some days.

    By (companion, site): (days, times). An audition that may be heard at another site as well asks
    nothing of any.
    """
    parts: dict = defaultdict(set)
    for call in calls:
        parts[call.net, call.group, call.companion].add((call.site, call.day))
    bound: dict = defaultdict(list)
    for (_, _, companion), places in parts.items():
        sites = {site for site, _ in places}
        if len(sites) == 1:
            bound[companion, sites.pop()].append(frozenset(day for _, day in places))
    found = {}
    for (companion, site), days in bound.items():
        some = {frozenset().union(*days), *days}
        found[companion, site] = [
            (within, -(-sum(one <= within for one in days) // most[companion]))
            for within in sorted(some, key=sorted)
        ]
    return found
