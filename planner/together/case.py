"""A problem made ready: each student's graph, their own best dates, and who has to be where."""

from collections.abc import Collection, Mapping
from dataclasses import replace
from functools import cached_property

from planner.dates.case import Case as DatesCase
from planner.dates.graph import Graph
from planner.dates.search import Found, least
from planner.together.booking import is_timed, site_of
from planner.together.duties import Call, Duty, duties
from planner.together.model import Problem, Student


class Party:
    """One student made ready. dates: the case of their own dates; its nodes are the offers."""

    def __init__(self, student: Student, today, deadline: float | None = None):
        problem = student.dates
        if problem.today != today:
            problem = replace(problem, today=today)
        self.given = student.dates
        self.dates = DatesCase(problem)
        self.graph: Graph = self.dates.graph
        self.own: Found = self.best((), deadline)

    def best(self, without: Collection[int] = (), deadline: float | None = None) -> Found:
        """Return the cheapest path that takes none of the nodes `without`."""
        required = range(len(self.graph.groups))
        return least(self.graph, required, deadline, without=without)

    def points(self, cost: int) -> int:
        """Return the points of what costs so much in the graph."""
        return cost // self.dates.big

    def group(self, node: int) -> int:
        """Return the number of the audition of a node."""
        return self._groups[node]

    @cached_property
    def _groups(self) -> dict[int, int]:
        return {node: g for g, nodes in enumerate(self.graph.groups) for node in nodes}


class Case:
    """All students made ready.

    parties: by student. calls: the offers at which a companion has to be. barred: by student, the
    nodes that cannot be taken because a companion is away. known: parties to be used again.
    """

    def __init__(
        self,
        problem: Problem,
        known: Mapping[str, Party] | None = None,
        deadline: float | None = None,
    ):
        self.problem = problem
        self.parties = [self._party(s, known or {}, deadline) for s in problem.students]
        numbers = {companion.key: n for n, companion in enumerate(problem.companions)}
        self.asked = [_asked(student, numbers) for student in problem.students]
        self.calls: list[Call] = []
        self.barred: list[frozenset[int]] = []
        for number in range(len(self.parties)):
            self._call(number)
        self.duties: tuple[Duty, ...] = duties(self.calls, [c.most for c in problem.companions])

    def _party(self, student: Student, known: Mapping[str, Party], deadline) -> Party:
        found = known.get(student.key)
        if found is not None and found.given is student.dates:
            return found
        return Party(student, self.problem.today, deadline)

    @property
    def known(self) -> dict[str, Party]:
        """The parties, to be used for a problem that is much like this one."""
        keys = (student.key for student in self.problem.students)
        return dict(zip(keys, self.parties, strict=True))

    def _call(self, number: int) -> None:
        party, barred = self.parties[number], set()
        for node, one in enumerate(party.dates.dates):
            companions = self.asked[number].get(one.audition.key, ())
            if any(self._away(companion, one.offer.on) for companion in companions):
                barred.add(node)
                continue
            self.calls.extend(
                Call(
                    net=number,
                    node=node,
                    group=party.group(node),
                    companion=companion,
                    day=one.on,
                    site=site_of(party.dates.problem, one.audition, one.offer).key,
                    span=(one.start, one.end) if is_timed(one.offer) else None,
                )
                for companion in companions
            )
        self.barred.append(frozenset(barred))

    def _away(self, companion: int, day) -> bool:
        away = self.problem.companions[companion].away
        return any(closed.first <= day <= closed.last for closed in away)


def _asked(student: Student, numbers: dict[str, int]) -> dict[str, tuple[int, ...]]:
    """Return the companions of each audition, by number, each once."""
    found: dict[str, dict[int, None]] = {}
    for audition, companion in student.companions:
        found.setdefault(audition, {})[numbers[companion]] = None
    return {audition: tuple(some) for audition, some in found.items()}
