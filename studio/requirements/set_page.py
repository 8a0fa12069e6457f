"""The page of one set: the tree in words, what is not checked, and what speaks against it."""

from dataclasses import dataclass
from functools import cached_property

from planner.readiness.words import number
from studio.requirements import bridge, recording_rules, wording
from studio.requirements.contexts import asked_of
from studio.requirements.doubts import ADVICE, doubts
from studio.requirements.library import Library
from studio.requirements.models import Again, Requirement, Said
from studio.requirements.notation import NOTATION_FIELDS, is_unread, spoken
from studio.requirements.tree import Node, tree, walk

REUSE = {
    Said.YES: "May fill two slots",
    Said.NO: "May not fill two slots",
    Said.UNSTATED: "Not stated: planned as if it may not fill two slots",
}
AGAIN = {
    Again.MAY: "May be played again at the audition",
    Again.MUST: "Must be played again at the audition",
    Again.MUST_NOT: "Must be others than at the audition",
    Again.UNSTATED: "Not stated: planned as if they may be played again",
}


@dataclass(frozen=True)
class AskedLine:
    """A requirement as a line of its set's page, with those inside it.

    fitting: how many pieces of the library fit, in words; None where none are asked for.
    """

    requirement: Requirement
    rules: str
    fitting: str | None
    children: tuple["AskedLine", ...]


@dataclass(frozen=True)
class AskedRound:
    """What is asked for at one hearing; title: "" where there is only one."""

    title: str
    lines: tuple[AskedLine, ...]


@dataclass(frozen=True)
class Recording:
    """How the recording of one round is made: what is said, what is not, what stands as text."""

    rules: object
    said: tuple[str, ...]
    unstated: str
    others: tuple[str, ...]


@dataclass(frozen=True)
class Mark:
    """A reason to look again, and whose entries it concerns; () for the set itself."""

    text: str
    names: tuple[str, ...] = ()


class SetPage:
    """A set of `queries.whole_sets`.

    pieces: the studio's, to tell how many fit; None: leave that out. heard: of `queries.heard`.
    """

    def __init__(self, row, studio, pieces=None, heard=None):
        self.set, self.studio, self.heard = row, studio, heard or {}
        self.title = asked_of(row)
        self.library = None if pieces is None else Library(pieces, row.instrument.name)
        self.nodes = tree(row.requirements.all())
        self.entries = list(row.entries.all())
        self.reuse, self.again = REUSE[row.reuse], AGAIN[row.again]
        self.together = spoken("together", row.together)
        self.rubric = spoken("rubric", row.rubric)

    @cached_property
    def requirements(self):
        """Every requirement, each group before what it holds."""
        return [node.requirement for node in walk(self.nodes)]

    @cached_property
    def rounds(self):
        """What is asked, hearing by hearing."""
        rounds = {node.requirement.round for node in self.nodes}
        return [
            AskedRound(
                each.label if len(rounds) > 1 else "",
                tuple(self._line(node) for node in self.nodes if node.requirement.round == each),
            )
            for each in Requirement.Round
            if each in rounds
        ]

    def _line(self, node: Node):
        row = node.requirement
        heading = row.get_round_display().lower()
        kind = "" if row.is_group else row.get_kind_display()
        words = [kind, *(said for said in wording.rules(row) if said != heading)]
        words.append(f"weight {row.weight}" if row.weight > 1 else "")
        return AskedLine(
            requirement=row,
            rules=" · ".join(filter(None, words)),
            fitting=self._fitting(row),
            children=tuple(self._line(child) for child in node.children),
        )

    def _fitting(self, row):
        if self.library is None or not bridge.is_planned(row):
            return None
        return self.library.told(row)

    @cached_property
    def recordings(self):
        """How each of the recorded rounds is made."""
        return [
            Recording(
                rules=row,
                said=recording_rules.rules(row),
                unstated=recording_rules.unstated(row),
                others=recording_rules.others(row),
            )
            for row in recording_rules.in_order(self.set.recordings.all())
        ]

    @property
    def lacks_recordings(self):
        """The recorded rounds that ask for music but do not say how it is recorded, in words."""
        there = {row.round for row in self.set.recordings.all()} | {Requirement.Round.LIVE}
        asked = {row.round for row in self.requirements}
        return [each.label for each in Requirement.Round if each in asked - there]

    @property
    def has_screening(self):
        """Whether a recording comes before the audition, so that its pieces may come again."""
        rounds = {row.round for row in self.requirements}
        return len(rounds) > 1 or self.set.again != Again.UNSTATED

    @property
    def unchecked(self):
        """Say how much stands as text only: "Three things stand as text …"; or nothing."""
        texts = [row.details for row in self.requirements] + [self.set.notes]
        count = sum(bool(text.strip()) for text in texts)
        if not count:
            return ""
        what = "thing stands" if count == 1 else "things stand"
        are = "is" if count == 1 else "are"
        return f"{number(count).capitalize()} {what} as text and {are} not checked by the program."

    @cached_property
    def marks(self):
        """Every reason to look again: of the set itself, then of the entries under it."""
        found = [Mark(text) for text in self._of_itself()]
        by_text = {}
        for entry in self.entries:
            heard = self.heard.get(entry.student_id, {})
            for doubt in doubts(entry, self.studio.today, self.studio.check_days, heard):
                by_text.setdefault(doubt.text, []).append(entry.student.called)
        return found + [Mark(text, tuple(names)) for text, names in by_text.items()]

    def _of_itself(self):
        if self.set.checked_on is None and not self.entries:
            copied = "They are copied, and nobody" if self.set.copied_from_id else "Nobody"
            yield f"{copied} has looked at them again yet: {ADVICE}."
        if self.set.season != self.studio.season and not self.entries:
            yield f"They are those of {self.set.season}, this season is {self.studio.season}."
        if not self.set.source:
            yield "No source link: nobody can look it up again."
        for name in self._unread():
            yield f"{name}: what stands there cannot be read by the program. Write it anew."

    def _unread(self):
        if is_unread("together", self.set.together):
            yield "All pieces of a round together"
        if is_unread("rubric", self.set.rubric):
            yield "How it is scored"
        for row in self.requirements:
            if any(is_unread(name, getattr(row, name)) for name in NOTATION_FIELDS):
                yield row.name

    @property
    def is_empty(self):
        """Whether nothing is asked for yet."""
        return not self.nodes
