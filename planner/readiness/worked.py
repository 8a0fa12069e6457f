"""A worked problem: one horn player, four pieces, three auditions."""

from datetime import date, timedelta

from .model import Audition, Check, Piece, Problem, Slot

_TODAY = date(2027, 1, 12)


def _weekly(last: date, target: float | None, *rows) -> tuple[Check, ...]:
    """Checks a week apart up to `last`; a row is (tempo, marks, memory)."""
    first = last - timedelta(weeks=len(rows) - 1)
    return tuple(
        Check(first + timedelta(weeks=week), tempo, target if tempo else None, marks, memory)
        for week, (tempo, marks, memory) in enumerate(rows)
    )


def example() -> Problem:
    """Ines three weeks before Fairmont: one piece is ready, one was heard only once."""
    lesson = _TODAY - timedelta(days=1)
    concerto = _weekly(
        lesson, 112,
        (60, (0.2, 0.2), 0.0), (68, (0.2, 0.3), 0.0), (76, (0.3, 0.4), 0.0),
        (84, (0.4, 0.4), 0.5), (90, (0.5, 0.5), 0.5), (96, (0.5, 0.6), 0.5),
    )  # fmt: skip
    study = _weekly(
        lesson, 88,
        (40, (0.2,), None), (48, (0.3,), None), (54, (0.4,), None),
        (60, (0.5,), None), (66, (0.6,), None),
    )  # fmt: skip
    scales = _weekly(
        lesson, 88,
        (40, (), 0.0), (46, (), 0.5), (50, (), 0.5), (56, (), 0.5), (64, (0.6,), 1.0),
    )  # fmt: skip
    excerpt = _weekly(lesson, 132, (112, (0.7,), None), (124, (0.8,), None), (130, (0.9,), None))
    return Problem(
        today=_TODAY,
        pieces=(
            Piece("concerto", "Concerto, first movement", concerto, True, 112),
            Piece("study", "Study 14", study, target=88),
            Piece("scales", "Scales to four flats", scales, True, 88),
            Piece("excerpt", "Symphony excerpt", excerpt, target=132),
            Piece("song", "Slow song", _weekly(lesson, None, (None, (0.6, 0.7), None))),
        ),
        auditions=_auditions(),
    )


def _auditions() -> tuple[Audition, ...]:
    """One with everything, one with gaps, one without a date."""
    return (
        Audition(
            "fairmont",
            "Fairmont",
            date(2027, 2, 6),
            (
                Slot("Solo", 30, ("concerto",)),
                Slot("Study", 30, ("study",)),
                Slot("Scales", 20, ("scales",)),
                Slot("Excerpt", 20, ("excerpt",)),
            ),
        ),
        Audition(
            "ardent",
            "Lake Ardent",
            date(2027, 2, 20),
            (Slot("Two contrasting pieces", 2, ("concerto", "song")), Slot("Excerpt", 1)),
        ),
        Audition("carrow", "Carrow", None, (Slot("Solo", 1, ("concerto",)),)),
    )
