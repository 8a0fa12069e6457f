"""A worked problem: an invented trombonist of an invented studio, with five auditions."""

from datetime import date, time

from planner.dates.model import Audition, Closed, Offer, Own, Problem
from planner.travel import Place, Point


def example() -> Problem:
    """Return a season with two auditions that can share a trip, closed days and a fixed date."""
    return Problem(
        today=date(2026, 11, 28),
        home=Place("Quayside", Point(41.59, -87.35), "America/Chicago"),
        auditions=(
            _audition(
                "fairmont",
                "Fairmont School of Music",
                (41.09, -85.13),
                "America/New_York",
                Offer("fairmont-1", date(2027, 1, 23), time(9, 30), time(12, 0), rank=2),
                Offer("fairmont-2", date(2027, 2, 13), time(9, 30), time(12, 0), rank=1),
            ),
            _audition(
                "ardent",
                "Lake Ardent Conservatory",
                (43.05, -76.15),
                "America/New_York",
                Offer("ardent-1", date(2027, 1, 29), book_by=date(2026, 12, 15)),
                Offer("ardent-2", date(2027, 2, 12), book_by=date(2026, 12, 15)),
            ),
            _audition(
                "norwood",
                "Norwood State University",
                (42.28, -83.74),
                "America/Detroit",
                Offer("norwood-1", date(2027, 1, 30), time(13, 0), time(15, 0)),
                Offer("norwood-2", date(2027, 2, 6), time(13, 0), time(15, 0)),
                Offer("norwood-3", date(2027, 2, 20), time(13, 0), time(15, 0)),
                ready_on=date(2027, 2, 1),
            ),
            _audition(
                "carrow",
                "Carrow College",
                (41.66, -91.53),
                "America/Chicago",
                Offer("carrow-1", date(2027, 2, 5), time(10, 0), time(11, 0)),
                Offer("carrow-2", date(2027, 2, 13), time(10, 0), time(11, 0)),
                fixed="carrow-1",
            ),
            _audition(
                "thornhythe",
                "Thornhythe Conservatoire",
                (51.51, -0.12),
                "Europe/London",
                Offer("thornhythe-1", date(2027, 2, 27), time(10, 0), time(16, 0)),
                Offer("thornhythe-2", date(2027, 3, 6), time(10, 0), time(16, 0)),
            ),
        ),
        preferred=("norwood-2",),
        closed=(Closed(date(2027, 2, 26), date(2027, 2, 28), "Winter concert"),),
        school_off=(date(2027, 1, 18), date(2027, 2, 15)),
        own=(Own("", "fairmont", minutes=165),),
    )


def _audition(key, name, point, zone, *offers, **more) -> Audition:
    return Audition(key, name, Place(name, Point(*point), zone), offers, key, **more)
