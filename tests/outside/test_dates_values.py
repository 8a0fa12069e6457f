"""The dates against published values."""

import math
from dataclasses import replace
from datetime import date, time

from planner.dates import Audition, Offer, Own, Problem, Settings, answer
from planner.dates.clocks import Clock
from planner.dates.graph import Graph
from planner.dates.search import least, several
from planner.travel import Place

# TSPLIB's burma14 ("14-Staedte in Burma", Zaw Win): degrees and minutes, as DDD.MM. Coordinates and
# the first rows of distances read in a public repository's example for pytsp; the optimum 3323 in
# a public repository's list of TSPLIB's best scores. Both recomputed (Held-Karp) here.
BURMA = (
    (16.47, 96.10), (16.47, 94.44), (20.09, 92.54), (22.39, 93.37), (25.23, 97.24),
    (22.00, 96.05), (20.47, 97.02), (17.20, 96.29), (16.30, 97.38), (14.05, 98.12),
    (16.53, 97.38), (21.52, 95.59), (19.41, 97.13), (20.09, 94.55),
)  # fmt: skip


def geo(a, b):
    """Return the distance of TSPLIB 95's GEO, whole kilometres (Reinelt, from memory)."""

    def radians(value):
        degrees = int(value)
        return 3.141592 * (degrees + 5 * (value - degrees) / 3) / 180

    lat, lon = zip(*((radians(x), radians(y)) for x, y in (a, b)), strict=True)
    q1 = math.cos(lon[0] - lon[1])
    q2, q3 = math.cos(lat[0] - lat[1]), math.cos(lat[0] + lat[1])
    return int(6378.388 * math.acos(0.5 * ((1 + q1) * q2 - (1 - q1) * q3)) + 1)


def test_distances_of_burma14():
    assert geo(BURMA[0], BURMA[1]) == 153
    assert geo(BURMA[0], BURMA[2]) == 510
    assert geo(BURMA[4], BURMA[9]) == 1261


def expanded(towns):
    """Return a tour as dates: from the first town each of the others on any of as many days.

    Who has every town on every day, and one a day, may take them in any order.
    """
    home, stops = towns[0], towns[1:]
    days = len(stops)
    where = [(day, stop) for day in range(days) for stop in range(days)]
    number = {place: node for node, place in enumerate(where)}
    groups = tuple(tuple(number[day, stop] for day in range(days)) for stop in range(days))
    arcs = tuple(
        tuple(
            (number[day + 1, to], geo(stops[stop], stops[to]))
            for to in range(days)
            if to != stop and day + 1 < days
        )
        for day, stop in where
    )
    ends = [geo(home, stops[stop]) for _, stop in where]
    first = tuple(cost if day == 0 else None for cost, (day, _) in zip(ends, where, strict=True))
    last = tuple(
        cost if day == days - 1 else None for cost, (day, _) in zip(ends, where, strict=True)
    )
    return Graph(groups, first, last, arcs)


def test_the_tour_of_burma14_is_3323():
    found = least(expanded(BURMA), range(13))
    assert (found.cost, found.proven) == (3323, True)


def test_the_stagecoach_problem_costs_11_by_three_ways():
    """Hillier and Lieberman, Introduction to Operations Research (from memory; recomputed)."""
    costs = {
        "A": {"B": 2, "C": 4, "D": 3}, "B": {"E": 7, "F": 4, "G": 6}, "C": {"E": 3, "F": 2, "G": 4},
        "D": {"E": 4, "F": 1, "G": 5}, "E": {"H": 1, "I": 4}, "F": {"H": 6, "I": 3},
        "G": {"H": 3, "I": 3}, "H": {"J": 3}, "I": {"J": 4},
    }  # fmt: skip
    names = "BCDEFGHI"
    stages = Graph(
        groups=((0, 1, 2), (3, 4, 5), (6, 7)),
        first=tuple(costs["A"].get(name) for name in names),
        last=tuple(costs[name].get("J") for name in names),
        arcs=tuple(
            tuple((names.index(to), cost) for to, cost in costs[name].items() if to != "J")
            for name in names
        ),
    )
    found = several(stages, range(3), 4)
    assert [one.cost for one in found][:3] == [11, 11, 11]
    assert found[3].cost > 11
    paths = {"".join(names[node] for node in one.path) for one in found[:3]}
    assert paths == {"CEH", "DEH", "DFI"}


# ---- clocks


def test_minutes_that_pass_in_the_night_of_the_change():
    """15 USC 260a: clocks go forward on 14 March 2027 at 2:00; zoneinfo gives 9 hours."""
    clock = Clock("America/New_York")
    night = clock.at(date(2027, 3, 13).toordinal(), time(22))
    assert clock.at(date(2027, 3, 14).toordinal(), time(8)) - night == 9 * 60


def test_new_york_and_london_are_four_hours_apart_in_march():
    """Between the changes of 14 March (15 USC 260a) and 28 March 2027 (tzdata)."""
    day = date(2027, 3, 20).toordinal()
    new_york, london = Clock("America/New_York"), Clock("Europe/London")
    assert new_york.at(day, time(12)) - london.at(day, time(12)) == 4 * 60


def flight(minutes, on, starts, there):
    """Return the hops of a journey from Los Angeles, all by own figures."""
    one = Audition("a", "A", Place("There", None, there), (Offer("a1", on, starts, time(23, 30)),))
    problem = Problem(
        today=date(2027, 1, 1),
        home=Place("Home", None, "America/Los_Angeles"),
        auditions=(one,),
        own=(Own("", "a", minutes, 0),),
        settings=Settings(margin_minutes=0, zone_hours=9, long_minutes=1000),
        explain=False,
    )
    return answer(problem).plan.trips[0].hops


def test_from_los_angeles_at_9_one_is_in_new_york_at_17_30():
    """5 h 30 min on 5 February 2027; zoneinfo."""
    hop = flight(330, date(2027, 2, 5), time(17, 30), "America/New_York")[0]
    assert hop.leave.isoformat() == "2027-02-05T09:00:00-08:00"
    assert hop.arrive.isoformat() == "2027-02-05T17:30:00-05:00"


def test_the_night_of_the_change_is_an_hour_shorter():
    """Chicago 2027-03-14 9:30 less 55 and 480 minutes: zoneinfo and the Temporal polyfill."""
    clock = Clock("America/Chicago")
    call = clock.at(date(2027, 3, 14).toordinal(), time(9, 30))
    assert clock.shown(call - 210).isoformat() == "2027-03-14T06:00:00-05:00"
    assert clock.shown(call - 690).isoformat() == "2027-03-13T21:00:00-06:00"


def test_rest_counts_the_minutes_that_pass():
    """Home at 23:00, away at 8:00 in the night of 14 March 2027: eight hours, not nine."""
    problem = Problem(
        today=date(2027, 1, 1),
        home=Place("Home", None, "America/New_York"),
        auditions=tuple(
            Audition(key, key, Place(key, None, "America/New_York"), (Offer(key, *when),))
            for key, when in (
                ("a", (date(2027, 3, 13), time(20), time(23))),
                ("b", (date(2027, 3, 14), time(9), time(10))),
            )
        ),
        settings=Settings(gap_days=0, rest_minutes=480),
        explain=False,
    )
    assert answer(problem).plan is not None
    longer = replace(problem, settings=replace(problem.settings, rest_minutes=481))
    assert answer(longer).plan is None
