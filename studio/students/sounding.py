"""How an instrument sounds against what is written, in a musician's words."""

STEPS = (
    "",
    "minor second",
    "major second",
    "minor third",
    "major third",
    "perfect fourth",
    "tritone",
    "perfect fifth",
    "minor sixth",
    "major sixth",
    "minor seventh",
    "major seventh",
)
OCTAVES = ("", "an octave", "two octaves", "three octaves")


def sounding(semitones):
    """Return "a perfect fifth lower" for -7, "as written" for 0."""
    octaves, step = divmod(abs(semitones), 12)
    parts = [OCTAVES[octaves], f"a {STEPS[step]}" if step else ""]
    words = " and ".join(filter(None, parts))
    return f"{words} {'lower' if semitones < 0 else 'higher'}" if words else "as written"
