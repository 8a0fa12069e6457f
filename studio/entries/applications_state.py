"""How far one thing is that an institution wants, in a word and in words."""

from dataclasses import dataclass
from datetime import date

from planner.deadlines.wording import count_days, dated
from studio.entries.models import Task


@dataclass(frozen=True)
class State:
    """step: "late", "open", "waits", "done" or "not needed". words: what is shown."""

    step: str
    words: str

    @property
    def is_done(self):
        """Whether nothing is left to do for it."""
        return self.step == "done"

    @property
    def is_open(self):
        """Whether something is left to do for it."""
        return self.step in {"late", "open", "waits"}


def state_of(cues, today: date, opener: str = "") -> State:
    """Return the State of a deadline by the bridge.Cues of its tasks, in the order of their days.

    opener: the name of what has to be sent before it opens, "" where nothing is in the way.
    """
    wanted = [cue for cue in cues if cue.task.state != Task.State.DROPPED]
    if not wanted:
        no_tasks = State("open", "open, no task is drawn up for it")
        return State("not needed", "not needed") if cues else no_tasks
    left = [cue for cue in wanted if not cue.done]
    if not left:
        on = max(cue.task.done_on for cue in wanted)
        return State("done", f"done on {dated(on, today, full=False)}")
    late = max((cue for cue in left if cue.dated), key=_lateness, default=None)
    if late and _lateness(late):
        return State("late", f"{late.task.name}: {count_days(_lateness(late))} late")
    if stuck := next((cue for cue in left if cue.trouble), None):
        return State("late", f"{stuck.task.name}: {stuck.trouble}")
    waits = opener or _waits(left[0])
    if waits:
        return State("waits", f"waits for: {waits}")
    return State("open", f"open, next step by {_by(left[0], today)}" if left[0].dated else "open")


def _lateness(cue):
    return cue.due.late_days


def _waits(cue):
    return (cue.due.waits_for or "") if cue.dated else ""


def _by(cue, today):
    return dated(cue.due.plan_by, today, full=False)
