"""From minutes to a session: stretches in the order in which they are played.

Hard pieces come first, while the head is fresh; more than the longest stretch on one piece is
parted, and its second stretch comes after everything else had its first; a run-through ends the
day. Common practice, no source.
"""

from planner.practice.case import Case
from planner.practice.model import Day, Stretch
from planner.practice.spread import DATE, REST, Given
from planner.practice.wishes import Wishes
from planner.readiness.words import days as days_of


def sessions(case: Case, plan: dict[int, dict[int, Given]], wishes: Wishes) -> tuple[Day, ...]:
    """Return every day with practice."""
    made = []
    for day in sorted({*plan, *wishes.runs}):
        stretches = (*_pieces(case, plan.get(day, {})), *_runs(wishes, day))
        made.append(
            Day(
                on=case.day(day),
                available=case.caps[day],
                minutes=sum(one.minutes for one in stretches),
                light=day in wishes.light,
                stretches=stretches,
            )
        )
    return tuple(made)


def parted(minutes: int, longest: int) -> list[int]:
    """Return as few stretches as can be, as equal as can be, the longer first."""
    count = -(-minutes // longest)
    each, over = divmod(minutes, count)
    return [each + 1] * over + [each] * (count - over)


def _pieces(case: Case, given: dict[int, Given]) -> list[Stretch]:
    found = []
    for i, one in given.items():
        piece = case.pieces[i]
        for turn, minutes in enumerate(parted(one.minutes, case.settings.longest)):
            place = (turn, -piece.hard, piece.due, piece.key)
            why = _why(case, one.why)
            found.append((place, Stretch(piece.key, piece.name, minutes, "piece", why)))
    return [stretch for _, stretch in sorted(found, key=lambda one: one[0])]


def _why(case: Case, rule: str) -> str:
    if rule == DATE:
        return "otherwise too much would be left for later days"
    if rule == REST:
        if not case.settings.rest_days:
            return "it is played every day"
        return f"otherwise it would rest for more than {days_of(case.settings.rest_days)}"
    return "its even share of the days up to its date"


def _runs(wishes: Wishes, day: int) -> list[Stretch]:
    return [
        Stretch(
            one.key,
            one.name,
            one.minutes,
            "run-through",
            "the whole programme without a stop, as on the day",
        )
        for one in wishes.runs.get(day, ())
    ]
