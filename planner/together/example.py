"""A worked problem: an invented studio, two players and one accompanist."""

from datetime import date, time

from planner.dates.model import Audition, Offer
from planner.dates.model import Problem as Dates
from planner.together.clashes import Companion
from planner.together.model import Closed, Problem, Student
from planner.travel import Place, Point

TODAY = date(2026, 12, 1)
HOME = Place("home", Point(37.97, -87.57), "America/Chicago")
FAIRMONT = Place("Fairmont School", Point(39.17, -86.52), "America/Indiana/Indianapolis")
HOLLIS = Place("Hollis College", Point(38.04, -84.50), "America/New_York")


def example() -> Problem:
    """Return a problem in which both cannot take their own best dates."""
    return Problem(
        today=TODAY,
        students=(
            Student("ada", "Ada Amadi", _dates("ada", 0), _with("ada")),
            Student("ben", "Ben Okoro", _dates("ben", 1), _with("ben")),
        ),
        companions=(
            Companion(
                "pia", "Pia Lund", (Closed(date(2027, 2, 19), date(2027, 2, 21), "concerts"),)
            ),
        ),
    )


def _with(student: str) -> tuple[tuple[str, str], ...]:
    return ((f"{student}-fairmont", "pia"), (f"{student}-hollis", "pia"))


def _dates(student: str, turn: int) -> Dates:
    days = [date(2027, 2, 6), date(2027, 2, 13), date(2027, 2, 20), date(2027, 2, 27)]
    order = (days[:2], days[:3]) if turn else (days[1:], days[:2])
    return Dates(
        today=TODAY,
        home=HOME,
        auditions=(
            _audition(f"{student}-fairmont", FAIRMONT, order[0], turn),
            _audition(f"{student}-hollis", HOLLIS, order[1], turn),
        ),
    )


def _audition(key: str, place: Place, days: list[date], turn: int) -> Audition:
    starts, ends = time(10 + turn, 0), time(10 + turn, 15)
    offers = tuple(Offer(f"{key}-{day:%m%d}", day, starts, ends) for day in days)
    return Audition(key, place.name, place, offers, site=place.name)
