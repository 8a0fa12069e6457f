"""How ready one student is: today, for each audition, and piece by piece, with what is not sure.

Read from a bridge.Season loaded by `queries.whole_season`; fills the page and the sheet.
"""

from dataclasses import dataclass
from functools import cached_property

from planner.readiness.words import points
from studio.entries import chances, words
from studio.entries.checklist import Checklist
from studio.entries.forecast import Heard, Picture, picture
from studio.entries.parts import Music, Part, possessive

LAST = 3  # checks told beside a picture


@dataclass(frozen=True)
class Row:
    """A line of a table: a requirement or the whole audition, in words."""

    name: str
    figure: str
    chance: str
    expected: str
    limit: str


@dataclass(frozen=True)
class Audition:
    """One audition ahead: where and when, as a whole and requirement by requirement."""

    place: Checklist
    whole: Row
    slots: tuple[Row, ...]
    said: str
    range: str
    unknown: tuple[str, ...]

    @property
    def answer(self):
        """planner.readiness.AuditionReadiness."""
        return self.place.answer


@dataclass(frozen=True)
class Piece:
    """One piece: its picture (None: nothing was heard), and the same in words."""

    music: Music
    answer: object
    picture: Picture | None
    chance: str
    facts: tuple[tuple[str, str], ...]
    heard: tuple[str, ...]
    own: tuple[str, ...]

    @property
    def key(self):
        """Its own among the pictures of a page."""
        return self.music.piece.pk


class Readiness:
    """The readiness of a Season's student.

    staff: for those who teach them; own: for the student; neither: for somebody at home.
    """

    def __init__(self, season, staff=False, own=False):
        self.season, self.staff, self.own = season, staff, own
        self.student, self.today = season.student, season.today
        self.studio = season.student.studio
        self.part = Part(season, staff)

    @property
    def title(self):
        """Whose readiness it is."""
        return f"{possessive(self.student.called)} readiness"

    @cached_property
    def focus(self):
        """The next audition with a date as an Audition, or None."""
        nearest = self.part.next
        return next((each for each in self.auditions if each.place is nearest), None)

    @cached_property
    def auditions(self):
        """Every audition ahead, in the order of their dates."""
        return [self._audition(each) for each in self.part.ahead if each.answer]

    @cached_property
    def pieces(self):
        """The pieces: the least likely first, then those without a chance, last what is ready."""
        found = [self._piece(music) for music in self.part.music]
        return sorted(found, key=lambda piece: self._order(piece.answer))

    @property
    def open_pieces(self):
        """The pieces that were heard and are not ready."""
        return [piece for piece in self.pieces if piece.picture and not self._is_ready(piece)]

    @property
    def all_ready(self):
        """Whether every piece is ready."""
        return bool(self.pieces) and all(self._is_ready(piece) for piece in self.pieces)

    @property
    def nothing_heard(self):
        """Whether no piece was ever heard."""
        return not any(piece.picture for piece in self.pieces)

    @property
    def has_own(self):
        """Whether a picture has a strip of the student's own tempos."""
        return any(piece.picture and piece.picture.tempos for piece in self.pieces)

    @property
    def has_programme(self):
        """Whether a picture has a day on which the whole programme was heard."""
        return any(piece.picture and piece.picture.whole for piece in self.pieces)

    @property
    def meaning(self):
        """What a chance and a range mean."""
        return chances.meaning(self.studio.ease_days)

    @property
    def notes(self):
        """What was assumed and left out, and what the usual pace was learned from."""
        return (*self.season.readiness.notes, self.learned)

    @property
    def learned(self):
        """Where the pace comes from that counts before much was heard."""
        kept = getattr(self.studio, "learned_pace", None)
        if kept is None:
            return "What is usual is a stated default: the studio's own pace is not learned yet."
        return f"What is usual in this studio: {kept.words}."

    def _is_ready(self, piece):
        return chances.is_ready(piece.answer, self.today)

    def _order(self, answer):
        unsure = answer.chance if answer.chance is not None else 2.0
        return chances.is_ready(answer, self.today), unsure, answer.name

    def _row(self, name, answer):
        slowest = self.season.piece_answers.get(int(answer.slowest)) if answer.slowest else None
        return Row(
            name=name,
            figure="" if answer.now is None else points(answer.now),
            chance=chances.in_short(answer, self.today),
            expected=chances.expected(answer, self.today),
            limit=f"{slowest.name}: {slowest.limit_sentence}" if slowest else "",
        )

    def _audition(self, place):
        answer = place.answer
        unknown = [each for each in answer.unknown if each not in answer.sentence]
        return Audition(
            place=place,
            whole=self._row("All of it", answer),
            slots=tuple(self._row(slot.name, slot) for slot in answer.slots),
            said=chances.at(self.season, answer),
            range=chances.in_range(answer, self.today),
            unknown=tuple(unknown),
        )

    def _piece(self, music):
        answer = self.season.piece_answers[music.piece.pk]
        entry = self._entry(music.piece)
        heard = self.season.teacher_checks.get(music.piece.pk, ())
        own = self.season.own_checks.get(music.piece.pk, ())
        return Piece(
            music=music,
            answer=answer,
            picture=picture(
                answer,
                self.today,
                float(self.studio.ready_at),
                entry and entry.on,
                Heard(
                    self._tempos(heard),
                    self._tempos(own),
                    music.tempo,
                    self._programme(music.piece),
                ),
            ),
            chance=self._chance(answer, entry),
            facts=tuple(self._facts(answer, music)),
            heard=self._last(heard),
            own=self._last(own),
        )

    def _entry(self, piece):
        """The next entry with a date that asks for the piece, or None."""
        ahead = (entry for entry in self.season.live_entries if entry.on)
        asking = (
            entry
            for entry in ahead
            if entry.on >= self.today
            and any(each.piece_id == piece.pk for each in entry.assignments.all())
        )
        return next(asking, None)

    def _tempos(self, checks):
        return tuple(
            (each.on, each.tempo) for each in checks if each.tempo and each.on <= self.today
        )

    def _programme(self, piece):
        """The days on which it was heard with its whole programme."""
        return frozenset(check.on for check in self.season.hearing_checks.get(piece.pk, ()))

    def _last(self, checks):
        """The last few checks, the latest first: "96 of 112, 4 days ago"."""
        names = self.studio.marks
        said = ((words.heard(check, names), words.ago(check.on, self.today)) for check in checks)
        return tuple(f"{heard}, {ago}" for heard, ago in list(said)[: -LAST - 1 : -1])

    def _chance(self, answer, entry):
        """Return "about 7 in 10, for Fairmont"; "" where it is ready, or nothing is known."""
        if entry is None or answer.chance is None or chances.is_ready(answer, self.today):
            return ""
        return f"{chances.chance_words(answer.chance)}, for {entry.audition.institution.short}"

    def _facts(self, answer, music):
        """(label, words) beside a picture."""
        if pace := _pace(answer):
            yield "Pace", pace
        if answer.limit:
            yield "What limits it", answer.limit_sentence
        if music.target:
            yield "Target", music.target
        yield "For", music.places


def _pace(answer):
    """Return "about 3 points a week", or ""."""
    if answer.per_week is None or answer.known == "ready":
        return ""
    gain = int(answer.per_week + 0.5)
    if answer.per_week <= 0:
        return "not gaining lately"
    if gain < 1:
        return "less than a point a week"
    return f"about {gain} {'point' if gain == 1 else 'points'} a week"
