"""The answer: every player's score by the rubric, in order."""

from planner.clauses import Unclear
from planner.refusing import require
from planner.rubric import words
from planner.rubric.checking import misfits
from planner.rubric.model import Answer, Place, Problem, Rubric, Sheet
from planner.rubric.notation import read_points, read_rubric, write_rubric
from planner.rubric.ranking import Given, by_player, ranks, z_scores
from planner.rubric.score import score

MOST_SHEETS = 2000
VERIFY = "Scored by the rubric as it stands here: verify it with the institution."
NORMALISED = "Ranked by z-scores: how far each judge's total lies from that judge's own mean."
UNRANKED = "Who is not scored in full has no rank."
TIED = "Who stays equal after the order for ties shares a rank."


def answer(problem: Problem) -> Answer:
    """Return the Answer; raise ValueError, with what to do, if the problem makes no sense."""
    rubric = read_rubric(problem.rubric)
    require(bool(rubric.criteria), "Say what is scored, as in “tone: 20”.")
    require(len(problem.sheets) <= MOST_SHEETS, f"There are more than {MOST_SHEETS} sheets.")
    sheets = [_given(rubric, sheet) for sheet in problem.sheets]
    _refuse_twice(sheets)
    z = z_scores(rubric, sheets) if problem.normalise else {}
    order = ranks(rubric, sheets, z)
    places = [
        Place(player, order.get(player), found, z.get(player), words.said(found))
        for player, judges in by_player(sheets).items()
        for found in (score(rubric, judges),)
    ]
    places.sort(key=lambda place: (place.rank is None, place.rank or 0, place.player))
    return Answer(
        rubric=write_rubric(rubric),
        spoken=words.spoken_rubric(rubric),
        places=tuple(places),
        notes=tuple(_notes(problem, places)),
    )


def _given(rubric: Rubric, sheet: Sheet) -> Given:
    require(bool(sheet.player.strip()), "Name the player of every sheet.")
    who = f"{sheet.player}, {sheet.judge}" if sheet.judge else sheet.player
    try:
        points = read_points(sheet.points)
    except Unclear as error:
        raise ValueError(f"{who}: {error}") from None
    if wrong := misfits(rubric, points):
        raise ValueError(f"{who}: {' '.join(wrong)}")
    return Given(sheet.player, sheet.judge, points)


def _refuse_twice(sheets: list[Given]) -> None:
    there: set[tuple[str, str]] = set()
    for sheet in sheets:
        judge = sheet.judge or "one judge"
        twice = f"{sheet.player}: there are two sheets of {judge}; keep one, or name both."
        require((sheet.player, sheet.judge) not in there, twice)
        there.add((sheet.player, sheet.judge))


def _notes(problem: Problem, places: list[Place]):
    yield VERIFY
    if problem.normalise:
        yield NORMALISED
    given = [place.rank for place in places if place.rank is not None]
    if len(given) < len(places):
        yield UNRANKED
    if len(set(given)) < len(given):
        yield TIED
