"""The page of an entry's hearings: each with its points, and what changed since the one before."""

from dataclasses import dataclass
from functools import cached_property

from planner import rubric
from planner.deadlines.wording import count_of, dated
from planner.rubric import same, written
from planner.rubric.model import WHOLE
from planner.rubric.words import shown
from studio.entries.bridge import asked
from studio.entries.hearings import words
from studio.entries.hearings.bridge import Heard, hearings_of, scoring
from studio.entries.recordings import takes_of

GATES = {
    "": "",
    "met": "at least {} asked: met",
    "failed": "at least {} asked: not met, so nothing passes",
    "open": "at least {} asked",
}


@dataclass(frozen=True)
class Row:
    """One criterion of a hearing. given: "15"; "": not scored. bar: how much of it, 0 to 100."""

    name: str
    given: str
    most: str
    change: str
    gate: str
    bar: str


class Line:
    """A hearing as the page shows it. before: the Heard before it, or None."""

    def __init__(self, heard: Heard, before, today, titles, takes):
        self.heard, self.before, self.row, self.score = heard, before, heard.row, heard.score
        self.today, self.titles, self.takes = today, titles, takes

    @property
    def title(self):
        """What it was, and when."""
        return f"{self.row.get_kind_display()}, {dated(self.row.on, self.today)}"

    @property
    def sentence(self):
        """What it scores, and whether that passes."""
        return rubric.said(self.score)

    @property
    def share(self):
        """The share of all points in percent; "" where something is missing or it says the same."""
        whole = self.score.lines and not self.score.missing and self.score.most != WHOLE
        return f"{100 * self.score.share:.0f} %" if whole else ""

    @property
    def played(self):
        """What was played, in words."""
        if not self.heard.keys:
            return "The whole programme"
        known = [self.titles[key] for key in self.heard.keys if key in self.titles]
        rest = len(self.heard.keys) - len(known)
        others = [count_of(rest, "other piece")] if rest else []
        return "; ".join(known + others)

    @property
    def take(self):
        """The take that was listened to, "" if none is named."""
        return self.takes.get(self.row.take_id, "")

    @property
    def rows(self):
        """Its points, criterion by criterion."""
        before = {each.name: each.points for each in self.before.score.lines} if self.before else {}
        return [self._row(line, before.get(line.name)) for line in self.score.lines]

    def _row(self, line, before):
        known = line.points is not None
        return Row(
            name=line.name,
            given=shown(line.points) if known else "",
            most=written(line.most),
            change=words.change(line.points, before),
            gate=GATES[line.gate].format(written(line.least)) if line.gate else "",
            bar=f"{100 * line.points / line.most:.1f}" if known else "0",
        )

    @property
    def losses(self):
        """What took points off: "memory slips, 2 times: 4 off"."""
        return [
            f"{loss.name}, {count_of(int(loss.times), 'time')}: {shown(loss.off)} off"
            for loss in self.score.losses
        ]

    @property
    def since(self):
        """What the total changed by since the hearing before: "7 points more than on 21 …"."""
        if self.before is None or self.score.missing or self.before.score.missing:
            return ""
        moved = words.change(self.score.total, self.before.score.total)
        on = dated(self.before.row.on, self.today, full=False)
        if moved == "as before":
            return f"The same total as on {on}"
        figure, more = moved.split()
        return f"{figure} {'point' if figure == '1' else 'points'} {more} than on {on}"

    @property
    def kept(self):
        """Points of criteria that the rubric no longer has: "bow 9"; "" if there are none."""
        gone = {same(name) for name in self.score.unknown}
        return rubric.spoken_points([each for each in self.heard.points if same(each.name) in gone])

    @property
    def too_high(self):
        """Criteria of which more was given than the rubric has now."""
        return self.score.too_high


class HearingsPage:
    """The hearings of one entry of a Season of `choices.with_entry`. who: the asker's seat."""

    def __init__(self, season, pk, who):
        self.season, self.student, self.who = season, season.student, who
        self.entry = next(entry for entry in season.entries if entry.pk == pk)
        self.scoring = scoring(self.entry, season.student.studio)

    @property
    def rubric(self):
        """How it is scored, in words; "" where nothing can be scored by."""
        return rubric.spoken_rubric(self.scoring.rubric)

    @cached_property
    def programme(self):
        """(requirement, titles) of what is asked and chosen."""
        lines, given = asked(self.entry)
        return [
            (line.requirement, [each.piece.title for each in given[line.requirement.pk]])
            for line in lines
            if line.requirement.pk in given
        ]

    @cached_property
    def lines(self):
        """The hearings, latest first."""
        titles = {each.piece_id: each.piece.title for each in self.entry.assignments.all()}
        takes = {
            take.pk: f"{take}{f', {take.file}' if take.file else ''}"
            for take, _ in takes_of(self.entry)
        }
        found = hearings_of(self.entry, self.student.studio)
        pairs = zip([None, *found], found, strict=False)
        made = [Line(one, before, self.season.today, titles, takes) for before, one in pairs]
        return made[::-1]
