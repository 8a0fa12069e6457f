"""What is wrong with a problem, said so that it can be put right."""

from datetime import date

from planner.practice.model import Audition, Piece, Problem, Settings
from planner.refusing import require, unique

DAY_MINUTES = 24 * 60
MOST_MINUTES = 100_000  # on one piece; more is a slip of the keyboard
MOST_DAYS = 1000  # ahead
PIECES, AUDITIONS = 200, 60  # of one student
YEARS = range(1971, 2201)


def validate(problem: Problem) -> None:
    """Raise ValueError, naming the place, if `problem` makes no sense."""
    require(problem.today.year in YEARS, f"today: give a year from {YEARS[0]} to {YEARS[-1]}")
    require(len(problem.weekdays) == 7, "weekdays: give seven numbers of minutes, Monday first")
    for minutes in problem.weekdays:
        _between(minutes, 0, DAY_MINUTES, "weekdays")
    require(len(problem.pieces) <= PIECES, f"pieces: give at most {PIECES}")
    require(len(problem.auditions) <= AUDITIONS, f"auditions: give at most {AUDITIONS}")
    keys = unique([piece.key for piece in problem.pieces], "pieces")
    unique([audition.key for audition in problem.auditions], "auditions")
    for piece in problem.pieces:
        _piece(piece, problem.today)
    for audition in problem.auditions:
        _audition(audition, keys, problem.today)
    for away in problem.away:
        require(away.first <= away.last, f"away, {away.name}: first is after last")
    unique([one.on.isoformat() for one in problem.extra], "extra")
    for one in problem.extra:
        _between(one.minutes, -DAY_MINUTES, DAY_MINUTES, f"extra, {one.on}")
    for row in problem.previous:
        _between(row.minutes, 0, DAY_MINUTES, f"previous, {row.on}, {row.piece}")
    _settings(problem.settings)


def _between(value: int, least: int, most: int, where: str) -> None:
    require(least <= value <= most, f"{where}: give {least:,} to {most:,}, not {value:,}")


def _near(day: date, today: date, where: str) -> None:
    far = abs((day - today).days)
    require(far <= MOST_DAYS, f"{where}: {day} is more than {MOST_DAYS:,} days from today")


def _piece(piece: Piece, today: date) -> None:
    where = f"piece {piece.name} ({piece.key})"
    _between(piece.minutes, 0, MOST_MINUTES, f"{where}, minutes")
    _between(piece.hard, 0, 3, f"{where}, hard")
    _near(piece.due, today, f"{where}, due")
    if piece.begin is not None:
        require(piece.begin <= piece.due, f"{where}: it may begin only after it is due")
    if piece.last_played is not None:
        require(piece.last_played <= today, f"{where}: last_played is after today")
        _near(piece.last_played, today, f"{where}, last_played")


def _audition(audition: Audition, keys: set[str], today: date) -> None:
    where = f"audition {audition.name} ({audition.key})"
    _near(audition.on, today, where)
    _between(audition.minutes, 0, DAY_MINUTES, f"{where}, minutes")
    missing = sorted(set(audition.pieces) - keys)
    require(not missing, f'{where}: no piece has the key "{missing[0] if missing else ""}"')


def _settings(settings: Settings) -> None:
    _between(settings.rest_days, 0, 365, "settings, rest_days")
    _between(settings.spare_days, 0, 365, "settings, spare_days")
    _between(settings.light_days, 0, 60, "settings, light_days")
    _between(settings.light_share, 0, 100, "settings, light_share")
    _between(settings.shortest, 1, DAY_MINUTES, "settings, shortest")
    twice = settings.longest >= 2 * settings.shortest
    require(twice, "settings: longest has to be twice shortest or more")
    require(len(settings.run_shares) <= 26, "settings, run_shares: give at most 26 weeks")
    for share in settings.run_shares:
        _between(share, 0, 100, "settings, run_shares")
