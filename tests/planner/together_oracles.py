"""Two slow ways to the best dates for all: every combination, and a plain integer programme.

Both read the rules of the companions from the problem and share nothing with planner.together but
its dataclasses. What a student's own dates cost is `planner.dates`' to say, and tested there.
"""

from collections import Counter, defaultdict
from datetime import datetime, timedelta
from itertools import combinations, product
from zoneinfo import ZoneInfo

import numpy as np
from scipy.optimize import Bounds, LinearConstraint, milp

from planner.dates.case import Case


class Option:
    """One offer of a student. needs: keys of the companions that have to be there."""

    def __init__(self, student, one):
        audition, offer = one.audition, one.offer
        self.site, self.day = audition.site, offer.on
        if offer.place and offer.place != audition.place:
            self.site = "elsewhere", offer.place.name
        self.needs = {c for key, c in student.companions if key == audition.key}
        self.span = None
        if offer.starts and offer.ends:
            zone = ZoneInfo(audition.place.zone)
            ends = (offer.starts, offer.ends)
            self.span = tuple(datetime.combine(offer.on, at, zone).timestamp() for at in ends)


class Studio:
    """A problem read for the oracles. options: by student, one for each node."""

    def __init__(self, problem):
        self.problem = problem
        self.cases = [Case(student.dates) for student in problem.students]
        self.options = [
            [Option(student, one) for one in case.dates]
            for student, case in zip(problem.students, self.cases, strict=True)
        ]
        self.away = {
            c.key: {d for a in c.away for d in _days(a.first, a.last)} for c in problem.companions
        }

    def cost(self, student, path):
        """Points and dislike of a path, None if it is not possible."""
        case = self.cases[student]
        cost = case.graph.cost(path)
        return None if cost is None else np.array(divmod(cost, case.big))

    def at_home(self, student, node):
        """Whether no companion whom the offer needs is away."""
        option = self.options[student][node]
        return all(option.day not in self.away[key] for key in option.needs)


def _days(first, last):
    return [first + timedelta(n) for n in range((last - first).days + 1)]


def hit(one, other):
    """Whether nobody can be there for both: two sites, or one and at once."""
    if one.day != other.day or not one.needs & other.needs:
        return False
    if one.site != other.site:
        return True
    return bool(one.span and other.span) and (
        one.span[0] < other.span[1] and other.span[0] < one.span[1]
    )


class Brute:
    """Every combination of plans."""

    def __init__(self, problem):
        self.studio = Studio(problem)
        self.most = {companion.key: companion.most for companion in problem.companions}
        self.plans = [self._plans(number) for number in range(len(problem.students))]

    def _plans(self, student):
        studio, found = self.studio, []
        for nodes in product(*studio.cases[student].graph.groups):
            path = tuple(sorted(nodes))
            cost = studio.cost(student, path)
            if cost is not None and all(studio.at_home(student, node) for node in path):
                options = [studio.options[student][node] for node in path]
                if not any(hit(*pair) for pair in combinations(options, 2)):
                    found.append((tuple(cost), options))
        return sorted(found, key=lambda one: one[0])

    def best(self, students=None):
        """(points, dislike) of the best plans for these students, None if there are none."""
        self.record = None
        self._try([self.plans[s] for s in (students or range(len(self.plans)))], (0, 0), [])
        return self.record

    def _try(self, plans, spent, taken):
        if self.record is not None and spent >= self.record:
            return
        if not plans:
            self.record = spent
            return
        for cost, options in plans[0]:
            if not any(hit(one, other) for one in options for other in taken):
                both = taken + options
                if self._few(both):
                    self._try(plans[1:], (spent[0] + cost[0], spent[1] + cost[1]), both)

    def _few(self, options):
        days = Counter((key, option.day) for option in options for key in option.needs)
        return all(count <= self.most[key] for (key, _), count in days.items())


class Pairwise:
    """A binary for each offer, each way between two, each companion's day at each site."""

    def __init__(self, problem):
        self.studio = Studio(problem)
        self.most = {companion.key: companion.most for companion in problem.companions}
        self.costs, self.rows = [], []
        self.big = 1 + sum(case.big for case in self.studio.cases)
        self.taken = {}
        for student in range(len(problem.students)):
            self._student(student)
        self._companions()

    def _column(self, cost=0):
        self.costs.append(cost)
        return len(self.costs) - 1

    def _row(self, terms, least, most):
        self.rows.append((terms, least, most))

    def _cost(self, case, cost):
        points, dislike = divmod(cost, case.big)
        return points * self.big + dislike

    def _student(self, student):
        case = self.studio.cases[student]
        graph = case.graph
        count = len(graph.first)
        into = {n: [] for n in (*range(count), "home")}
        out = {n: [] for n in (*range(count), "home")}
        ways = [("home", n, c) for n, c in enumerate(graph.first) if c is not None]
        ways += [(n, "home", c) for n, c in enumerate(graph.last) if c is not None]
        ways += [(n, to, c) for n, arcs in enumerate(graph.arcs) for to, c in arcs]
        for start, end, cost in ways:
            column = self._column(self._cost(case, cost))
            out[start].append(column)
            into[end].append(column)
        for node in range(count):
            taken = self.taken[student, node] = self._column()
            for columns in (into[node], out[node]):
                self._row([*((c, 1) for c in columns), (taken, -1)], 0, 0)
            if not self.studio.at_home(student, node):
                self._row([(taken, 1)], 0, 0)
        if graph.groups:
            self._row([(c, 1) for c in out["home"]], 1, 1)
        for nodes in graph.groups:
            self._row([(self.taken[student, node], 1) for node in nodes], 1, 1)

    def _companions(self):
        days = defaultdict(lambda: defaultdict(list))
        every = [(key, self.studio.options[key[0]][key[1]], c) for key, c in self.taken.items()]
        for _, option, column in every:
            for companion in option.needs:
                days[companion, option.day][option.site].append(column)
        for (companion, _), sites in days.items():
            rooms = {site: self._column() for site in sites}
            self._row([(room, 1) for room in rooms.values()], 0, 1)
            for site, columns in sites.items():
                for column in columns:
                    self._row([(column, 1), (rooms[site], -1)], -1, 0)
            every_one = [(column, 1) for columns in sites.values() for column in columns]
            self._row(every_one, 0, self.most[companion])
        for (key, one, a), (other_key, other, b) in combinations(every, 2):
            if key != other_key and one.site == other.site and hit(one, other):
                self._row([(a, 1), (b, 1)], 0, 1)

    def best(self):
        """(points, dislike) of the best plans, None if there are none."""
        if not self.costs:
            return 0, 0
        matrix = np.zeros((len(self.rows), len(self.costs)))
        for number, (terms, _, _) in enumerate(self.rows):
            for column, factor in terms:
                matrix[number, column] += factor
        least, most = (np.array([row[side] for row in self.rows]) for side in (1, 2))
        found = milp(
            self.costs,
            integrality=np.ones(len(self.costs)),
            bounds=Bounds(0, 1),
            constraints=LinearConstraint(matrix, least, most),
            options={"mip_rel_gap": 0},
        )
        if found.status == 2:
            return None
        assert found.status == 0, found.message
        taken = np.round(found.x).astype(int)
        return divmod(int(np.dot(taken, np.array(self.costs, dtype=object))), self.big)
