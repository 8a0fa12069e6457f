"""One student's deadlines as a network: what can be begun when, what waits, what binds.

Read from a bridge.Season loaded by `queries.whole_season`. The engine decides; here it is worded.
"""

from dataclasses import dataclass
from functools import cached_property

from django.urls import reverse

from planner.deadlines import Move
from planner.deadlines.wording import FAR, count_days, dated
from studio.entries.bridge import Cue
from studio.entries.cues import by_month
from studio.entries.deadlines_drawing import Line, Strip, draw
from studio.entries.models import Entry
from studio.entries.network import closing_key
from studio.institutions.models import Deadline

TASKS_OWN = frozenset({"ready", "own date"})  # kinds of moves that are about a task
READY = "More lessons on these pieces, or other pieces: talk it over with the student."
OWN = "The date is the studio's own: move it, or ask whoever waits for it."


@dataclass(frozen=True)
class Row:
    """One open task of one entry with its place in the network; dates in words, "" if unknown."""

    cue: Cue
    earliest: str
    latest: str
    finish: str
    slack: str
    waits: str
    binds: bool
    url: str

    @property
    def due(self):
        """The engine's answer."""
        return self.cue.due

    @property
    def with_others(self):
        """Where else the same errand is for, "" if nowhere."""
        places = [entry.audition.institution.short for _, entry in self.cue.also]
        return ", ".join(dict.fromkeys(places))

    @property
    def line(self):
        """It as drawn."""
        due, deadline = self.due, self.cue.task.deadline
        return Line(
            key=due.key,
            name=self.cue.name,
            first=due.earliest_start,
            last=due.latest_start,
            finish=due.latest_finish or due.plan_by,
            trouble=self.cue.trouble,
            recording=bool(deadline and deadline.kind == Deadline.Kind.RECORDING),
        )


@dataclass(frozen=True)
class Binding:
    """The chain of tasks that leaves an entry the least time. slack: in days."""

    names: tuple
    keys: tuple
    slack: int
    too_late: bool = False

    @property
    def presses(self):
        """Whether it stands in red pencil."""
        return self.too_late or self.slack < 0

    @property
    def words(self):
        """By how many days it can slip."""
        if self.too_late:
            return "too late"
        if self.slack < 0:
            return f"{count_days(-self.slack)} behind"
        return f"{count_days(self.slack)} in hand" if self.slack else "no day in hand"


@dataclass(frozen=True)
class Group:
    """An entry's open tasks, by the day to plan for. undated: Cues. done: how many are done."""

    entry: Entry
    when: str
    rows: tuple
    undated: tuple
    binding: Binding | None
    done: int

    @property
    def place(self):
        """The institution's short name."""
        return self.entry.audition.institution.short


@dataclass(frozen=True)
class Moving:
    """A date that would have to move, and whom to ask. url: where that is done, or ""."""

    move: Move
    place: str
    ask: str
    url: str
    label: str = "Change it here"

    @property
    def words(self):
        """What would have to move."""
        return move_words(self.move, self.place)


