"""The page of a plan: in words, drawn against the auditions, and beside what is assigned now.

Nothing here queries.
"""

from collections import Counter
from dataclasses import dataclass
from functools import cached_property

from django.urls import reverse

from planner.deadlines.wording import listed
from studio.accounts.words import counted
from studio.answers import why_not
from studio.entries import compare, sharing
from studio.entries.hours import words
from studio.entries.models import Entry, Wish
from studio.entries.plan_missing import missing, unknown
from studio.entries.sharing import Mark
from studio.requirements.models import Piece

WISHES = (
    (Wish.Word.KEEP.value, "In any case"),
    (Wish.Word.LIKE.value, "Rather"),
    (Wish.Word.LEAVE.value, "Not this season"),
    ("", "No wish"),
)
WORTHS = range(1, 11)
ADDED = "Hours that each adds"
RECKONED = "Hours are your estimates, less what is done by the readiness of each piece."
NOT_PLANNED = (
    "Not planned are tests, sight-reading, scales that are written down, and what may be left out."
)
ASSUMED = "Hours assumed from other pieces, as none are written down"
ADVICE = "Verify the requirements with the institution itself."
DOUBTFUL = "assigned, though it does not fit"
UNASKED = "in any case, though no slot takes it"
NONE_KEPT = "No audition is in the plan. Plan for one of them below."


@dataclass(frozen=True)
class PieceLine:
    """A piece with what the teacher wishes of it. where: the auditions that it is planned for.

    mark: what the plan does to it, None where the plan is without it. changed: the plan has it
    elsewhere than it is assigned now. note: what is odd about it, or "".
    """

    piece: Piece
    hours: str
    assumed: bool
    wish: str = ""
    where: str = ""
    mark: Mark | None = None
    changed: bool = False
    note: str = ""

    @property
    def wish_words(self):
        """The wish in words."""
        return dict(WISHES)[self.wish]


@dataclass(frozen=True)
class AuditionLine:
    """An audition ahead. adds: its hours in the plan, in words.

    places: where the plan differs, or something is assigned that does not fit. same: how many of
    its slots stay as they are. why: why no music is planned for it, "" if some is, or could be.
    """

    entry: Entry
    adds: str = ""
    places: tuple = ()
    same: int = 0
    why: str = ""

    @property
    def changed(self):
        """Whether the plan differs anywhere."""
        return any(place.changed for place in self.places)

    @property
    def stays(self):
        """ "4 slots stay as they are", "" for none."""
        slots = counted(self.same, "slot")
        return slots and f"{slots} stay{'s' if self.same == 1 else ''} as {_they(self.same)}"


def _they(count):
    return "it is" if count == 1 else "they are"


