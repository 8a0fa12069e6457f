"""Invented studios whose students share accompanists: small ones of every shape, and seasons."""

import random
from collections import Counter
from datetime import date, time, timedelta

from planner.dates.model import Audition, Offer, Settings
from planner.dates.model import Problem as Dates
from planner.together.model import Closed, Companion, Problem, Student
from planner.travel import Place, Point

TODAY = date(2026, 12, 1)
FRIDAY = date(2027, 1, 22)
HOME = (37.97, -87.57)
WEEKS = 10
PER_STUDENT = (3, 8)
OFFERS = 8


def place(name, north, east, zone="America/Chicago"):
    """Return a place so many degrees from home."""
    return Place(name, Point(HOME[0] + north, HOME[1] + east), zone)


def small(seed):
    """Return two to four students with one or two companions, often short of days."""
    rng = random.Random(seed)
    sites = [place(f"Hall {n}", rng.uniform(-2, 2), rng.uniform(-2, 2)) for n in range(3)]
    days = [FRIDAY + timedelta(7 * week + day) for week in range(2) for day in (0, 1)]
    companions = tuple(_companion(rng, n, days) for n in range(rng.randint(1, 2)))
    students = []
    for s in range(rng.randint(2, 4)):
        auditions, pairs = [], []
        for a in range(rng.randint(1, 3)):
            audition = _small_audition(rng, f"s{s}a{a}", sites, days)
            auditions.append(audition)
            if rng.random() < 0.85:
                pairs.append((audition.key, rng.choice(companions).key))
            if rng.random() < 0.1:
                pairs.append((audition.key, rng.choice(companions).key))
        home = place("home", rng.uniform(-0.3, 0.3), rng.uniform(-0.3, 0.3))
        dates = Dates(TODAY, home, tuple(auditions))
        students.append(Student(f"s{s}", f"Student {s}", dates, tuple(dict.fromkeys(pairs))))
    return Problem(TODAY, tuple(students), companions, seconds=60.0)


def _companion(rng, number, days):
    away = ()
    if rng.random() < 0.3:
        day = rng.choice(days)
        away = (Closed(day, day, "a concert"),)
    return Companion(f"c{number}", f"Companion {number}", away, rng.choice((1, 2, 2, 6)))


def _small_audition(rng, key, sites, days):
    at = rng.choice(sites)
    moving = rng.random() < 0.2
    timed, some = rng.random() < 0.5, sorted(rng.sample(days, rng.randint(1, 3)))
    ranks = rng.sample(range(1, 4), 3) if rng.random() < 0.5 else [None] * 3
    offers = []
    for number, day in enumerate(some):
        other = rng.choice(sites)
        elsewhere = other if moving and other != at else None
        starts = time(rng.choice((9, 10, 13, 15)), rng.choice((0, 20))) if timed else None
        ends = time(starts.hour, starts.minute + 30) if timed else None
        offers.append(Offer(f"{key}o{number}", day, starts, ends, None, elsewhere, ranks[number]))
        if timed and rng.random() < 0.3:
            offers.append(Offer(f"{key}p{number}", day, time(16, 30), time(17, 0)))
    return Audition(key, f"{at.name} {key}", at, tuple(offers), site=at.name)


def season(seed, students=60, companions=4, sites=12, needs=0.8):
    """Return a studio's season: dates on Fridays and Saturdays of ten weeks.

    A student has several of the `sites` with up to eight dates each; a companion, the same one for
    all of a student's auditions, comes along to most of them. There is a way to do it all: one was
    laid out before the dates were dealt, with one audition a week for each student.
    """
    rng = random.Random(seed)
    days = [FRIDAY + timedelta(7 * week + day) for week in range(WEEKS) for day in (0, 1)]
    places = [place(f"College {n}", rng.uniform(-4, 4), rng.uniform(-5, 5)) for n in range(sites)]
    offered = [sorted(rng.sample(days, rng.randint(1, 8))) for _ in places]
    layouts = [_Layout(rng, offered) for _ in range(companions)]
    found = []
    for number in range(students):
        chosen = rng.sample(range(sites), rng.randint(*PER_STUDENT))
        dealt = [(site, places[site], offered[site]) for site in chosen]
        companion = number % companions
        found.append(_student(rng, number, f"c{companion}", dealt, layouts[companion], needs))
    some = tuple(Companion(f"c{n}", f"Companion {n}") for n in range(companions))
    return Problem(TODAY, tuple(found), some, seconds=60.0)


class _Layout:
    """At which site a companion could be on which day, and for how many players so far."""

    def __init__(self, rng, offered):
        self.at, self.load = {}, Counter()
        order = [*range(len(offered))] * 2
        rng.shuffle(order)
        for site in order:
            free = [day for day in offered[site] if day not in self.at]
            if free:
                self.at[rng.choice(free)] = site

    def room(self, site, days):
        """Return the first of some days on which there is room for one more at a site."""
        most = Companion("", "").most
        fits = (day for day in days if self.at.get(day) == site and self.load[day] < most)
        return next(fits, None)


def _student(rng, number, companion, dealt, layout, needs):
    auditions, pairs, taken = [], [], set()
    ranked = rng.random() < 0.5
    for site, at, days in dealt:
        key = f"s{number}a{site}"
        some = [day for day in days if rng.random() < 0.9] or days[:1]
        free = [day for day in some if day.isocalendar().week not in taken]
        if not free:
            continue
        room = layout.room(site, free)
        if room and rng.random() < needs:
            layout.load[room] += 1
            pairs.append((key, companion))
        taken.add((room or free[0]).isocalendar().week)
        ranks = rng.sample(range(1, len(some) + 1), len(some)) if ranked else [None] * len(some)
        offers = tuple(
            Offer(f"{key}d{n}", day, rank=rank)
            for n, (day, rank) in enumerate(zip(some, ranks, strict=True))
        )
        auditions.append(Audition(key, at.name, at, offers, f"site {site}"))
    home = place("home", rng.uniform(-0.4, 0.4), rng.uniform(-0.4, 0.4))
    dates = Dates(TODAY, home, tuple(auditions), settings=Settings(fly=False))
    return Student(f"s{number}", f"Student {number}", dates, tuple(pairs))
