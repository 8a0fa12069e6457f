"""What is wrong with a problem, said so that it can be put right."""

from datetime import date, time

from planner.dates.clocks import of_day
from planner.dates.model import HOME, Audition, Offer, Own, Problem, Settings
from planner.refusing import quoted, require, unique
from planner.travel import LONGEST_MINUTES

MOST = 100_000  # money for one way, a night, an hour: more is a slip of the keyboard
YEARS = range(1971, 2201)
SHORTEST_DAY = 60  # minutes between leave_from and home_by
AUDITIONS, OFFERS = 60, 40  # of one student; more is a slip of a spreadsheet


def validate(problem: Problem) -> None:
    """Raise ValueError, naming the place, if `problem` makes no sense."""
    require(problem.home.zone is not None, "home: write its time zone, as America/Chicago")
    require(problem.seconds > 0, "seconds has to be above 0")
    _year(problem.today, "today")
    _settings(problem.settings)
    for name in ("hour", "night", "school_day"):
        _between(getattr(problem.weights, name), 0, MOST, f"weights, {name}")
    _auditions(problem)
    for number, closed in enumerate(problem.closed):
        where = f"closed[{number}], {closed.name}"
        require(closed.first <= closed.last, f"{where}: first is after last")
        _year(closed.first, where)
        require((closed.last - closed.first).days <= 1000, f"{where}: more than 1,000 days")
    require(set(problem.school_weekdays) <= set(range(7)), "school_weekdays: Monday is 0, Sunday 6")
    keys = {HOME, *(audition.key for audition in problem.auditions)}
    unique((" and ".join(sorted((o.start, o.end))) for o in problem.own), "own")
    for own in problem.own:
        _own(own, keys)


def _between(value: int, least: int, most: int, where: str) -> None:
    require(least <= value <= most, f"{where}: give {least} to {most:,}")


def _year(day: date, where: str) -> None:
    require(day.year in YEARS, f"{where}: give a year from {YEARS[0]} to {YEARS[-1]}")


def _auditions(problem: Problem) -> None:
    require(len(problem.auditions) <= AUDITIONS, f"auditions: give at most {AUDITIONS}")
    names = unique((audition.key for audition in problem.auditions), "auditions")
    require(HOME not in names, "auditions: a key cannot be empty")
    every = (offer.key for audition in problem.auditions for offer in audition.offers)
    offers = unique(every, "offers")
    for name in ("pinned", "banned", "preferred"):
        keys = unique(getattr(problem, name), name)
        require(keys <= offers, f"{name}: no offer {quoted(keys - offers)}")
    both = set(problem.pinned) & set(problem.banned)
    require(not both, f"{quoted(both)} is both pinned and banned: choose one")
    for audition in problem.auditions:
        _audition(audition, problem)


def _audition(audition: Audition, problem: Problem) -> None:
    where = f"audition {audition.name} ({audition.key})"
    keys = {offer.key for offer in audition.offers}
    require(len(keys) <= OFFERS, f"{where}: give at most {OFFERS} offers")
    _between(audition.worth, 1, 10, f"{where}, worth")
    fixed = audition.fixed
    require(fixed is None or fixed in keys, f"{where}: fixed is no offer of it")
    pinned = keys & set(problem.pinned)
    require(len(pinned) < 2, f"{where}: {quoted(pinned)} are both pinned: choose one")
    for offer in audition.offers:
        _offer(offer, f"{where}, offer {offer.key}")


def _offer(offer: Offer, where: str) -> None:
    _year(offer.on, where)
    if None not in (offer.starts, offer.ends):
        require(offer.starts <= offer.ends, f"{where}: it ends before it starts")
    for clock in (offer.starts, offer.ends):
        _whole(clock, where)
    require(offer.rank is None or offer.rank >= 1, f"{where}: rank 1 is the best")


def _whole(clock: time | None, where: str) -> None:
    require(clock is None or not clock.second, f"{where}: write times in whole minutes")


def _own(own: Own, keys: set[str]) -> None:
    where = f"own, {own.start or 'home'} to {own.end or 'home'}"
    require({own.start, own.end} <= keys, f"{where}: write keys of auditions, or nothing for home")
    require(own.start != own.end, f"{where}: write two different stops")
    if own.minutes is not None:
        _between(own.minutes, 0, LONGEST_MINUTES, f"{where}, minutes")
    if own.money is not None:
        _between(own.money, 0, MOST, f"{where}, money")


def _settings(settings: Settings) -> None:
    for name in ("leave_from", "home_by", "day_starts", "day_ends", "school_from", "school_to"):
        _whole(getattr(settings, name), f"settings, {name}")
    day = of_day(settings.home_by) - of_day(settings.leave_from)
    require(day >= SHORTEST_DAY, "settings: home_by has to be an hour after leave_from, or more")
    require(settings.day_starts < settings.day_ends, "settings: day_ends before day_starts")
    require(settings.school_from < settings.school_to, "settings: school_to before school_from")
    for name, most in (
        ("margin_minutes", 1440), ("long_minutes", LONGEST_MINUTES), ("zone_hours", 48),
        ("rest_minutes", LONGEST_MINUTES), ("gap_days", 60), ("fly_from_km", 50_000),
        ("fly_fixed_minutes", 1440), ("fly_money", MOST), ("fly_money_per_1000_km", MOST),
        ("km_money", MOST), ("night_money", MOST),
    ):  # fmt: skip
        _between(getattr(settings, name), 0, most, f"settings, {name}")
    _between(settings.fly_km_per_hour, 1, 10_000, "settings, fly_km_per_hour")
