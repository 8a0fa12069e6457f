"""What the server has confirmed survives its sudden end, a hundred times; a minute or so."""

import re
import subprocess
import sys

import pytest
from django.conf import settings
from django.db import connection

from studio.accounts.history import acting
from studio.accounts.models import Change
from studio.requirements.models import Piece
from tests.factories import StudioFactory
from tests.torture import Tally, Writing, look

ROUNDS = 100


@pytest.mark.skipif(connection.vendor != "sqlite", reason="it kills a server on a SQLite file")
def test_nothing_confirmed_is_lost_when_the_server_is_killed():
    done = subprocess.run(  # noqa: S603
        [sys.executable, "-m", "tests.torture", str(ROUNDS)],
        cwd=settings.BASE_DIR,
        capture_output=True,
        text=True,
        check=False,
    )
    assert done.returncode == 0, done.stdout + done.stderr
    answered = int(re.search(r"(\d+) writes answered, 0 of them lost", done.stdout)[1])
    assert answered >= ROUNDS, "hardly anything was written, so nothing is tried"


@pytest.fixture
def written(db):
    """Two pieces, written down with their history."""
    studio = StudioFactory()
    with acting(None):
        return [
            Piece.objects.create(studio=studio, composer="Invented", work=f"r0-w{n}-0")
            for n in range(2)
        ]


def seen(*answered):
    tally = Tally()
    look("r0-", [Writing("", "", None, list(answered))], tally)
    return tally


def test_it_notices_what_is_lost_and_what_is_written_by_halves(written):
    first, second = written
    all_there = seen("r0-w0-0")
    assert (all_there.answered, all_there.unanswered) == (1, 1)
    assert all_there.lost == all_there.halved == []
    assert seen("r0-w0-0", "r0-w0-1").lost == ["r0-w0-1"]
    Piece.objects.filter(pk=first.pk)._raw_delete("default")
    assert seen().halved == [("requirements.piece", first.pk)]
    Change.objects.filter(object_pk=second.pk, model="requirements.piece").delete()
    assert ("requirements.piece", second.pk) in seen().halved
    assert seen("r0-w1-0").lost == ["r0-w1-0"]
