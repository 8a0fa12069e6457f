"""The usual instruments of orchestra and band, to start a studio's list from."""

import csv
from pathlib import Path

from studio.accounts import history
from studio.students.models import Instrument

INSTRUMENTS = Path(__file__).with_name("instruments.csv")


def add_usual_instruments(studio):
    """Add the usual instruments that the studio's list lacks; return them."""
    there = set(studio.instruments.values_list("name", flat=True))
    with INSTRUMENTS.open(encoding="utf-8") as file:
        rows = [row for row in csv.DictReader(file) if row["name"] not in there]
    return history.bulk_create([Instrument(studio=studio, **row) for row in rows])
