"""What is wrong with a problem, said so that it can be put right."""

from collections import Counter
from collections.abc import Iterable

from planner.dates.validate import validate as validate_dates
from planner.together.clashes import Companion
from planner.together.model import Problem, Student

MOST_A_DAY = 100  # auditions with one companion: more is a slip of the keyboard


def validate(problem: Problem) -> None:
    """Raise ValueError, naming the place, if `problem` makes no sense."""
    _require(problem.seconds > 0, "seconds has to be above 0")
    _unique((student.key for student in problem.students), "students")
    companions = _unique((companion.key for companion in problem.companions), "companions")
    for companion in problem.companions:
        _companion(companion)
    for student in problem.students:
        _student(student, companions)


def _require(true: bool, otherwise: str) -> None:
    if not true:
        raise ValueError(otherwise)


def _unique(keys: Iterable[str], where: str) -> set[str]:
    times = Counter(keys)
    twice = ", ".join(f'"{key}"' for key, number in sorted(times.items()) if number > 1)
    _require(not twice, f"{where}: {twice} stands there twice")
    return set(times)


def _companion(companion: Companion) -> None:
    where = f"companion {companion.name} ({companion.key})"
    _require(1 <= companion.most <= MOST_A_DAY, f"{where}: give most 1 to {MOST_A_DAY} a day")
    for closed in companion.away:
        _require(closed.first <= closed.last, f"{where}, away: first is after last")


def _student(student: Student, companions: set[str]) -> None:
    where = f"student {student.name} ({student.key})"
    auditions = {audition.key for audition in student.dates.auditions}
    for audition, companion in student.companions:
        _require(audition in auditions, f'{where}, companions: no audition "{audition}"')
        _require(companion in companions, f'{where}, companions: no companion "{companion}"')
    try:
        validate_dates(student.dates)
    except ValueError as error:
        raise ValueError(f"{where}, dates: {error}") from None
