"""The day put together: spans get their words and their wall times."""

from datetime import datetime, time
from zoneinfo import ZoneInfo

from planner import zones
from planner.day import wording
from planner.day.model import Answer, Key, Problem, Step
from planner.day.night import night_away
from planner.day.timeline import Span, Timeline, count_back


def answer(problem: Problem) -> Answer:
    """Return the day of `problem`: steps with times where they can be computed, and the rest."""
    line = count_back(problem)
    leave = line.span(Key.LEAVE_HOME).starts
    audition = line.span(Key.AUDITION)
    return Answer(
        steps=tuple(_step(problem, line, span) for span in _in_order(line)),
        leave_home=_shown(leave, line.home or line.place),
        arrive=_shown(line.span(Key.PARK).starts, line.place),
        call=_shown(audition.starts, line.place),
        ends=_shown(audition.ends, line.place),
        zone_sentence=_zone_sentence(problem, line),
        hint=wording.HINTS[problem.format],
        journey=line.journey,
        night_away=night_away(problem, line, leave),
        clashes=tuple(wording.clashes(problem, line)),
        notes=tuple(wording.notes(problem, line)),
        unknown=tuple(dict.fromkeys(wording.unknown(problem, line))),
    )


def _in_order(line: Timeline) -> list[Span]:
    """Return steps and extras by time; nothing of no length but the journey and the audition."""
    kept = (Key.LEAVE_HOME, Key.AUDITION)
    steps = [span for span in line.steps if span.minutes or span.key in kept]
    open_steps = [span for span in steps if span.starts is None]
    timed = [span for span in (*steps, *line.extras) if span.starts]
    open_extras = [span for span in line.extras if span.starts is None]
    return open_steps + sorted(timed, key=lambda span: span.starts) + open_extras


def _step(problem: Problem, line: Timeline, span: Span) -> Step:
    at_home = span.key is Key.LEAVE_HOME
    tz = (line.home or line.place) if at_home else line.place
    shown = span.starts and span.starts.astimezone(tz or line.clock)
    return Step(
        key=span.key,
        title=wording.title(problem, line, span),
        detail=wording.detail(problem, line, span),
        starts=_shown(span.starts, tz),
        day=shown and shown.date(),
        wall=shown and shown.time(),
        zone=zones.label(shown, tz) if shown and tz else "",
        other=_other(line, span, line.place if at_home else line.home),
        minutes=span.minutes,
        certainty=span.certainty,
    )


def _shown(at: datetime | None, tz: ZoneInfo | None) -> datetime | None:
    return at.astimezone(tz) if at and tz else None


def _other(line: Timeline, span: Span, tz: ZoneInfo | None) -> str:
    """Return the wall time at the other end, where the clocks there differ."""
    if not (span.starts and line.place and line.home):
        return ""
    if not zones.ahead_of(span.starts, line.place, line.home):
        return ""
    return wording.wall(span.starts, tz)


def _zone_sentence(problem: Problem, line: Timeline) -> str:
    if line.place is None:
        return ""
    # Without a call, noon stands for the day: clocks change in the night.
    at = line.call or zones.moment(problem.day, time(12), line.place).at
    label = zones.label(at, line.place)
    if line.home is None:
        return label
    return f"{label}, {zones.compared(zones.ahead_of(at, line.place, line.home))}"
