"""Hearings in rows as scores of planner.rubric, and as checks of the pieces that were played.

They come in one column of the entries (`with_hearings`); nothing here queries.
"""

import re
from dataclasses import dataclass
from functools import cached_property, lru_cache

from django.db.models import OuterRef

from planner import readiness, rubric
from planner.rubric import Criterion, Rubric, Score, same
from studio.entries.models import Hearing
from studio.gathered import gathered, inner, read

FIELDS = ("id", "entry_id", "kind", "on", "heard_by", "take_id", "points", "note")
LOWEST_MARK, HIGHEST_MARK = 1, 10
LONGEST_NAME = 60


def with_hearings(entries):
    """Annotate `entries` with their hearings, for `hearings_of`: no query more."""
    own = Hearing.objects.filter(entry=OuterRef("pk"))
    played = Hearing.pieces.through.objects.filter(hearing=OuterRef("pk"))
    found = gathered(own, "entry", FIELDS, played=gathered(played, "hearing", ("piece_id",)))
    return entries.annotate(hearing_rows=found)


@dataclass(frozen=True)
class Scoring:
    """How an entry is scored. own: by the studio's marks, as no rubric is known."""

    rubric: Rubric
    own: bool

    @property
    def lowest(self):
        """The least that can be given for a criterion."""
        return LOWEST_MARK if self.own else 0

    def share(self, line):
        """Return the share, 0 to 1, of a planner.rubric.Line that was scored."""
        return max(float((line.points - self.lowest) / (line.most - self.lowest)), 0.0)


def scoring(entry, studio):
    """Return the Scoring of an entry: by the rubric of its requirements, else by the marks."""
    text = entry.requirement_set.rubric if entry.requirement_set else ""
    known = _rubric(text)
    return Scoring(known or _of_marks(tuple(studio.marks)), own=known is None)


@lru_cache(maxsize=512)
def _rubric(text):
    """The rubric; None where none is written down, or it cannot be read (the set's page says)."""
    try:
        found = rubric.read_rubric(text)
    except ValueError:
        return None
    return found if found.criteria else None


@lru_cache(maxsize=512)
def _of_marks(names):
    plain = (" ".join(re.sub(r"[:;\"“”]", " ", name).split())[:LONGEST_NAME] for name in names)
    once = {same(name): name for name in plain if name}
    return Rubric(tuple(Criterion(name, HIGHEST_MARK) for name in once.values()))


@dataclass(frozen=True)
class Heard:
    """A hearing of an entry with what it scores. keys: of the pieces played; (): all of it."""

    row: Hearing
    keys: tuple
    scoring: Scoring

    @cached_property
    def points(self):
        """planner.rubric.Points, those of criteria that the rubric no longer has among them."""
        return read_points(self.row.points)

    @cached_property
    def score(self) -> Score:
        """What it scores by the rubric as it stands now."""
        return rubric.score(self.scoring.rubric, [self.points])


def read_points(text):
    """Return the planner.rubric.Points of a text; none where it cannot be read."""
    try:
        return rubric.read_points(text)
    except ValueError:
        return ()


def hearings_of(entry, studio):
    """Return the Heards of an entry of `with_hearings`, the earliest first; of any other none."""
    by, found = scoring(entry, studio), []
    for row, values in read(Hearing, getattr(entry, "hearing_rows", ()), FIELDS):
        found.append(Heard(row, tuple(each["piece_id"] for each in inner(values["played"])), by))
    return sorted(found, key=lambda heard: (heard.row.on, heard.row.pk))


def checks(entries, studio):
    """Return the planner.readiness.Checks that hearings of these entries are, by piece key.

    A hearing is one check, with one mark, of each piece that was played in it: the share of the
    points given for it, each criterion counting as much as it does in the rubric. A criterion
    named like a requirement of the entry, or like a requirement's kind ("scales", "solo"), counts
    for the pieces of that requirement alone, and for none where it has none; of a group, for those
    of what it holds. Every other criterion counts for all pieces played. What was not scored does
    not count; nor do deductions and gates, which judge the whole and no piece of it.
    The studio's marks count as in a lesson: from 1 to 10.
    """
    found = {}
    for entry in entries:
        for heard in hearings_of(entry, studio):
            for piece, share in _shares(entry, heard).items():
                check = readiness.Check(heard.row.on, marks=(share,))
                found.setdefault(piece, []).append(check)
    return found


def _shares(entry, heard):
    """Return the share of its points by key of each piece that was played and scored."""
    slots = {}
    for each in entry.assignments.all():
        if not heard.keys or each.piece_id in heard.keys:
            slots.setdefault(each.piece_id, set()).add(each.requirement_id)
    scored = [line for line in heard.score.lines if line.points is not None]
    about = [(line, _requirements(entry, line.name)) for line in scored]
    found = {}
    for piece, own in slots.items():
        lines = [line for line, only in about if only is None or only & own]
        worth = float(sum(line.worth for line in lines))
        if lines:
            points = sum(heard.scoring.share(line) * float(line.worth) for line in lines)
            found[piece] = points / worth
    return found


def _requirements(entry, name):
    """Return the keys of the requirements a criterion is about; None: it is about all."""
    rows = entry.requirement_set.requirements.all() if entry.requirement_set else ()
    wanted = same(name)
    named = {
        row.pk
        for row in rows
        if wanted in {same(row.name), same(row.kind), same(row.get_kind_display())}
    }
    inside = named
    while inside:
        inside = {row.pk for row in rows if row.parent_id in inside} - named
        named |= inside
    return named or None
