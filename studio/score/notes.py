"""Noteheads: what is due, each on its day, on a line of its own where days lie close."""

from dataclasses import dataclass
from itertools import groupby

SPACE = 5.0  # between two staff lines
SQUARE = 2.56 * SPACE  # of a notehead, as the symbols are drawn
NEAR = 10.0  # two noteheads of a line stand at least so far apart
RINGS_NEAR = 22.0  # overdue notes closer than this share a ring
LINES = (2, 3, 1, 4, 0)  # staff lines from the top, in the order in which they are filled
ORDER = {"overdue": 0, "open": 1, "done": 2}


@dataclass(frozen=True)
class Note:
    """A notehead. x, y: its middle; state: "open", "overdue", "done" or "audition"."""

    symbol: str
    x: float
    y: float
    state: str
    title: str = ""

    @property
    def left(self):
        """The left edge of the symbol's square."""
        return round(self.x - SQUARE / 2, 1)

    @property
    def top(self):
        """The top of the symbol's square."""
        return round(self.y - SQUARE / 2, 1)


@dataclass(frozen=True)
class Ring:
    """A pencil ring around what is overdue: its middle and its two radii."""

    x: float
    y: float
    wide: float
    high: float


def rings(found):
    """Return the rings around overdue notes; those close together share one."""
    groups = []
    for note in sorted((n for n in found if n.state == "overdue"), key=lambda note: note.x):
        if groups and note.x - groups[-1][-1].x < RINGS_NEAR:
            groups[-1].append(note)
        else:
            groups.append([note])
    return tuple(_ring(group) for group in groups)


def _ring(group):
    low, high = min(note.y for note in group), max(note.y for note in group)
    first, last = group[0].x, group[-1].x
    return Ring(
        round((first + last) / 2, 1),
        (low + high) / 2,
        round((last - first) / 2 + 11, 1),
        (high - low) / 2 + 9,
    )


def notes(player, span, staff):
    """Return the noteheads of a player whose staff has its top line at `staff`."""
    wanted = [
        *((day, "notehead-whole", "audition", "") for day in _days(player, span)),
        *_dues(player, span),
    ]
    taken, found = [], []
    for day, symbol, state, title in wanted:
        x = span.x(day)
        line = next((line for line in LINES if _is_free(taken, line, x)), LINES[0])
        taken.append((line, x))
        found.append(Note(symbol, x, staff + line * SPACE, state, title))
    return tuple(found)


def _days(player, span):
    return sorted({audition.on for audition in player.auditions if audition.on in span})


def _dues(player, span):
    """What is due, things of one day, kind and state as one notehead; what presses first."""
    shown = [due for due in player.dues if due.on in span]
    shown.sort(key=lambda due: (ORDER[due.state], due.on, due.recording))
    for key, same in groupby(shown, lambda due: (due.on, due.recording, due.state)):
        on, recording, state = key
        symbol = "notehead-triangle" if recording else "notehead"
        yield on, symbol, state, "\n".join(due.words for due in same)


def _is_free(taken, line, x):
    return all(other != line or abs(at - x) >= NEAR for other, at in taken)
