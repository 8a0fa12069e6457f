"""The recordings of an entry: what goes on them, the takes there are, and what is still missing."""

from dataclasses import dataclass, replace
from functools import cached_property

from django.db.models import OuterRef

from planner.deadlines.wording import dated
from studio.answers import solve
from studio.entries.applications_dates import day_of, nearest
from studio.entries.applications_state import state_of
from studio.entries.hearings.words import scored
from studio.entries.models import Take
from studio.entries.recordings_bridge import problem
from studio.entries.tasks import concerns
from studio.gathered import gathered, inner, read
from studio.institutions.models import Deadline
from studio.requirements import recording_rules, wording
from studio.requirements.models import Piano, RecordingRules, Requirement, Said

SEEN = (
    "Look and listen before you tick: what nobody has looked at counts as not known. "
    "Keep the recording itself where the family keeps it."
)
RULES = tuple(field.attname for field in RecordingRules._meta.concrete_fields)
TAKE = tuple(field.attname for field in Take._meta.concrete_fields)
DUE = ("id", "audition_id", "kind", "name", "on", "before", "before_unit", "round")
LOOK = {
    "unedited": "whether it is edited",
    "piano": "whether there is piano",
    "camera": "the camera",
    "speaking": "that nobody speaks",
    "names": "that no name is seen or heard",
    "length": "how long it is",
    "video": "whether there is a picture",
}
Round = Requirement.Round


def with_takes(entries):
    """Annotate `entries` with rules, takes and recording deadlines, for `of`: no query more."""
    rules = RecordingRules.objects.filter(requirement_set=OuterRef("requirement_set"))
    made = Take.objects.filter(entry=OuterRef("pk"))
    on_it = Take.pieces.through.objects.filter(take=OuterRef("pk"))
    due = Deadline.objects.filter(audition=OuterRef("audition"), kind=Deadline.Kind.RECORDING)
    return entries.annotate(
        rules_rows=gathered(rules, "requirement_set", RULES),
        take_rows=gathered(made, "entry", TAKE, on_it=gathered(on_it, "take", ("piece_id",))),
        recording_rows=gathered(due, "audition", DUE),
    )


@dataclass(frozen=True)
class Wanted:
    """A piece that goes on a recording, in the order of the requirements. piano: in words."""

    piece: object
    requirement: Requirement
    piano: str


@dataclass(frozen=True)
class TakeLine:
    """A take with what is on it, held against the rules.

    answer: planner.recordings.TakeAnswer; None where nobody has said what is on it.
    unheard: whether the order of its pieces matters and nobody has listened for it. scored: what
    it scored, in words, each time it was heard as a whole.
    """

    take: Take
    keys: tuple
    names: tuple
    answer: object = None
    unheard: bool = False
    scored: tuple = ()

    @property
    def minutes(self):
        """How long it is: "6.5", "" where that is not known."""
        return wording.plain(self.take.minutes)

    @property
    def look(self):
        """What somebody still has to look at or listen for."""
        seen = self.answer.look if self.answer else ()
        return (*(LOOK.get(each, each) for each in seen), *(["the order"] if self.unheard else []))

    @property
    def refusals(self):
        """Why it does not do, a sentence each."""
        if self.answer is None:
            return ("nobody has written down what is on it",)
        return tuple(each.why for each in self.answer.refusals)

    @property
    def usable_until(self):
        """The last day on which it is not too old, None without a limit."""
        return self.answer and self.answer.usable_until


