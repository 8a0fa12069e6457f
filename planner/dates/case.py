"""A problem made ready: which dates are still possible, and the graph of them."""

from collections.abc import Iterable
from dataclasses import dataclass
from datetime import date, datetime, time, timedelta

from planner.dates.clocks import Clock
from planner.dates.graph import Graph
from planner.dates.journeys import Date, Journeys, Leg, joined
from planner.dates.model import Audition, Offer, Problem
from planner.dates.ways import stop_of

# Common practice, no source: how much one thing is disliked against another.
NOT_PREFERRED = 10
LOWER_RANK = 3
SHORT_DAY = 1
UNSTATED_MINUTES = 60  # of an audition that begins after day_ends, and whose end is not stated


@dataclass(frozen=True)
class Refused:
    """Why an offer cannot be had. kind: "past", "booked", "fixed", "pinned", "banned", "closed".

    by: the key of the offer or the name of the closed days that stands in the way.
    """

    kind: str
    by: str = ""


def refused(problem: Problem, audition: Audition, offer: Offer) -> Refused | None:
    """Return why the offer cannot be had whatever the journeys, None if it can."""
    fixed = audition.fixed == offer.key
    pinned = [one.key for one in audition.offers if one.key in problem.pinned]
    closed = next((c.name for c in problem.closed if c.first <= offer.on <= c.last), None)
    checks = (
        (audition.fixed not in (None, offer.key), Refused("fixed", audition.fixed or "")),
        (pinned not in ([], [offer.key]), Refused("pinned", pinned[0] if pinned else "")),
        (offer.key in problem.banned, Refused("banned", offer.key)),
        (offer.on < problem.today, Refused("past")),
        (not fixed and _passed(problem, offer), Refused("booked")),
        (closed is not None, Refused("closed", closed or "")),
    )
    return next((why for true, why in checks if true), None)


def _passed(problem: Problem, offer: Offer) -> bool:
    return offer.book_by is not None and offer.book_by < problem.today


def over(problem: Problem, audition: Audition) -> bool:
    """Return whether the date fixed for the audition lies in the past."""
    return any(one.key == audition.fixed and one.on < problem.today for one in audition.offers)


def short_days(audition: Audition, offer: Offer) -> int:
    """Return how many days before its music is expected to be ready the offer is."""
    return max(0, (audition.ready_on - offer.on).days) if audition.ready_on else 0


def dislike(problem: Problem, audition: Audition, offer: Offer) -> int:
    """Return how much the offer is disliked: 10 if another date of the audition is preferred, 3
    for each place in the student's order below the first (a date that is not ranked comes after
    those that are), 1 for each day before the music is expected to be ready. Common practice, no
    source."""
    preferred = [one.key for one in audition.offers if one.key in problem.preferred]
    ranks = sorted({one.rank for one in audition.offers if one.rank is not None})
    place = ranks.index(offer.rank) if offer.rank is not None else len(ranks)
    other = bool(preferred) and offer.key not in preferred
    return NOT_PREFERRED * other + LOWER_RANK * place + SHORT_DAY * short_days(audition, offer)


