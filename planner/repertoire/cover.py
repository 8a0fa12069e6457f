"""The least music that covers the auditions kept."""

from collections.abc import Sequence
from dataclasses import dataclass

from planner.repertoire import rows
from planner.repertoire.case import Case
from planner.repertoire.mip import Model, Relaxed, cost_of, solve
from planner.repertoire.programme import Cover, Programme, Shorts, covered
from planner.repertoire.rows import ON, Layout, Short
from planner.repertoire.seating import Seating, Undecided
from planner.repertoire.signatures import Unit

TOO_SHORT = "{:g} seconds are not enough for a plan: allow more"
NO_PLAN = "there is a plan for each audition, but none for all"
LOCAL = 10.0  # seconds for a single audition at least: that much is always to be had


class OutOfTime(ValueError):
    """Not even a single audition was covered in the time given."""


def cover(
    case: Case,
    kept: frozenset[str] | None = None,
    *,
    seconds: float,
    lacking: Shorts | None = None,
    hours_only: bool = False,
    worth: int | None = None,
) -> Cover:
    """Return the plan of the fewest minutes that covers the auditions `kept` (None: the case's).

    Then the fewest pieces, then the most preferred ones, unless `hours_only`. An audition that
    cannot be covered is covered as far as it can be. lacking: by how much units may fall short,
    as of `shortfalls`, which is asked if None. worth: leave auditions out as long as the rest
    is worth this much to the student; of plans of the same minutes the one worth most. seconds:
    time limit, as the solvers count it.

    Raises OutOfTime, and Unsound if the plan found breaks the problem.
    """
    kept = case.kept if kept is None else kept
    lacking = shortfalls(case, kept, seconds=seconds) if lacking is None else lacking
    programme = Programme(case, kept, lacking, worth)
    found = programme.plan(seconds, hours_only)
    if programme.infeasible:
        raise ArithmeticError(NO_PLAN)
    return _each(case, kept, seconds) if found is None else found


def _each(case: Case, kept: frozenset[str], seconds: float) -> Cover:
    """Return a plan that covers each audition by itself."""
    if len(kept) == 1:
        raise OutOfTime(TOO_SHORT.format(seconds))
    bound = relaxation(case, kept, seconds=seconds)
    alone = [
        cover(case, frozenset({key}), seconds=max(seconds, LOCAL), hours_only=True)
        for key in sorted(kept)
    ]
    missed = sum(one.unmet for one in alone), sum(one.over for one in alone)
    places = [place for one in alone for place in one.placed]
    return covered(case, kept, places, bound, missed=missed)


def shortfalls(case: Case, kept: frozenset[str] | None = None, *, seconds: float = 10.0) -> Shorts:
    """Return by how much each unit of the auditions `kept` that cannot be covered falls short.

    Whether a unit can be covered hangs on nothing but itself: more music never hurts. Each unit
    is asked once and remembered in the case.
    """
    kept = case.kept if kept is None else kept
    asked = [unit for unit in case.of(kept) if unit not in case.shorts]
    doubtful = [unit for unit in asked if not _fills(unit, len(case.pieces))]
    found = _shorts(doubtful, max(seconds, LOCAL)) if doubtful else {}
    case.shorts.update((unit, found.get(unit, Short())) for unit in asked)
    return {unit: case.shorts[unit] for unit in case.of(kept) if case.shorts[unit] != Short()}


def _fills(unit: Unit, pieces: int) -> bool:
    """Return whether it is plain without a solver that the unit can be covered."""
    try:
        return Seating(unit).fill(range(pieces)) is not None
    except Undecided:
        return False


def _shorts(units: Sequence[Unit], seconds: float) -> dict[Unit, Short]:
    # With every piece prepared no unit has to do with another, so all are asked at once.
    model = Model()
    pieces = {p for unit in units for alike in unit.alikes for p in alike.pieces}
    every = {p: model.column(1, 1) for p in sorted(pieces)}
    layouts = {unit: rows.add(model, unit, every, None, ON) for unit in units}
    values = None
    for part in ("unmet", "missing", "over"):
        columns = [c for layout in layouts.values() for c in getattr(layout, part).values()]
        if not columns:
            continue
        cost = dict.fromkeys(columns, 1)
        values = solve(model, cost, seconds).values
        if values is None:
            raise OutOfTime(TOO_SHORT.format(seconds))
        model.row(list(cost.items()), most=cost_of(cost, values))
    return {unit: _short(layout, values) for unit, layout in layouts.items()}


def _short(layout: Layout, values: Sequence[int] | None) -> Short:
    if values is None:
        return Short()
    return Short(
        *(
            sum(values[column] for column in columns.values())
            for columns in (layout.unmet, layout.missing, layout.over)
        )
    )


def relaxation(
    case: Case,
    kept: frozenset[str] | None = None,
    *,
    seconds: float = 10.0,
    lacking: Shorts | None = None,
) -> int:
    """Return minutes that no plan for the auditions `kept` goes below (linear relaxation)."""
    _, relaxed = _relaxed(case, case.kept if kept is None else kept, seconds, lacking)
    return max(0, relaxed.floor)


def _relaxed(case, kept, seconds, lacking) -> tuple[Programme, Relaxed]:
    lacking = shortfalls(case, kept, seconds=seconds) if lacking is None else lacking
    programme = Programme(case, kept, lacking)
    relaxed = programme.relaxed()
    if relaxed is None:
        raise ArithmeticError(NO_PLAN)
    return programme, relaxed


@dataclass(frozen=True)
class Range:
    """What is known of the minutes of the least plan: from `least` to `most`.

    seconds: how long the solvers took.
    """

    least: int
    most: int
    seconds: float


def fewest(
    case: Case,
    kept: frozenset[str],
    at_hand: int,
    *,
    seconds: float,
    lacking: Shorts | None = None,
) -> Range:
    """Return the minutes of the least plan for the auditions `kept`, faster than `cover` does.

    at_hand: minutes of some plan for them. seconds: time limit, as the solvers count it.
    """
    programme, relaxed = _relaxed(case, kept, seconds, lacking)
    least = max(0, relaxed.floor)
    if least >= at_hand:
        return Range(at_hand, at_hand, relaxed.seconds)
    solved = programme.fewer(relaxed, seconds, at_hand)
    taken = relaxed.seconds + solved.seconds
    most = at_hand
    if solved.values is not None:
        most = min(most, programme.cover(solved.values, solved.bound).minutes)
    return Range(min(max(least, solved.bound), most), most, taken)
