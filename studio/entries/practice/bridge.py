"""Rows in, the question of `planner.practice` out: what of a Season is asked, and on what grounds.

- A piece asks for the minutes of `entries.hours` (the estimate less what is ready) less those
  logged on it since the teacher last checked it, but for LEAST minutes as long as it is not ready.
- It has to be ready the day before the first audition that asks for it, less the studio's days of
  ease; once these have begun, the day before. An audition without a date counts from the first
  that it offers, and that is said; one that offers none has no day to plan for, and its music
  stands in `no_date`.
- Days away are without practice, unless the student gives one minutes; exams are days like others.
- Keys of written demands that are not at their tempo are one piece together, KEY minutes a key.

LEAST, KEY, LENGTH and how a level becomes a difficulty are common practice, no source. Nothing
here queries.
"""

from dataclasses import dataclass
from datetime import date, timedelta
from functools import cached_property
from math import ceil

from planner import practice
from planner.deadlines.wording import count_of, dated, listed
from planner.practice.validate import AUDITIONS, DAY_MINUTES, MOST_MINUTES, PIECES
from planner.readiness.words import points
from studio.entries.bridge import Season, asked
from studio.entries.drill.asked import Asked, place, united
from studio.entries.hours import Hours
from studio.entries.hours import words as in_words
from studio.entries.practice.rows import estimates
from studio.entries.practice.settings import settings
from studio.students.models import DayAway

LEAST = 15  # minutes
KEY = 15  # minutes
LENGTH = 4  # minutes of a piece whose own are not written down
FAR = timedelta(days=900)
SCALES = "scales"
HARDEST = 3


@dataclass(frozen=True)
class Known:
    """What is known on a day: rows of practice.rows, logs of earlier days only.

    season: the bridge.Season whose checks count.
    """

    season: Season
    today: date
    logs: tuple = ()
    days: tuple = ()
    keys: tuple = ()


@dataclass(frozen=True)
class Ahead:
    """An audition still to be played. on: None if there is no day to plan for.

    chosen: whether that is its own date, or only the first that it offers.
    """

    entry: object
    on: date | None
    chosen: bool

    @property
    def place(self):
        """The institution's short name."""
        return self.entry.audition.institution.short


@dataclass(frozen=True)
class Need:
    """What one piece still asks for, and on what grounds. due: None: no day to plan for."""

    key: str
    name: str
    minutes: int
    due: date | None
    grounds: str


