"""A worked problem: three players before two judges of an invented institution."""

from planner.rubric.model import Problem, Sheet


def example() -> Problem:
    """Return the problem: one passes, one is stopped by a gate, one is not scored in full."""
    return Problem(
        rubric="tone: 20; technique: 20, times 1.5; scales: 15, at least 7; sight-reading: 35; "
        "memory slips: minus 2 each, at most 10; pass: 70; ties: tone, technique",
        sheets=(
            Sheet("Ines", "tone: 17; technique: 16; scales: 12; sight-reading: 24", "Amadi"),
            Sheet(
                "Ines",
                "tone: 16; technique: 17; scales: 13; sight-reading: 26; memory slips: 1",
                "Brandt",
            ),
            Sheet("Jun", "tone: 18; technique: 19; scales: 6; sight-reading: 30", "Amadi"),
            Sheet("Mila", "tone: 15; technique: 14; scales: 11", "Amadi"),
        ),
    )