class PlanPage:
    """A plan.Planning as `who` sees it. opened: the kind of pieces whose fold stands open."""

    def __init__(self, planning, who, opened=""):
        self.planning, self.student = planning, planning.student
        self.may_edit = who.is_teacher
        self.opened = opened

    wishes, worths = WISHES, WORTHS

    @cached_property
    def empty(self):
        """What to do where there is nothing to plan for; None where there is."""
        if not self.planning.entries:
            return _no_entries(self.student, self.may_edit)
        return None if self.planning.asked else _nothing_asked(self.planning.entries[0])

    # the answer

    @cached_property
    def trouble(self):
        """Why there is no plan, in words; "" if there is one."""
        if not self.planning.kept:
            return NONE_KEPT
        return why_not(self.planning)

    @property
    def answer(self):
        """planner.repertoire.Answer."""
        return self.planning.answer

    @property
    def comparison(self):
        """What it would be otherwise: each audition planned apart, and the usual way; or ""."""
        here, apart, greedy = self.planning.plan.minutes, self.answer.apart, self.answer.greedy
        if apart is None or greedy is None or len(self.planning.kept) < 2:
            return ""
        first = f"Planned one audition at a time it would be {words(apart)}"
        if apart == here:
            first = "Planned one audition at a time it comes to as much"
        then = f"always taking the piece that covers most for its time, {words(greedy)}"
        if greedy == here:
            then = "always taking the piece that covers most for its time comes to this too"
        return f"{first}; {then}."

    @cached_property
    def missing(self):
        """Why auditions cannot be covered, and the ways out."""
        return missing(self.planning)

    @cached_property
    def unknown(self):
        """Facts that are not recorded and would let pieces fit."""
        return unknown(self.planning)

    @property
    def notes(self):
        """How it is reckoned, and what was assumed."""
        hours = self.planning.hours
        names = [piece.title for piece in self.planning.planned if hours.assumed(piece)]
        assumed = [f"{ASSUMED}: {listed(names)}."] if names else []
        return [RECKONED, NOT_PLANNED, *assumed, *self.answer.notes, ADVICE]

    @property
    def changes(self):
        """How far the plan is from what is assigned, in words; "" if it is the same."""
        lines = Counter(line.mark for line in self.lines if line.changed)
        parts = (
            counted(lines[Mark.NEW], "new piece"),
            counted(lines[Mark.DROPPED], "piece") and f"{lines[Mark.DROPPED]} dropped",
            counted(lines[Mark.KEPT], "piece")
            and f"{lines[Mark.KEPT]} played elsewhere than assigned",
        )
        return ", ".join(filter(None, parts))

    @property
    def may_weigh(self):
        """Whether there are several auditions to weigh hours against."""
        return len(self.planning.asked) > 1

    # the pieces

    @cached_property
    def placed(self):
        """Places by piece, those the plan drops among them."""
        found = {}
        for place in self.planning.places:
            for piece in (*place.planned, *(each.piece for each in place.now)):
                if place not in found.setdefault(piece.pk, []):
                    found[piece.pk].append(place)
        return found

    def mark(self, pk):
        """Return what the plan does to a piece."""
        if str(pk) in self.planning.plan.pieces:
            return Mark.KEPT if pk in self.planning.assigned else Mark.NEW
        return Mark.KEPT if pk in self.doubtful else Mark.DROPPED

    @cached_property
    def doubtful(self):
        """The keys of pieces that stay where they do not fit: nothing takes their place."""
        return {each.piece_id for place in self.planning.places for each in place.doubtful}

    @cached_property
    def lines(self):
        """A PieceLine for each piece of the plan and each that it drops, by kind."""
        library = self.planning.library
        kinds = list(compare.BANDS)
        found = [library[pk] for pk in {*self.placed, *(p.pk for p in self.planning.planned)}]

        def order(piece):
            places, dropped = self.placed.get(piece.pk, ()), self.mark(piece.pk) is Mark.DROPPED
            return kinds.index(piece.kind), dropped, -len(places), str(piece)

        return [self._line(piece, self.mark(piece.pk)) for piece in sorted(found, key=order)]

    def _line(self, piece, mark=None):
        places = self.placed.get(piece.pk, ())
        here = [place for place in places if not _drops(place, piece)]
        names = dict.fromkeys(place.entry.audition.institution.short for place in here)
        return PieceLine(
            piece=piece,
            hours=self.planning.hours.left(piece),
            assumed=self.planning.hours.assumed(piece),
            wish=self.planning.wishes.get(piece.pk, ""),
            where=listed(list(names)),
            mark=mark,
            changed=any(piece in place.added or _drops(place, piece) for place in places),
            note=self._note(piece, places) if mark else "",
        )

    def _note(self, piece, places):
        if str(piece.pk) in self.planning.plan.pieces:
            return "" if places else UNASKED
        return DOUBTFUL if piece.pk in self.doubtful else ""

    @cached_property
    def others(self):
        """(label, kind, lines, whether it stands open) of pieces that fit but are not planned."""
        shown = {line.piece.pk for line in self.lines}
        rest = [self.planning.library[pk] for pk in self.planning.fitting if pk not in shown]
        groups = [
            (title, kind, [self._line(p) for p in sorted(rest, key=str) if p.kind == kind])
            for kind, title in compare.BANDS.items()
        ]
        return [(*group, group[1] == self.opened) for group in groups if group[2]]

    # the auditions

    @cached_property
    def auditions(self):
        """An AuditionLine for each audition ahead."""
        return [self._audition(entry) for entry in self.planning.entries]

    def _audition(self, entry):
        if entry.pk not in self.planning.hearings:
            why = "no pieces are asked for"
            return AuditionLine(entry, why=why if entry.requirement_set else "nothing asked yet")
        if self.trouble:
            return AuditionLine(entry)
        places = [place for place in self.planning.places if place.entry == entry]
        told = tuple(place for place in places if place.changed or place.doubtful)
        same = sum(bool(place.now) and place not in told for place in places)
        return AuditionLine(entry, self.added.get(entry.pk, ""), told, same)

    @cached_property
    def added(self):
        """The hours that each audition adds, in words, by entry pk; a range if not proven."""
        return {int(each.audition): _range(each) for each in self.answer.added}

    # the drawing

    @cached_property
    def drawing(self):
        """The sharing.Sharing of the plan, with what it drops."""
        columns = compare.columns(self.planning.kept, self.student)
        bands = [
            (title, [self._row(line, columns) for line in self.lines if line.piece.kind == kind])
            for kind, title in compare.BANDS.items()
        ]
        foot = sharing.Foot(
            ADDED,
            tuple(self.added.get(column.key, "") for column in columns),
            words(self.planning.plan.minutes),
        )
        return sharing.Sharing(
            title=f"The plan for {self.student.called}: pieces, and the auditions they cover",
            columns=columns,
            bands=sharing.bands([*bands, (compare.OPEN, self._open_rows(columns))]),
            feet=(foot,),
        )

    def _row(self, line, columns):
        played = {}
        for place in self.placed.get(line.piece.pk, ()):
            mark = Mark.NEW if line.piece in place.added else Mark.KEPT
            if _drops(place, line.piece):
                mark = Mark.DROPPED
            shown = compare.played(place.requirement, mark=mark)
            played.setdefault(place.entry.pk, []).append(shown)
        return sharing.piece_row(
            line.piece.title,
            played,
            columns,
            under=line.note or compare.under(line.piece),
            hours=line.hours,
            about="assumed" if line.assumed else "",
            url=line.piece.get_absolute_url(),
            mark=line.mark,
        )

    def _open_rows(self, columns):
        for place in self.planning.places:
            if place.lacking:
                said = {place.entry.pk: f"{place.requirement}: {place.lacking} lacking"}
                why = f"{counted(place.lacking, 'piece')} lacking"
                yield sharing.open_row(place.requirement.name, said, columns, why)


def _drops(place, piece):
    """Whether the plan takes the piece away from there."""
    return any(each.piece_id == piece.pk for each in place.dropped)


def _range(added):
    if added.least == added.most:
        return words(added.least)
    return f"{words(added.least).removesuffix(' h')} to {words(added.most)}"


def _no_entries(student, may_edit):
    return {
        "title": "No auditions ahead",
        "text": f"As soon as {student.called} is entered for auditions, the least music that "
        "covers what they ask is worked out here.",
        "url": may_edit and reverse("entry_add", args=[student.pk]),
        "label": "Add an audition",
    }


def _nothing_asked(entry):
    return {
        "title": "No pieces are asked for yet",
        "text": "What the auditions ask for is not chosen, or asks for no pieces. Choose the "
        "requirements in each entry: then the least music that covers them is worked out here.",
        "url": entry.get_absolute_url(),
        "label": f"Go to {entry.audition.institution.short}",
    }
