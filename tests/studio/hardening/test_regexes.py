"""Text that would keep a pattern busy: a long field is read in a moment, whatever stands in it.

Every compiled pattern of planner and studio is found by itself, so that a new one is tried as well.
"""

import importlib
import pkgutil
import re
import time

import pytest
from django.core.exceptions import ValidationError

import planner
import studio
from planner.repertoire.notation import read_rules, read_together
from planner.rubric.notation import read_points, read_rubric
from planner.scales.notation import read_scales
from studio.days.models import read_extras
from studio.workbook.moments import read_date, read_time

SECONDS = 0.5  # for a text of LONGEST letters; a pattern that runs away takes minutes
LONGEST = 2_000
SEEDS = (
    " ",
    "a",
    "1",
    "a ",
    "1 ",
    ", ",
    "; ",
    " and ",
    " or ",
    "not ",
    "a: ",
    "1, ",
    "1.",
    "1-",
    "(1 min",
    "\t ",
    '"',
    "“a",
    " to ",
    "minutes: ",
    "C sharp ",
    "½",
    "10:30 ",
    "1'",
    "=",
    "up to 3 ",
    "slurred ",
    "\n",
    "é",
)
ENDS = ("", "!", "\x00", " x", ")", ":")


def compiled():
    """Yield (where, pattern) for every pattern that a module keeps."""
    for package in (planner, studio):
        for found in pkgutil.walk_packages(package.__path__, f"{package.__name__}."):
            if ".migrations." in found.name or ".management." in found.name:
                continue
            if found.name.endswith(("__main__", "wsgi")):
                continue
            module = importlib.import_module(found.name)
            for name, value in vars(module).items():
                for pattern in value if isinstance(value, tuple | list) else [value]:
                    if isinstance(pattern, re.Pattern) and isinstance(pattern.pattern, str):
                        yield f"{found.name}.{name}", pattern


def took(act):
    began = time.process_time()
    act()
    return time.process_time() - began


def runs_away(act):
    """Return the (seed, end) of the texts on which `act`, a function of a text, takes too long."""
    return [
        (seed, end)
        for seed in SEEDS
        for end in ENDS
        if _too_long(act, lambda size, seed=seed, end=end: (seed * size)[: size - len(end)] + end)
    ]


def _too_long(act, text):
    for size in (LONGEST // 8, LONGEST // 4, LONGEST // 2, LONGEST):  # stop before it hangs
        if took(lambda size=size: act(text(size))) > SECONDS:
            return True
    return False


def test_no_pattern_runs_away():
    found = {}
    for where, pattern in compiled():
        found[pattern] = where
    assert len(found) > 40
    slow = {
        where: wrong
        for pattern, where in found.items()
        if (wrong := runs_away(lambda text, p=pattern: (p.fullmatch(text), p.search(text))))
    }
    assert slow == {}


def _quietly(read):
    def act(text):
        try:
            read(text)
        except (ValueError, ValidationError):
            return

    return act


READERS = {
    "rules of a piece": read_rules,
    "pieces together": read_together,
    "rubric": read_rubric,
    "points": read_points,
    "scales": read_scales,
    "date of a cell": read_date,
    "time of a cell": read_time,
    "lines of a day": read_extras,
}


@pytest.mark.parametrize("name", READERS)
def test_no_reader_of_a_notation_runs_away(name):
    assert runs_away(_quietly(READERS[name])) == []


def test_a_pattern_that_runs_away_is_found():
    """Doubling the text doubles it endlessly: (a+)+ is tried on few letters only."""
    runaway = re.compile(r"(a+)+b")
    assert _too_long(lambda text: runaway.fullmatch(text[: 14 + len(text) // 160]), "a".__mul__)