class Asking:
    """What is asked of planner.practice on the grounds of a Known."""

    def __init__(self, known):
        self.known, self.today = known, known.today
        self.season, self.student = known.season, known.season.student

    @cached_property
    def problem(self):
        """The planner.practice.Problem."""
        return practice.Problem(
            today=self.today,
            weekdays=weekdays(self.student),
            pieces=tuple(map(self._piece, self.planned)),
            away=tuple(self._away()),
            extra=tuple(self._extra()),
            auditions=tuple(self._auditions())[:AUDITIONS],
            settings=settings(self.student.studio),
        )

    @cached_property
    def ahead(self):
        """The auditions still to be played as Ahead."""
        found = (self._ahead(entry) for entry in self.season.live_entries)
        return [each for each in found if each]

    def _ahead(self, entry):
        last = self.today + FAR
        if entry.on:
            return Ahead(entry, entry.on, True) if self.today <= entry.on <= last else None
        offered = sorted(date.fromisoformat(each["on"]) for each in entry.offered or ())
        return Ahead(entry, next((on for on in offered if self.today <= on <= last), None), False)

    def due(self, on):
        """Return the day by which the music of an audition on that day has to be ready."""
        eased = on - timedelta(days=1 + self.student.studio.ease_days)
        return eased if eased >= self.today else max(on - timedelta(days=1), self.today)

    # ---- what is needed

    @cached_property
    def needs(self):
        """A Need for each piece of the auditions ahead, then the scales."""
        first = {}
        for each in self.ahead:
            for given in each.entry.assignments.all():
                known = first.get(given.piece_id)
                first[given.piece_id] = min(filter(None, (known, each.on)), default=None)
        found = [self._need(p, first[p.pk]) for p in self.season.pieces if p.pk in first]
        return [*found, *filter(None, [self._scales()])]

    @property
    def planned(self):
        """The needs with a day to plan for."""
        return [need for need in self.needs if need.due][:PIECES]

    @property
    def no_date(self):
        """The needs without one."""
        return [need for need in self.needs if not need.due]

    def _need(self, piece, on):
        minutes = self.hours.minutes(piece)
        since = last_heard(self.season, piece) or date.min
        done = sum(log.minutes for log in self._logs(piece) if log.on >= since)
        answer = self.hours.readiness.get(piece.pk)
        hours = in_words(round(60 * float(self.hours.estimate(piece))))
        grounds = [f"{hours} from the first page{', as is usual' * self.hours.assumed(piece)}"]
        if answer and answer.now is not None:
            ready_at = self.student.studio.ready_at
            grounds.append(f"{points(answer.now)} of 100, ready from {ready_at} on")
        if done:
            grounds.append(f"{count_of(done, 'minute')} logged since")
        left = min(max(minutes - done, LEAST), MOST_MINUTES) if minutes else 0
        return Need(str(piece.pk), piece.title, left, on and self.due(on), ", ".join(grounds))

    def _logs(self, piece):
        return [log for log in self.known.logs if log.piece_id == piece.pk]

    @cached_property
    def hours(self):
        """The hours.Hours of the season's pieces."""
        return _Hours(self.season, estimates(self.student))

    def _scales(self):
        """Return the Need of all keys that are not at their tempo yet, or None."""
        missing = [key for key in self._keys if not self._at_tempo(key)]
        if not missing:
            return None
        on = min((self._day[pk] for key in missing for pk in key.entries if self._day[pk]),
                 default=None)  # fmt: skip
        since = max((check.on for check in self.known.keys), default=date.min)
        done = sum(log.minutes for log in self._else if log.on >= since)
        name = f"Scales: {count_of(len(missing), 'key')} not at tempo yet"
        grounds = f"{len(missing)} of {count_of(len(self._keys), 'key')}, {KEY} minutes each"
        minutes = max(KEY * len(missing) - done, LEAST)
        return Need(SCALES, name, minutes, on and self.due(on), grounds)

    @property
    def _else(self):
        return [log for log in self.known.logs if not log.piece_id and not log.entry_id]

    @cached_property
    def _day(self):
        """The day of each audition ahead by entry pk."""
        return {each.entry.pk: each.on for each in self.ahead}

    @cached_property
    def _wanted(self):
        return Asked(self.season)

    @cached_property
    def _keys(self):
        """Every key that is asked for in writing and has no piece in its place."""
        wanted = self._wanted
        found = [key for one in wanted.instruments for key in united(wanted.of(one))]
        return [key for key in map(self._key, found) if key.entries]

    def _key(self, key):
        rows = [
            (entry.pk, demand.demand.tempo)
            for demand, _ in key.asked_by
            for entry, requirement in demand.rows
            if self._bare(entry, requirement)
        ]
        return _Key(
            place(key.sort, key.scale.tonic),
            frozenset(pk for pk, _ in rows),
            max((tempo for _, tempo in rows if tempo), default=None),
        )

    def _bare(self, entry, requirement):
        """Whether a requirement of an audition ahead has no piece in its place."""
        return entry.pk in self._day and requirement.pk not in asked(entry)[1]

    def _at_tempo(self, key):
        checks = [check for check in self.known.keys if place(check.sort, check.tonic) == key.place]
        return bool(checks) and (key.tempo is None or checks[-1].tempo >= key.tempo)

    # ---- for the engine

    def _piece(self, need):
        return practice.Piece(
            key=need.key,
            name=need.name,
            minutes=need.minutes,
            due=need.due,
            hard=self._hard(need.key),
            last_played=self._played(need.key),
        )

    @cached_property
    def _pieces(self):
        return {str(piece.pk): piece for piece in self.season.pieces}

    def _hard(self, key):
        level = None if key == SCALES else self._pieces[key].level
        return 1 if level is None else min(level // 3, HARDEST)

    def _played(self, key):
        """Return the last day, before today's practice, on which it was played."""
        if key == SCALES:
            days = [*(log.on for log in self._else), *(check.on for check in self.known.keys)]
        else:
            own = self.season.own_checks.get(int(key), ())
            heard = last_heard(self.season, self._pieces[key])
            days = [*filter(None, [heard]), *(c.on for c in own if c.on < self.today)]
            runs = {log.entry_id: log.on for log in self.known.logs if log.entry_id and log.minutes}
            days += [log.on for log in self.known.logs if str(log.piece_id) == key and log.minutes]
            days += [runs[each.entry.pk] for each in self.ahead
                     if each.entry.pk in runs and key in _programme(each.entry)]  # fmt: skip
        last = max((day for day in days if day <= self.today), default=None)
        return last if last and self.today - last <= FAR else None

    def _auditions(self):
        for each in self.ahead:
            pieces = tuple(key for key in _programme(each.entry))
            if each.chosen and pieces:
                minutes, _ = programme_minutes(each.entry)
                yield practice.Audition(str(each.entry.pk), each.place, each.on, pieces, minutes)

    def _away(self):
        """The days away, without those for which the student gives minutes."""
        own = {day.on for day in self.known.days if day.minutes}
        for each in away(self.student, self.today):
            first = max(each.first, self.today)
            name = each.reason or "away"
            for on in sorted(day for day in own if first <= day <= each.last):
                if first < on:
                    yield practice.Away(first, on - timedelta(days=1), name)
                first = on + timedelta(days=1)
            if first <= each.last:
                yield practice.Away(first, each.last, name)

    def _extra(self):
        usual = weekdays(self.student)
        for day in self.known.days:
            more = min(day.minutes, DAY_MINUTES) - usual[day.on.weekday()]
            if day.on >= self.today and more:
                yield practice.Extra(day.on, more)

    # ---- what is assumed

    @property
    def assumed(self):
        """What is taken for granted, a sentence each."""
        for each in self.ahead:
            yield from self._assumed_of(each)
        for demand in self._wanted.troubles:
            if any(self._bare(entry, row) for entry, row in demand.rows):
                yield f"Scales for {demand.who} are not planned: {demand.trouble}"

    def _assumed_of(self, each):
        if each.on and not each.chosen:
            day = dated(each.on, self.today, full=False)
            yield f"{each.place} has no date yet: planned for the first that it offers, {day}."
        if each.on and each.on - timedelta(days=1 + self.student.studio.ease_days) < self.today:
            yield f"{each.place}: the days of ease have begun, and are used for its music too."
        minutes, unknown = programme_minutes(each.entry)
        if each.chosen and unknown:
            names = listed([piece.title for piece in unknown])
            yield (
                f"{each.place}: a run-through is taken for {minutes} minutes; how long {names} "
                f"{'takes' if len(unknown) == 1 else 'take'} is not written down ({LENGTH} each)."
            )


@dataclass(frozen=True)
class _Key:
    """One scale in one key: where it is kept, the auditions (pk) that ask it, the tempo."""

    place: tuple
    entries: frozenset
    tempo: int | None


class _Hours(Hours):
    """Hours by the readiness that the season has anyhow: of what is assigned."""

    @cached_property
    def readiness(self):
        """PieceReadiness by piece pk."""
        return self.season.piece_answers


def last_heard(season, piece):
    """Return the day on which a teacher last heard a piece, alone or in its programme, or None."""
    lessons = season.teacher_checks.get(piece.pk, ())
    hearings = season.hearing_checks.get(piece.pk, ())
    return max((check.on for check in (*lessons, *hearings)), default=None)


def weekdays(student):
    """Return the minutes of each weekday, Monday first."""
    return tuple(min(minutes, DAY_MINUTES) for minutes in student.weekly_minutes)


def away(student, today):
    """Return the rows of days without practice that are not over."""
    rows = student.days_away.all()
    return [each for each in rows if each.kind == DayAway.Kind.AWAY and each.last >= today]


def _programme(entry):
    """The keys of an entry's pieces, once each."""
    return dict.fromkeys(str(each.piece_id) for each in entry.assignments.all())


def programme_minutes(entry):
    """Return the whole minutes that it takes to play an entry's music, and the pieces of LENGTH."""
    pieces = {each.piece_id: each.piece for each in entry.assignments.all()}.values()
    unknown = [piece for piece in pieces if piece.minutes is None]
    known = sum(piece.minutes for piece in pieces if piece.minutes is not None)
    return min(ceil(known) + LENGTH * len(unknown), DAY_MINUTES), unknown
