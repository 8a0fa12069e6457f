"""A worked problem: an invented horn player four weeks before the first of two auditions."""

from datetime import date

from planner.practice.model import Audition, Away, Extra, Piece, Problem


def example() -> Problem:
    """Ines: five pieces, a weekend away, a school concert; every date can be met."""
    fairmont, ardent = date(2027, 2, 6), date(2027, 2, 20)
    eve, last = date(2027, 2, 5), date(2027, 2, 19)
    lesson = date(2027, 1, 11)
    return Problem(
        today=date(2027, 1, 12),
        weekdays=(60, 45, 60, 45, 30, 90, 0),
        pieces=(
            Piece("concerto", "Concerto, first movement", 300, eve, None, 3, lesson),
            Piece("study", "Study 14", 190, eve, None, 2, lesson),
            Piece("scales", "Scales to four flats", 120, eve, None, 1, lesson),
            Piece("excerpt", "Symphony excerpt", 90, last, None, 1, date(2027, 1, 8)),
            Piece("song", "Slow song", 180, last, date(2027, 1, 25)),
        ),
        away=(Away(date(2027, 1, 16), date(2027, 1, 17), "at grandmother's"),),
        extra=(Extra(date(2027, 1, 28), -45), Extra(date(2027, 2, 14), 60)),
        auditions=(
            Audition("fairmont", "Fairmont", fairmont, ("concerto", "study", "scales"), 15),
            Audition("ardent", "Lake Ardent", ardent, ("concerto", "excerpt", "song"), 20),
        ),
    )