class DeadlinesPage:
    """The network of a Season, as `who` may see it."""

    def __init__(self, season, who):
        self.season, self.student = season, season.student
        self.answer = season.deadlines
        self.may_edit = who.is_teacher

    @cached_property
    def groups(self):
        """The entries that have something to do, in the order of their dates."""
        groups = [self._group(entry) for entry in self.season.entries]
        return [group for group in groups if group.rows or group.undated]

    def _group(self, entry):
        cues = self.season.cues_at(entry)
        wanted = {cue.key for cue in (*self.season.open_cues, *self.season.open_undated)}
        still = [cue for cue in cues if cue.key in wanted]
        binding = self._binding(entry, still)
        keys = set(binding.keys) if binding else set()
        return Group(
            entry=entry,
            when=dated(entry.on, self.season.today) if entry.on else "no date chosen yet",
            rows=tuple(self._row(cue, keys) for cue in still if cue.dated),
            undated=tuple(cue for cue in still if not cue.dated),
            binding=binding,
            done=sum(cue.done for cue in cues),
        )

    def _row(self, cue, binding):
        due = cue.due
        return Row(
            cue=cue,
            earliest=self._day(due.earliest_start),
            latest=self._day(due.latest_start),
            finish=self._day(due.latest_finish or due.plan_by),
            slack=slack_words(due.slack),
            waits=self._waits(cue),
            binds=any(str(task.pk) in binding for task, _ in cue.members),
            url=reverse("task_edit", args=[cue.task.pk]) if self.may_edit else "",
        )

    def _waits(self, cue):
        begins, bound = cue.due.earliest_start, cue.due.bound_by.rstrip(".")
        free = begins is not None and begins <= self.season.today and not cue.due.waits_for
        said = [("nothing" if free else bound), cue.unsure.rstrip(".")]
        return "; ".join(filter(None, said[1:] if free and said[1] else said))

    def _day(self, day):
        if day is None:
            return ""
        year = f" {day.year}" if abs((day - self.season.today).days) > FAR else ""
        return f"{day:%a} {day.day} {day:%b}{year}"

    def _binding(self, entry, cues):
        """Return the chain that is too late, or the tightest to a deadline or the day; or None."""
        late = [cue.due for cue in cues if cue.trouble and cue.due.impossible and cue.due.chain]
        closings = {closing_key(cue.task, entry) for cue in cues}
        chains = [chain for chain in self.answer.chains if chain.deadline in closings]
        if late:
            last = max(late, key=lambda due: len(due.chain))
            keys, slack = last.chain, last.slack
        elif chains:
            chain = min(chains, key=lambda chain: chain.slack)
            keys, slack = chain.tasks, chain.slack
        else:
            return None
        names = tuple(self.season.cue(int(key)).name for key in keys)
        return Binding(names, keys, slack, bool(late))

    @cached_property
    def moves(self):
        """The fewest dates that would have to move so that everything can be done."""
        return [self._moving(move, cue) for move, cue in to_move(self.season)]

    def _moving(self, move, cue):
        place, deadline = cue.place, cue.task.deadline
        if move.kind == "ready":
            return Moving(move, place, READY, reverse("lesson", args=[self.student.pk]), "Lesson")
        if move.kind == "own date":
            return Moving(move, place, OWN, self._url("task_edit", cue.task.pk))
        if deadline is None:
            url = reverse("entry", args=[cue.entry.pk]) + "#date"
            return Moving(move, place, f"Ask {place} for a later date.", url)
        asked = "an extension" if move.kind == "deadline" else "a way in before it opens"
        ask = f"Ask {place} for {asked}; it may cost a fee, and they may refuse."
        return Moving(move, place, ask, self._url("deadline_edit", deadline.pk))

    def _url(self, name, pk):
        return reverse(name, args=[pk]) if self.may_edit else ""

    @cached_property
    def impossible(self):
        """What can no longer be done in time, as Cues; what is only late by its own date is not."""
        cues = (self.season.cue(int(key)) for key in self.answer.impossible)
        return [cue for cue in cues if not (cue.late and cue.task.on)]

    @cached_property
    def drawing(self):
        """The network drawn, None where nothing is to be done."""
        strips = [
            Strip(
                name=group.place,
                on=group.entry.on,
                lines=tuple(row.line for row in group.rows),
                chain=group.binding.keys if group.binding else (),
                margin=group.binding.words if group.binding else "",
                late=bool(group.binding and group.binding.presses),
            )
            for group in self.groups
            if group.rows
        ]
        return draw(strips, self.season.today) if strips else None


def to_move(season):
    """Return the dates that have to move, each with the Cue whose task or deadline it is of.

    Without what is only late by a date of the studio's own: that is done as soon as it can be.
    """
    found = ((move, _cue_of(season, move)) for move in season.deadlines.moves)
    return [(move, cue) for move, cue in found if not (move.kind == "own date" and cue.late)]


def _cue_of(season, move):
    if move.kind in TASKS_OWN:
        return season.cue(int(move.key))
    return next(
        own
        for entry in season.entries
        for own in season.cues_at(entry)
        if closing_key(own.task, entry) == move.key
    )


def move_words(move, place):
    """Say what would have to move; a task's name alone does not say where."""
    return f"{place}: {move.sentence}" if move.kind in TASKS_OWN else move.sentence


def slack_words(slack):
    """Return "12 days", "none", "3 days behind"; "" where it is not known."""
    if slack is None:
        return ""
    return f"{count_days(-slack)} behind" if slack < 0 else count_days(slack) if slack else "none"


class DeadlineSheet:
    """The deadlines of a Season on paper: everything open, by the day to plan for."""

    def __init__(self, season):
        self.season, self.student = season, season.student

    @property
    def title(self):
        """The heading."""
        return f"Deadlines, {self.student.called}"

    @cached_property
    def months(self):
        """The open cues by month, as cues.Months."""
        return by_month(self.season.open_cues, self.season.today)

    @property
    def undated(self):
        """What waits for a date."""
        return self.season.open_undated

    @property
    def moves(self):
        """What would have to move, as sentences."""
        return [move_words(move, cue.place) for move, cue in to_move(self.season)]