class Recording:
    """The recording of one round of an entry of `with_takes`. rules: None if not written down."""

    def __init__(self, season, entry, round, rules):
        self.season, self.entry, self.today = season, entry, season.today
        self.round, self.rules = Round(round), rules

    @property
    def name(self):
        """ "Screening recording"."""
        return self.round.label

    @property
    def place(self):
        """Whose it is: the institution's short name."""
        return self.entry.audition.institution.short

    @property
    def said(self):
        """How it is made, in words; "" where nobody has written it down."""
        return "; ".join(recording_rules.rules(self.rules)) if self.rules else ""

    @property
    def unstated(self):
        """What the institution does not say of it."""
        return recording_rules.unstated(self.rules) if self.rules else ""

    @property
    def others(self):
        """Rules that stand as text and are not checked."""
        return recording_rules.others(self.rules) if self.rules else ()

    @property
    def due(self):
        """The day it has to be there, None if it is not written down."""
        return self._deadline[1]

    @cached_property
    def _deadline(self):
        rows = [row for row, _ in read(Deadline, self.entry.recording_rows, DUE)]
        return nearest(
            [row for row in rows if concerns(row, self.entry)],
            self.round,
            lambda row: day_of(row, self.entry, self.season),
            self.today,
        )

    @property
    def when(self):
        """The same in words."""
        return dated(self.due, self.today) if self.due else ""

    @cached_property
    def wanted(self):
        """What goes on it, in the order of the requirements."""
        given = self.entry.assignments.all()
        mine = [each for each in given if each.requirement.round == self.round]
        return [Wanted(each.piece, each.requirement, self._piano(each)) for each in mine]

    @property
    def pieces(self):
        """The same, each piece once."""
        return list({each.piece.pk: each for each in self.wanted}.values())

    def _piano(self, given):
        said = (given.requirement.piano, self.rules.piano if self.rules else "", given.piece.piano)
        piano = next((word for word in said if word not in {"", Piano.UNSTATED}), "")
        return Piano(piano).label.lower() if piano else ""

    @cached_property
    def takes(self):
        """What was recorded, the earliest first, as bare TakeLines."""
        names = {each.piece.pk: each.piece.title for each in self.wanted}
        scores = scored(self.season, self.entry)
        found = [
            TakeLine(take, keys, _named(keys, names), scored=tuple(scores.get(take.pk, ())))
            for take, keys in takes_of(self.entry)
            if self.rules and take.rules_id == self.rules.pk
        ]
        return sorted(found, key=lambda line: (line.take.made_on, line.take.pk))

    @property
    def serves(self):
        """Whether any take is what is asked for, as far as is known."""
        return any(line.answer and line.answer.serves for line in self.judged)

    @cached_property
    def answer(self):
        """planner.recordings.Answer; None without rules or pieces."""
        if self.rules is None or not self.wanted:
            return None
        return solve("recordings", problem(self))

    @cached_property
    def judged(self):
        """The takes, each held against the rules."""
        found = {each.key: each for each in self.answer.takes} if self.answer else {}
        ordered = self.rules is not None and self.rules.fixed_order == Said.YES
        return [
            replace(
                line,
                answer=found.get(str(line.take.pk)),
                unheard=ordered and len(line.keys) > 1 and not line.take.order_seen,
            )
            for line in self.takes
        ]

    @property
    def lines(self):
        """The rules one by one, as planner.recordings.RuleLines; nobody hears the order unasked."""
        unheard = any(line.unheard for line in self.judged if line.answer and line.answer.serves)
        found = self.answer.rules if self.answer else ()
        return [
            replace(line, status="to look at")
            if line.rule == "order" and line.status == "met" and unheard
            else line
            for line in found
        ]

    @property
    def sent_on(self):
        """The day on which the last of it was sent; None as long as a piece has not been."""
        sent = [line for line in self.takes if line.take.sent_on]
        gone = {key for line in sent for key in line.keys}
        if not sent or not gone.issuperset(each.piece.pk for each in self.wanted):
            return None
        return max(line.take.sent_on for line in sent)

    @cached_property
    def ticked(self):
        """Whether all tasks of its deadline are done, whatever the takes say."""
        row, _ = self._deadline
        cues = [c for c in self.season.cues_at(self.entry) if row and c.task.deadline_id == row.pk]
        return state_of(cues, self.today).is_done

    @property
    def ready(self):
        """Whether what is to be sent is chosen, and nothing is left to look at."""
        chosen = [line for line in self.judged if line.take.chosen]
        return bool(self.answer and self.answer.ready) and not any(each.unheard for each in chosen)

    @property
    def step(self):
        """ "done", "late" or "open"."""
        if self.sent_on or self.ticked:
            return "done"
        return "late" if self.due and self.due < self.today else "open"

    @property
    def sentence(self):
        """What is still missing, in one line."""
        if self.sent_on:
            return f"Sent on {dated(self.sent_on, self.today, full=False)}"
        if self.ticked:
            return "Done by its tasks; which take was sent is not written down"
        if not self.wanted:
            return "No piece is chosen for it yet"
        if self.rules is None:
            return "How it is made is not written down: ask the institution"
        if self.answer.ready and not self.ready:
            return "Listen whether the order is the one asked for"
        return self.answer.next.rstrip(".")


def _named(keys, names):
    """Return what is on a take in the order asked for, what is not asked for last."""
    asked = [name for key, name in names.items() if key in keys]
    return (*asked, *("another piece" for key in keys if key not in names))


def takes_of(entry):
    """Return the takes of an entry of `with_takes`, each with the keys of its pieces."""
    found = []
    for take, values in read(Take, entry.take_rows, TAKE):
        found.append((take, tuple(each["piece_id"] for each in inner(values["on_it"]))))
    return found


def left_over(entry):
    """Return the Takes that were made for requirements the entry does not go by any more."""
    now = {row.pk for row, _ in read(RecordingRules, entry.rules_rows, RULES)}
    found = (take for take, _ in takes_of(entry) if take.rules_id not in now)
    return sorted(found, key=lambda take: (take.made_on, take.pk))


def of(season, entry):
    """Return the Recordings of an entry: of each round with rules, or that asks for music."""
    rules = {row.round: row for row, _ in read(RecordingRules, entry.rules_rows, RULES)}
    asked = entry.requirement_set.requirements.all() if entry.requirement_set else ()
    rounds = {row.round for row in asked if row.is_music} | set(rules)
    return [
        Recording(season, entry, round, rules.get(round))
        for round in (Round.SCREENING, Round.FINAL)
        if round in rounds
    ]
