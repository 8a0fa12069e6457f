"""What a student's auditions ask beside pieces, and where they want the same music otherwise.

Read from a compare.Comparison; nothing here queries.
"""

from dataclasses import dataclass
from functools import cached_property

from planner.deadlines.wording import listed
from planner.scales import read_scales, union
from studio.requirements import wording
from studio.requirements.models import Kind, Piano, Said
from studio.requirements.notation import is_unread

BESIDE = (Kind.SIGHT_READING, Kind.TEST, Kind.INTERVIEW, Kind.PAPER)
MEMORY = {Said.YES: "from memory at {}", Said.NO: "not at {}", Said.UNSTATED: "not stated by {}"}
PIANO = {Piano.WITH: "with piano at {}", Piano.WITHOUT: "without at {}"}


@dataclass(frozen=True)
class Difference:
    """Where auditions want one piece otherwise, a few words each.

    too_long: the limits that the piece does not keep to: red pencil.
    """

    title: str
    words: tuple[str, ...]
    too_long: str


@dataclass(frozen=True)
class Beside:
    """One kind of thing that is asked beside pieces. lines: (auditions, what they say of it)."""

    title: str
    lines: tuple[tuple[str, str], ...]


class Asking:
    """What the auditions of a compare.Comparison ask."""

    def __init__(self, comparison):
        self.comparison = comparison

    @cached_property
    def names(self):
        """The short name of each audition by entry key, told apart where two are alike."""
        return names(self.comparison.columns)

    # where they differ

    @cached_property
    def differences(self):
        """A Difference for each piece over which there is one, first those that are too long."""
        found = map(self._difference, self.comparison.pieces)
        some = [each for each in found if each.words or each.too_long]
        return sorted(some, key=lambda each: not each.too_long)

    def _difference(self, piece):
        asked = self.comparison.asked_of(piece)
        words = (
            self._unlike(MEMORY, {key: _memory(rows) for key, rows in asked.items()}),
            self._unlike(PIANO, {key: _piano(rows) for key, rows in asked.items()}),
        )
        return Difference(piece.title, tuple(filter(None, words)), self._too_long(piece, asked))

    def _unlike(self, templates, said):
        """Return who says what; "" unless one says the first of `templates`, others another."""
        groups = {
            word: [self.names[key] for key, value in said.items() if value == word]
            for word in templates
        }
        groups = {word: names for word, names in groups.items() if names}
        if next(iter(templates)) not in groups or len(groups) == 1:
            return ""
        return "; ".join(templates[word].format(listed(who)) for word, who in groups.items())

    def _too_long(self, piece, asked):
        if not piece.minutes:
            return ""
        limits = {}
        for key, rows in asked.items():
            most = min((row.minutes for row in rows if row.minutes is not None), default=None)
            if most is not None and most < piece.minutes:
                limits.setdefault(most, []).append(self.names[key])
        said = [
            f"at most {wording.plain(most)} at {listed(names)}"
            for most, names in sorted(limits.items())
        ]
        takes = f"It takes {wording.plain(piece.minutes)} minutes"
        return f"{takes}: {', '.join(said)}" if said else ""

    # why the requirements may be the wrong ones

    @cached_property
    def doubts(self):
        """What is doubted, by its text: (name of the audition, its requirement set) of each."""
        season, found = self.comparison.season, {}
        for entry in self.comparison.entries:
            for doubt in season.doubts(entry):
                who = (self.names[entry.pk], entry.requirement_set)
                found.setdefault(doubt.text, []).append(who)
        return found

    # what else is asked

    @cached_property
    def beside(self):
        """A Beside for each kind that is asked, those who say the same of it together."""
        made = (Beside(Kind(kind).label, self._alike([kind], details)) for kind in BESIDE)
        return [each for each in made if each.lines]

    @cached_property
    def scales(self):
        """planner.scales.Union of the scales that are written down; None where none are."""
        written = self._alike([Kind.SCALES], lambda row: row.scales if _is_read(row) else None)
        return union(tuple((who, read_scales(text)) for who, text in written)) if written else None

    @cached_property
    def scales_as_text(self):
        """(auditions, what they say) of the scales that the program does not check."""
        return self._alike([Kind.SCALES], lambda row: None if _is_read(row) else _quoted(row))

    def _alike(self, kinds, words):
        """Return (auditions, words) of the requirements of some kinds.

        words: of a requirement; None leaves it out.
        """
        found = {}
        for entry in self.comparison.entries:
            for line in self.comparison.lines[entry.pk][0]:
                row = line.requirement
                if row.kind in kinds and (said := words(row)) is not None:
                    found.setdefault(said, {})[self._who(entry, row)] = None
        return tuple((listed(list(who)), what) for what, who in found.items())

    def _who(self, entry, row):
        name = self.names[entry.pk]
        live = row.round == row.Round.LIVE
        return name if live else f"{name} ({row.get_round_display().lower()})"


def names(columns):
    """Return the name of each of these sharing.Columns by its key, told apart where alike."""
    return {
        column.key: f"{column.name}, {column.detail}" if column.detail else column.name
        for column in columns
    }


def _is_read(row):
    """Whether the program understands the scales it asks for."""
    return bool(row.scales) and not is_unread("scales", row.scales)


def details(row):
    """Return what the institution says of a requirement, on one line."""
    return " ".join(row.details.split())


def _quoted(row):
    return f"{row.name}: “{details(row)}”" if details(row) else row.name


def _memory(rows):
    said = {row.memory for row in rows}
    return next(each for each in (Said.YES, Said.NO, Said.UNSTATED) if each in said)


def _piano(rows):
    said = {row.piano for row in rows}
    return next(each for each in (Piano.WITHOUT, Piano.WITH, Piano.UNSTATED) if each in said)
