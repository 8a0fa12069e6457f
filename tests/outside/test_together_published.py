"""Dates for all together against a published assignment problem.

No published instance of the question itself is known to us. But one accompanist who is at one place
a day, and students each of whose dates is at a place of its own, are an assignment of students to
days, and of that there are many.
"""

from datetime import date, timedelta

from planner.dates import Audition, Offer, Settings, Weights
from planner.dates import Problem as Dates
from planner.together import Companion, Problem, Student, answer
from planner.travel import Place, Point, great_circle_km

# assign.mod of the GLPK examples, after Christofides: "the optimal solution is 76".
COSTS = (
    (13, 21, 20, 12, 8, 26, 22, 11),
    (12, 36, 25, 41, 40, 11, 4, 8),
    (35, 32, 13, 36, 26, 21, 13, 37),
    (34, 54, 7, 8, 12, 22, 11, 40),
    (21, 6, 45, 18, 24, 34, 12, 48),
    (42, 19, 39, 15, 14, 16, 28, 46),
    (16, 34, 38, 3, 34, 40, 22, 24),
    (26, 20, 5, 17, 45, 31, 37, 43),
)
LEAST, TASKS = 76, [1, 8, 7, 5, 2, 6, 4, 3]

TODAY, FIRST = date(2026, 12, 1), date(2027, 1, 4)
HOME = Place("home", Point(0, 10), "UTC")
SETTINGS = Settings(km_money=100, fly=False)  # so a kilometre of road costs one
ROAD = SETTINGS.road.road_factor


def away(km, name):
    """A place so many kilometres from home by road."""
    degree = great_circle_km(Point(0, 10), Point(1, 10))
    return Place(name, Point(km / ROAD / degree, 10), "UTC")


def student(worker, costs):
    """Somebody who may play on any of eight days, and what the way there costs on each."""
    offers = tuple(
        Offer(f"{worker}-{day}", FIRST + timedelta(day), place=away(km, f"{worker}-{day}"))
        for day, km in enumerate(costs)
    )
    audition = Audition(f"a{worker}", "audition", HOME, offers)
    dates = Dates(
        TODAY, HOME, (audition,), school_weekdays=(), weights=Weights(0, 0, 0), settings=SETTINGS
    )
    return Student(f"w{worker}", f"Worker {worker}", dates, ((audition.key, "pia"),))


def test_students_shared_out_over_the_days_of_one_accompanist():
    students = tuple(student(worker, costs) for worker, costs in enumerate(COSTS))
    found = answer(Problem(TODAY, students, (Companion("pia", "Pia Lund"),)))
    assert found.proven and found.points == 2 * LEAST  # there and back
    days = [one.plan.choices[0].on for one in found.students]
    assert [(day - FIRST).days + 1 for day in days] == TASKS
    assert sum(one.own for one in found.students) == 2 * sum(map(min, COSTS))