class Case:
    """Dates in order of time are the nodes of `graph`; a group is an audition of `auditions`.

    A path costs points * big + dislike. refused: by offer, of the auditions kept.
    """

    def __init__(self, problem: Problem):
        self.problem = problem
        self.journeys = Journeys(problem)
        kept = [audition for audition in problem.auditions if audition.kept]
        self.over = tuple(audition for audition in kept if over(problem, audition))
        self.auditions = tuple(audition for audition in kept if not over(problem, audition))
        self.refused: dict[str, Refused] = {}
        self.dates = self._dates()
        self.node = {date.offer.key: node for node, date in enumerate(self.dates)}
        disliked = {
            offer.key: dislike(problem, audition, offer)
            for audition in self.auditions
            for offer in audition.offers
        }
        self.disliked = [disliked[date.offer.key] for date in self.dates]
        self.big = 1 + sum(
            max((disliked[offer.key] for offer in audition.offers), default=0)
            for audition in self.auditions
        )
        self.back = [self.journeys.back(date) for date in self.dates]
        self.out = [self.journeys.out(date) for date in self.dates]
        self.graph = self._graph()

    def _dates(self) -> tuple[Date, ...]:
        found = []
        for audition in self.auditions:
            for offer in audition.offers:
                why = refused(self.problem, audition, offer)
                if why:
                    self.refused[offer.key] = why
                else:
                    found.append(self._date(audition, offer))
        return tuple(sorted(found, key=lambda one: (one.start, one.end, one.offer.key)))

    def _date(self, audition: Audition, offer: Offer) -> Date:
        stop, on = stop_of(self.problem, audition, offer), offer.on.toordinal()
        clock = self.clock(stop.zone)
        starts, ends = times(offer, self.problem)
        start, end = clock.at(on, starts), clock.at(on, ends)
        fixed = audition.fixed == offer.key
        return Date(audition, offer, stop, clock, on, start, max(start, end), fixed)

    def clock(self, zone: str) -> Clock:
        """Return the clocks of a zone, the same ones each time."""
        known = self.__dict__.setdefault("_clocks", {self.journeys.home.zone: self.journeys.clock})
        if zone not in known:
            known[zone] = Clock(zone)
        return known[zone]

    # ---- the graph

    def _graph(self) -> Graph:
        groups: dict[str, list[int]] = {audition.key: [] for audition in self.auditions}
        for node, one in enumerate(self.dates):
            groups[one.audition.key].append(node)
        big, disliked = self.big, self.disliked
        first = (
            legs[0].cost * big + disliked[node] if legs else None
            for node, legs in enumerate(self.out)
        )
        last = (legs[0].cost * big if legs else None for legs in self.back)
        arcs = (tuple(self._arcs(node)) for node in range(len(self.dates)))
        return Graph(tuple(map(tuple, groups.values())), tuple(first), tuple(last), tuple(arcs))

    def _arcs(self, node: int) -> Iterable[tuple[int, int]]:
        one, back = self.dates[node], self.back[node]
        settled = max((leg.arrive for leg in back), default=0) + self.journeys.settings.rest_minutes
        home_on = max((leg.last_day for leg in back), default=0)
        stays = one.on + self.journeys.settings.gap_days
        for to in range(node + 1, len(self.dates)):
            other, out = self.dates[to], self.out[to]
            if other.audition is one.audition:
                continue
            apart = other.on > stays and back and out
            if apart and all(leg.leave >= settled and leg.first_day > home_on for leg in out):
                cost = back[0].cost + out[0].cost
            else:
                cost = min((cost for cost, _ in self._joined(node, to)), default=None)
            if cost is not None:
                yield to, cost * self.big + self.disliked[to]

    def _joined(self, node: int, to: int) -> Iterable[tuple[int, tuple[Leg, ...]]]:
        one, other = self.dates[node], self.dates[to]
        return joined(self.journeys, one, other, self.back[node], self.out[to])

    def legs(self, node: int | None, to: int | None) -> tuple[Leg, ...]:
        """Return the legs of the cheapest way from one node to the other; None is home."""
        if node is None:
            return (self.out[to][0],)
        if to is None:
            return (self.back[node][0],)
        return min(self._joined(node, to), key=lambda found: found[0])[1]


def times(offer: Offer, problem: Problem) -> tuple[time, time]:
    """Return when the audition begins and ends by the clocks at the place; the day where not
    stated."""
    settings = problem.settings
    starts, ends = offer.starts, offer.ends
    if starts is None:
        starts = settings.day_starts if ends is None else min(settings.day_starts, ends)
    if ends is None:
        ends = settings.day_ends
        if ends <= starts:
            ends = _later(starts, UNSTATED_MINUTES)
    return starts, ends


def _later(clock: time, minutes: int) -> time:
    """Return the time so many minutes later, at most the last minute of the day."""
    at = datetime.combine(date(2000, 1, 1), clock)
    later = at + timedelta(minutes=minutes)
    return later.time() if later.date() == at.date() else time(23, 59)
