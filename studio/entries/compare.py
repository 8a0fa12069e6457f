"""What one student plays, and where: the music of the auditions ahead, as one drawing.

Read from a bridge.Season loaded by `compare_queries.compared`; page and handout show the same.
Nothing here queries.
"""

from collections import Counter
from functools import cached_property

from django.urls import reverse

from planner.deadlines.wording import listed
from planner.readiness.words import number
from planner.repertoire.fitting import fit
from studio.accounts.access import may_add
from studio.entries import hours, sharing
from studio.entries.asking import Asking
from studio.entries.bridge import asked
from studio.entries.models import Entry
from studio.requirements import bridge, wording
from studio.requirements.models import Kind, Requirement, Said
from studio.requirements.tree import choice, walk

BANDS = {
    Kind.SOLO: "Solo",
    Kind.ETUDE: "Studies",
    Kind.EXCERPT: "Excerpts",
    Kind.OTHER: "Other music",
    Kind.SCALES: "Scales",
}
OPEN = "Not covered yet"


class Comparison:
    """The music of a bridge.Season against its auditions.

    library: the studio's pieces with their instruments: what those without an estimate take, and
    whether anything fits where nothing is chosen.
    """

    def __init__(self, season, library):
        self.season, self.library = season, library
        self.student = season.student
        self.hours = hours.Hours(season, library)

    @property
    def title(self):
        """ "What Ines plays, and where"."""
        return f"What {self.student.called} plays, and where"

    @cached_property
    def entries(self):
        """The auditions still to be played, in the order of their dates, undated ones last."""
        today = self.season.today
        return [each for each in self.season.live_entries if not each.on or each.on >= today]

    @cached_property
    def lines(self):
        """tree.Lines and assignments by requirement key, by entry key."""
        return {entry.pk: asked(entry) for entry in self.entries}

    @cached_property
    def asking(self):
        """What is asked beside pieces, and where the auditions differ."""
        return Asking(self)

    # what is played where

    @cached_property
    def _places(self):
        """Requirements by entry key, by piece; what a set no longer asks for is not played."""
        found = {}
        for entry in self.entries:
            lines, given = self.lines[entry.pk]
            for line in lines:
                for each in given.get(line.requirement.pk, ()):
                    places = found.setdefault(each.piece, {})
                    places.setdefault(entry.pk, []).append(line.requirement)
        return found

    @cached_property
    def pieces(self):
        """The pieces that are played, once each: by kind, those for most auditions first."""
        place = {entry.pk: index for index, entry in enumerate(self.entries)}

        def order(piece):
            where = self._places[piece]
            kind = list(BANDS).index(piece.kind)
            return kind, -len(where), min(map(place.get, where)), str(piece)

        return sorted(self._places, key=order)

    def asked_of(self, piece):
        """Return the requirements that it fills, by entry key."""
        return self._places[piece]

    @cached_property
    def open_lines(self):
        """(entry, tree.Line) of every slot that nothing covers yet.

        Scales that are written down are practised as they stand: no piece is chosen for them.
        """
        return [
            (entry, line)
            for entry in self.entries
            for line in self.lines[entry.pk][0]
            if line.wanted and takes_pieces(line.node)
        ]

    # in words

    @property
    def headline(self):
        """ "Nine pieces for six auditions, 48 h still to prepare." """
        pieces, places = len(self.pieces), len(self.entries)
        auditions = f"{number(places)} audition{'' if places == 1 else 's'}"
        if not pieces:
            return f"No piece is chosen yet for {auditions}."
        head = f"{number(pieces)} piece{'' if pieces == 1 else 's'} for {auditions}"
        return f"{head[0].upper()}{head[1:]}, {hours.words(self.minutes)} still to prepare."

    @property
    def lacking(self):
        """How many slots nothing covers yet, in words; "" if all are covered."""
        count = len(self.open_lines)
        if not count:
            return ""
        words = f"{number(count)} slot{' is' if count == 1 else 's are'} not covered yet"
        places = Counter(entry.audition.institution.short for entry, _ in self.open_lines)
        return f"{words[0].upper()}{words[1:]}: {listed(list(places))}."

    @property
    def minutes(self):
        """Minutes still to prepare in all, each piece once."""
        return sum(map(self.hours.minutes, self.pieces))

    @property
    def assumes(self):
        """Whether the hours of a piece are assumed."""
        return any(map(self.hours.assumed, self.pieces))

    # the drawing

    @cached_property
    def columns(self):
        """A sharing.Column for each audition."""
        return columns(self.entries, self.student)

    @cached_property
    def drawing(self):
        """The sharing.Sharing of all of it."""
        groups = [(title, self._rows(kind)) for kind, title in BANDS.items()]
        return sharing.Sharing(
            title=f"{self.title}: pieces, and the auditions they are played at",
            columns=self.columns,
            bands=sharing.bands([*groups, (OPEN, self._open_rows())]),
            feet=self._feet() if self.pieces else (),
        )

    def _rows(self, kind):
        return [self._row(piece) for piece in self.pieces if piece.kind == kind]

    def _row(self, piece):
        return sharing.piece_row(
            piece.title,
            {key: list(map(played, rows)) for key, rows in self._places[piece].items()},
            self.columns,
            under=under(piece),
            hours=self.hours.left(piece),
            about="assumed" if self.hours.assumed(piece) else "",
            url=piece.get_absolute_url(),
        )

    def _open_rows(self):
        """A row for all slots of one kind, name and reason: auditions can share it."""
        rows, order = {}, Kind.values.index
        for entry, line in self.open_lines:
            row, why = line.requirement, self._why(entry, line)
            rows.setdefault((order(row.kind), row.name, why), {})[entry.pk] = why
        return [
            sharing.open_row(name, dict.fromkeys(keys, f"{name}: {why}"), self.columns, why)
            for (_, name, why), keys in sorted(rows.items(), key=lambda row: row[0][0])
        ]

    def _why(self, entry, line):
        if line.node.is_choice:
            return f"{wording.missing(line)}, {choice(line.node)}"
        if self._fits(entry, line.requirement):
            return wording.missing(line)
        return "nothing in the library fits"

    def _fits(self, entry, requirement):
        """Whether a piece of the library fits that is not chosen there already, or may fit."""
        judged = bridge.judged(requirement)
        slot = bridge.slot(requirement, entry.instrument.name, judged)
        given = {each.piece_id for each in self.lines[entry.pk][1].get(requirement.pk, ())}
        return any(
            fit(piece, slot).verdict is not False
            for pk, piece in self._planned.items()
            if pk not in given
        )

    @cached_property
    def _planned(self):
        """The library by key, as the planner knows it; hours do not matter."""
        return {piece.pk: bridge.piece(piece, 0) for piece in self.library}

    def _feet(self):
        whole, alone = Counter(), Counter()
        for piece, places in self._places.items():
            for key in places:
                whole[key] += self.hours.minutes(piece)
            if len(places) == 1:
                alone[next(iter(places))] += self.hours.minutes(piece)
        return (
            self._foot("In all", whole, self.minutes),
            self._foot("For this one alone", alone, alone.total()),
        )

    def _foot(self, title, minutes, total):
        figures = tuple(hours.words(minutes[column.key]) for column in self.columns)
        return sharing.Foot(title, figures, hours.words(total))


