"""What usually goes into the case, by family: a list to start from, for the teacher to edit."""

import csv
from functools import cache
from pathlib import Path

FILE = Path(__file__).with_name("case.csv")


@cache
def usual_case(family):
    """Return the usual things for an instrument of `family`, one a line."""
    with FILE.open(encoding="utf-8") as file:
        rows = [row for row in csv.DictReader(file) if row["family"] in {"all", family}]
    return "\n".join(row["thing"] for row in rows)
