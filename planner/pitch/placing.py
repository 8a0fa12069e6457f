"""Where on the instrument a scale is played: the octaves that are asked, or the full range."""

from dataclasses import dataclass

from planner.pitch.forms import Ladder, Notes, every, octaves_up
from planner.pitch.notes import Pitch

Range = tuple[Pitch, Pitch]


@dataclass(frozen=True)
class Placed:
    """A scale in its place. rising: with its top note; falling: from the note after it on.

    octaves: how many fit; 0: none, and there are no notes. starts: where as many fit.
    """

    rising: Notes = ()
    falling: Notes = ()
    octaves: int | None = 0
    starts: Notes = ()


def over_octaves(ladder: Ladder, asked: int, within: Range) -> Placed:
    """Return the scale from the lowest start on which so many octaves fit, or the most that do."""
    for number in range(asked, 0, -1):
        fitting = tuple(
            note
            for note in every(ladder.root)
            if _inside(note, within) and _inside(octaves_up(note, number), within)
        )
        if fitting:
            rising, falling = _between(ladder, fitting[0], octaves_up(fitting[0], number))
            return Placed(rising, falling, number, fitting)
    return Placed()


def full_range(ladder: Ladder, within: Range) -> Placed:
    """Return the scale from the lowest to the highest of its notes that the instrument has.

    Where up and down differ (melodic minor) it turns on notes that both have.
    """
    turning = set(ladder.falling)
    ends = [note for note in ladder.rising if note in turning and _inside(note, within)]
    if len(ends) < 2:
        return Placed()
    return Placed(*_between(ladder, ends[0], ends[-1]), None, (ends[0],))


def all_semitones(ladder: Ladder, within: Range) -> Placed:
    """Return the chromatic scale from the lowest to the highest note, as these are spelled."""
    return Placed(*_between(ladder, *within), None, (within[0],))


def _between(ladder: Ladder, low: Pitch, high: Pitch) -> tuple[Notes, Notes]:
    """Return the way up and the way down; both ends keep their spelling."""
    up, down = (
        tuple(note for note in notes if low.midi < note.midi < high.midi)
        for notes in (ladder.rising, ladder.falling)
    )
    return (low, *up, high), (*reversed(down), low)


def _inside(note: Pitch, within: Range) -> bool:
    return within[0].midi <= note.midi <= within[1].midi