def played(requirement, **fields):
    """Return a requirement as a sharing.Played."""
    live = requirement.round == Requirement.Round.LIVE
    return sharing.Played(
        slot=requirement.name,
        round="" if live else requirement.get_round_display(),
        memory=requirement.memory == Said.YES,
        **fields,
    )


def under(piece):
    """Return composer and minutes of a piece: "Aldous Ferrant · 7.5 min"."""
    minutes = f"{wording.plain(piece.minutes)}\N{NO-BREAK SPACE}min" if piece.minutes else ""
    return " · ".join(filter(None, [piece.composer, minutes]))


def columns(entries, student):
    """Return a sharing.Column for each entry, in their order; no two of them look the same."""
    names = Counter(entry.audition.institution.short for entry in entries)
    return tuple(_column(entry, student, names) for entry in entries)


def _column(entry, student, names):
    audition, name = entry.audition, entry.audition.institution.short
    own = entry.instrument_id == student.instrument_id
    note = "" if entry.kept else "left out of the plan"
    if entry.requirement_set is None:
        note = "nothing asked yet"
    return sharing.Column(
        key=entry.pk,
        name=name,
        date=f"{entry.on:%-d %b}" if entry.on else "",
        full=f"{audition.institution}: {audition.name}",
        detail=audition.name if names[name] > 1 else "",
        instrument="" if own else entry.instrument.name,
        note=note,
        url=entry.get_absolute_url(),
    )


def takes_pieces(node):
    """Whether pieces are chosen for it, or for something inside it."""
    return any(
        each.requirement.is_music
        and not (each.requirement.kind == Kind.SCALES and each.requirement.scales)
        for each in walk([node])
    )


def empty(who, student, comparison):
    """Say what to do where there is nothing to compare; None where there is."""
    if not comparison.entries:
        return _no_entries(who, student)
    if all(entry.requirement_set is None for entry in comparison.entries):
        return {
            "title": "Nothing is asked yet",
            "text": "What the auditions ask for is not chosen in any entry. Choose it there: then "
            "it stands here side by side.",
            "url": comparison.entries[0].get_absolute_url(),
            "label": f"Go to {comparison.entries[0].audition.institution.short}",
        }
    return None


def _no_entries(who, student):
    return {
        "title": "No auditions ahead",
        "text": f"As soon as {student.called} is entered for auditions, what they ask for stands "
        "here side by side, with what is played where.",
        "url": may_add(who, Entry) and reverse("entry_add", args=[student.pk]),
        "label": "Add an audition",
    }
