"""By which deadline a recording is due, and what the name of a file tells."""

from datetime import date

import pytest

from studio.entries.applications_dates import nearest
from studio.entries.recordings_bridge import pictured
from studio.institutions.models import Deadline


def deadlines(*named):
    return [Deadline(name=name, on=on) for name, on in named]


@pytest.mark.parametrize(
    ("named", "round", "due"),
    [
        ([], "screening", None),
        ([("recording", date(2026, 12, 8)), ("video", date(2027, 1, 9))], "screening", 8),
        ([("recording", date(2026, 11, 1)), ("video", date(2027, 1, 9))], "screening", 9),
        ([("recording", date(2026, 11, 1))], "screening", 1),
        (
            [("screening recording", date(2026, 12, 8)), ("final recording", date(2027, 1, 9))],
            "final",
            9,
        ),
        ([("final recording", date(2026, 12, 1)), ("video", date(2027, 1, 9))], "screening", 9),
        ([("final recording", date(2026, 12, 1))], "screening", None),
    ],
)
def test_the_nearest_deadline_of_its_round_counts(named, round, due):
    row, found = nearest(deadlines(*named), round, lambda row: row.on, date(2026, 11, 25))
    assert (found and found.day) == due
    assert (row and row.on) == found


@pytest.mark.parametrize(
    ("file", "picture"),
    [
        ("study.MP4", True),
        ("study.wav", False),
        ("https://films.example/watch.mov?v=1", True),
        ("https://films.example/abc", None),
        ("", None),
    ],
)
def test_a_file_tells_by_its_ending_whether_it_has_a_picture(file, picture):
    assert pictured(file) is picture
