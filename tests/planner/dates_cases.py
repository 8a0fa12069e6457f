"""Invented seasons of dates for tests and the benchmark."""

import random
from datetime import date, time, timedelta

from planner.dates import (
    Audition,
    Closed,
    Offer,
    Own,
    Problem,
    Settings,
    Weights,
)
from planner.dates.graph import Graph
from planner.travel import Place, Point

TODAY = date(2026, 11, 28)
# Points of plain towns, rounded; each with its zone.
TOWNS = (
    ("America/Chicago", 41.6, -87.3), ("America/New_York", 40.8, -73.9),
    ("America/Detroit", 42.3, -83.7), ("America/Chicago", 36.2, -86.8),
    ("America/Denver", 39.7, -105.0), ("America/Los_Angeles", 34.1, -118.3),
    ("America/Phoenix", 33.4, -112.0), ("America/New_York", 42.4, -71.1),
    ("America/Chicago", 30.0, -90.1), ("America/Los_Angeles", 47.6, -122.3),
    ("America/New_York", 33.8, -84.4), ("America/Chicago", 32.8, -96.8),
    ("America/New_York", 41.1, -85.1), ("Europe/London", 51.5, -0.1),
    ("Asia/Tokyo", 35.7, 139.7), ("America/New_York", 39.1, -84.5),
)  # fmt: skip


def small(seed):
    """Return a small season in which every rule comes to bear now and then."""
    r = random.Random(seed)
    settings = _settings(r)
    home = _place(r, r.choice(TOWNS[:13] if r.random() < 0.9 else TOWNS))
    first = date(2027, 1, 11) if r.random() < 0.8 else date(2027, 3, 10)
    near = r.random() < 0.7
    auditions = tuple(
        _audition(r, f"a{number}", first, near) for number in range(r.choice((1, 2, 2, 3, 3, 4)))
    )
    offers = [offer.key for audition in auditions for offer in audition.offers]
    pinned = [r.choice(offers)] if r.random() < 0.15 else []
    banned = [key for key in offers if key not in pinned and r.random() < 0.06]
    closed = [
        Closed(day, day + timedelta(days=r.randint(0, 2)), "Concert")
        for _ in range(r.choice((0, 0, 0, 1, 2)))
        for day in [first + timedelta(days=r.randint(0, 13))]
    ]
    return Problem(
        today=first - timedelta(days=r.choice((0, 40, 40, 40))),
        home=home,
        auditions=auditions,
        pinned=tuple(pinned),
        banned=tuple(banned),
        preferred=tuple(key for key in offers if r.random() < 0.1),
        closed=tuple(closed),
        school_weekdays=r.choice(((0, 1, 2, 3, 4), (0, 1, 2, 3, 4), (), (0, 2, 4, 5))),
        school_off=tuple(first + timedelta(days=n) for n in range(14) if r.random() < 0.1),
        own=_own(r, auditions),
        weights=Weights(r.choice((0, 7, 12, 13)), r.choice((0, 40)), r.choice((0, 60, 300))),
        settings=settings,
        explain=False,
    )


def _settings(r):
    return Settings(
        leave_from=r.choice((time(6), time(6), time(9, 30))),
        home_by=r.choice((time(23), time(23), time(23), time(19, 15), time(14))),
        margin_minutes=r.choice((0, 60, 90)),
        long_minutes=r.choice((60, 240, 240, 600)),
        zone_hours=r.choice((1, 2, 2, 4)),
        rest_minutes=r.choice((0, 120, 480, 480, 1200)),
        gap_days=r.choice((0, 1, 3, 3, 5)),
        fly=r.random() < 0.7,
        fly_from_km=r.choice((200, 500, 1800)),
        night_money=r.choice((0, 110)),
        school_from=r.choice((time(8), time(12))),
        school_to=r.choice((time(13), time(15))),
    )


def _place(r, town):
    zone, latitude, longitude = town
    point = Point(latitude + r.uniform(-1, 1), longitude + r.uniform(-1, 1))
    return Place("Somewhere", point, zone)


def _audition(r, key, first, near):
    town = r.choice(TOWNS[:4]) if near else r.choice(TOWNS)
    place = _place(r, town)
    if r.random() < 0.06:
        place = Place("Nowhere", None, r.choice((None, town[0])))
    offers = tuple(_offer(r, f"{key}-{number}", first) for number in range(r.choice((1, 2, 3, 3))))
    fixed = r.choice(offers).key if r.random() < 0.1 else None
    ready = first + timedelta(days=r.randint(0, 12)) if r.random() < 0.3 else None
    site = r.choice(("", "", "", "one", key))
    return Audition(key, key, place, offers, site, fixed, r.random() < 0.95, ready_on=ready)


def _offer(r, key, first):
    on = first + timedelta(days=r.choice((4, 5, 11, 12, r.randint(0, 13))))
    start = time(r.randint(7, 20), r.choice((0, 15, 30)))
    end = start.replace(hour=min(23, start.hour + r.randint(0, 3)))
    starts, ends = r.choice(((start, end), (start, end), (start, end), (start, None), (None, None)))
    return Offer(
        key,
        on,
        starts,
        ends,
        book_by=first - timedelta(days=r.randint(-5, 60)) if r.random() < 0.1 else None,
        place=_place(r, r.choice(TOWNS[:4])) if r.random() < 0.07 else None,
        rank=r.randint(1, 3) if r.random() < 0.3 else None,
    )


def _own(r, auditions):
    keys = ["", *(audition.key for audition in auditions)]
    pairs = [(a, b) for i, a in enumerate(keys) for b in keys[i + 1 :] if r.random() < 0.12]
    minutes = (None, 0, 30, 200, 1500)
    money = (None, 0, 55)
    return tuple(Own(*pair, r.choice(minutes), r.choice(money)) for pair in pairs)


def typical(seed, institutions, explain=False):
    """Return a season of ten weeks over a continent, one to eight dates an institution.

    All dates are Fridays and Saturdays; most have their times.
    """
    r = random.Random(1000 * institutions + seed)
    days = [
        date(2027, 1, 8) + timedelta(days=7 * week + day) for week in range(10) for day in (0, 1)
    ]
    towns = [town for town in TOWNS if town[0].startswith("America")]
    auditions = []
    for number in range(institutions):
        key = f"i{number}"
        chosen = sorted(r.sample(days, r.randint(1, 8)))
        offers = tuple(
            Offer(
                f"{key}-{n}",
                on,
                *r.choice(((time(9), time(12)), (time(13), time(16)), (None, None))),
            )
            for n, on in enumerate(chosen)
        )
        auditions.append(
            Audition(key, f"Institution {number}", _place(r, r.choice(towns)), offers, key)
        )
    return Problem(
        TODAY, _place(r, r.choice(towns)), tuple(auditions), explain=explain, seconds=60.0
    )


def graph(seed, groups, most=4, density=0.8, lowest=1):
    """Return a random graph with up to `most` nodes in each of the groups."""
    r = random.Random(seed)
    owners = [group for group in range(groups) for _ in range(r.randint(1, most))]
    r.shuffle(owners)
    nodes = range(len(owners))

    def cost():
        return r.randint(lowest, 60) if r.random() < density else None

    arcs = [
        tuple((to, value) for to in nodes[node + 1 :] if (value := cost()) is not None)
        for node in nodes
    ]
    return Graph(
        tuple(tuple(n for n in nodes if owners[n] == group) for group in range(groups)),
        tuple(cost() for _ in nodes),
        tuple(cost() for _ in nodes),
        tuple(arcs),
    )
