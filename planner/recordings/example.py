"""A worked problem: an invented screening recording, half done."""

from datetime import date

from planner.recordings.model import Piece, Problem, Rules, Take


def example() -> Problem:
    """Return the problem: one take serves, one has a cut, one is too old, one piece is missing."""
    return Problem(
        today=date(2026, 12, 8),
        rules=Rules(
            name="the Lindmoor recording",
            pieces=(
                Piece("study", "Study in G minor"),
                Piece("slow", "Concerto, slow movement"),
                Piece("fast", "Concerto, last movement"),
                Piece("excerpt", "Orchestral excerpt"),
            ),
            files="one each",
            fixed_order=True,
            unedited=True,
            piano="without",
            camera="the whole player and the instrument, from the side",
            speaking=False,
            names=False,
            max_age_months=6,
            max_minutes=15,
            video=True,
            form="Upload from the applicant's own account.",
            due=date(2027, 1, 5),
        ),
        takes=(
            Take("t1", "Take 1", ("study",), date(2026, 11, 20), False, False, 2.5, True,
                 "IMG_2041.MOV", ("camera", "speaking", "names", "other rules"), True),
            Take("t2", "Take 2", ("slow",), date(2026, 11, 20), False, True, 4.0, True,
                 "slow final.mp4"),
            Take("t3", "Take 3", ("slow",), date(2026, 11, 27), False, False, 4.5, True,
                 "IMG_2055.MOV", ("camera",)),
            Take("t4", "Take 4", ("fast",), date(2026, 6, 30), None, False, 5.0, True,
                 "spring recital.mp4"),
        ),
    )  # fmt: skip
