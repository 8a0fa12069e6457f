"""The plan of a Season as it stands today, and what moved it since yesterday.

Stateless. Today's plan is held against the plan as it would stand had yesterday gone as planned and
nothing happened today: what differs was moved by what is recorded of the two days, and that is
said. Logs of today do not count before tomorrow, so that today's list does not shift under the
hand; checks of today do. A row that is written later for an earlier day is no news.
"""

from dataclasses import replace
from datetime import timedelta
from functools import cached_property

from planner import practice
from planner.deadlines.wording import count_of, listed
from studio.answers import solve
from studio.entries.bridge import Season
from studio.entries.models import PracticeLog
from studio.entries.practice import rows
from studio.entries.practice.bridge import SCALES, Asking, Known, last_heard, weekdays

KEEPS_LOG = timedelta(days=14)  # whoever logged nothing for so long has not missed yesterday
SAID = 4


class Practice:
    """The practice of a Season loaded with `rows.with_practice`."""

    def __init__(self, season):
        self.season, self.student, self.today = season, season.student, season.today
        self.yesterday = season.today - timedelta(days=1)
        self.logs, self.days = rows.logs(self.student), rows.days(self.student)
        self.keys = rows.key_checks(self.student)

    @cached_property
    def asking(self):
        """What is asked today, as bridge.Asking."""
        return Asking(Known(self.season, self.today, self._logs(self.today), self.days, self.keys))

    @cached_property
    def answer(self):
        """planner.practice.Answer of today."""
        problem = self.asking.problem
        if not self.causes or problem == self._usual:
            return solve("practice", problem)
        before = solve("practice", self._usual)
        return solve("practice", replace(problem, previous=_rows(before)))

    @property
    def moved(self):
        """What moved, a sentence each; nothing where nothing did."""
        moved = [] if self.answer.moved == ("Nothing has moved.",) else list(self.answer.moved)
        left = len(moved) - SAID
        return [*moved[:SAID], f"And {left} more pieces."] if left > 1 else moved

    @cached_property
    def causes(self):
        """What happened since the plan of yesterday, a sentence each."""
        found = [self._checked(), self._keys_checked(), self._missed(), self._other_minutes()]
        return [each for each in found if each]

    @property
    def logged_today(self):
        """Today's PracticeLogs."""
        return [log for log in self.logs if log.on == self.today]

    # ---- the plan that would stand

    def _logs(self, before):
        return tuple(log for log in self.logs if log.on < before)

    @cached_property
    def _usual(self):
        """Today's problem without what happened since yesterday's plan."""
        logs = (*self._logs(self.yesterday), *self._expected)
        return Asking(replace(self._before, today=self.today, logs=logs)).problem

    @cached_property
    def _before(self):
        """What was known yesterday, before its practice."""
        return Known(
            _Before(self.student, self.season.now),
            self.yesterday,
            self._logs(self.yesterday),
            tuple(day for day in self.days if day.on != self.today),
            tuple(check for check in self.keys if check.on < self.today),
        )

    @cached_property
    def _planned(self):
        """Yesterday's planned minutes as PracticeLogs; None where nobody logs anyhow."""
        if not any(log.on >= self.today - KEEPS_LOG for log in self._logs(self.today)):
            return None
        days = solve("practice", Asking(self._before).problem).days
        return _as_logs(days[0] if days and days[0].on == self.yesterday else None)

    @property
    def _expected(self):
        """What counts as practised yesterday where it went as planned."""
        if self._planned is None:
            return tuple(log for log in self._logs(self.today) if log.on == self.yesterday)
        return self._planned

    # ---- why it moved

    def _checked(self):
        pieces = self.season.pieces
        heard = [piece.title for piece in pieces if last_heard(self.season, piece) == self.today]
        return f"Heard today: {listed(heard)}." if heard else ""

    def _keys_checked(self):
        count = sum(check.on == self.today for check in self.keys)
        return f"{count_of(count, 'key')} tried today." if count else ""

    def _missed(self):
        if self._planned is None:
            return ""
        logs = [log for log in self.logs if log.on == self.yesterday]
        done, planned = (sum(log.minutes for log in some) for some in (logs, self._planned))
        if done == planned:
            same = _by_what(logs) == _by_what(self._planned)
            return "" if same else "Yesterday’s minutes went to other music than was planned."
        if not planned:
            return f"Yesterday {count_of(done, 'minute')} are logged, and none were planned."
        return f"Yesterday {done or 'none'} of {count_of(planned, 'minute')} are logged."

    def _other_minutes(self):
        own = next((day.minutes for day in self.days if day.on == self.today), None)
        usual = weekdays(self.student)[self.today.weekday()]
        return "" if own in {None, usual} else f"Today has {own} minutes instead of {usual}."


class _Before(Season):
    """The season without the checks of today."""

    def _checks(self, source):
        return self._earlier(super()._checks(source))

    @cached_property
    def hearing_checks(self):
        """Those of the whole programme, without today's."""
        return self._earlier(super().hearing_checks)

    def _earlier(self, found):
        before = {pk: [c for c in some if c.on < self.today] for pk, some in found.items()}
        return {pk: some for pk, some in before.items() if some}


def what(log):
    """Return what a PracticeLog is of, as the plan's keys and kinds have it."""
    if log.entry_id:
        return f"run-{log.entry_id}"
    return f"piece-{log.piece_id or SCALES}"


def _by_what(logs):
    return {what(log): log.minutes for log in logs if log.minutes}


def _rows(answer):
    return tuple(
        practice.Row(day.on, one.key, one.minutes)
        for day in answer.days
        for one in day.stretches
        if one.kind == "piece"
    )


def _as_logs(day):
    found = {}
    for one in day.stretches if day else ():
        found[(one.kind, one.key)] = found.get((one.kind, one.key), 0) + one.minutes
    return tuple(
        PracticeLog(
            on=day.on,
            minutes=minutes,
            entry_id=int(key) if kind == "run-through" else None,
            piece_id=int(key) if kind == "piece" and key != SCALES else None,
        )
        for (kind, key), minutes in found.items()
    )
