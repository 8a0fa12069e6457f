"""From what is written to what sounds, and back."""

from planner import keys
from planner.clauses import COUNTS
from planner.pitch.notes import OCTAVE, Interval, Pitch

# The steps of 0 to 11 semitones, as transposing instruments are named: in B flat, in F, in A. The
# tritone, which no instrument in use has, is taken for an augmented fourth.
_STEPS = (0, 1, 1, 2, 2, 3, 3, 4, 5, 5, 6, 6)
_NAMES = (
    "", "a minor second", "a major second", "a minor third", "a major third", "a perfect fourth",
    "an augmented fourth", "a perfect fifth", "a minor sixth", "a major sixth", "a minor seventh",
    "a major seventh",
)  # fmt: skip


def sounding(semitones: int) -> Interval:
    """Return the interval from written to sounding of an instrument that sounds so many semitones
    higher: -7, the horn in F, is a perfect fifth down.
    """
    octaves, rest = divmod(abs(semitones), 12)
    interval = Interval(7 * octaves + _STEPS[rest], abs(semitones))
    return -interval if semitones < 0 else interval


def to_sounding(pitch: Pitch, semitones: int) -> Pitch:
    """Return what sounds when `pitch` is written."""
    return sounding(semitones).above(pitch)


def to_written(pitch: Pitch, semitones: int) -> Pitch:
    """Return what is written for `pitch` to sound."""
    return (-sounding(semitones)).above(pitch)


def sounding_key(tonic: str, mode: str, semitones: int) -> str:
    """Return the tonic of the concert key that sounds when a key is written."""
    return _moved(tonic, mode, sounding(semitones))


def written_key(tonic: str, mode: str, semitones: int) -> str:
    """Return the tonic to write for a concert key: A♭ on a B flat clarinet for concert F♯ major,
    because G♯ major would have eight sharps.
    """
    return _moved(tonic, mode, -sounding(semitones))


def _moved(tonic: str, mode: str, interval: Interval) -> str:
    return keys.signed(keys.at_fifths(keys.fifths(tonic) + interval.fifths), mode)


def named(semitones: int) -> str:
    """Return "a perfect fifth lower than written" for -7, "as written" for 0."""
    if not semitones:
        return "as written"
    octaves, rest = divmod(abs(semitones), OCTAVE.semitones)
    many = f"{COUNTS[octaves]} octaves" if octaves > 1 else "an octave" if octaves else ""
    size = " and ".join(filter(None, (many, _NAMES[rest])))
    return f"{size} {'lower' if semitones < 0 else 'higher'} than written"
