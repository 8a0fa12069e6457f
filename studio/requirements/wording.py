"""A requirement in words, the same on every page and sheet."""

from studio.requirements.models import KeysAt, Piano, Requirement, Said
from studio.requirements.notation import spoken
from studio.requirements.tree import Line, demand

MEMORY = {Said.YES: "from memory", Said.NO: "not from memory"}
KEYS_AT = {KeysAt.WRITTEN: "in written keys", KeysAt.CONCERT: "in concert keys"}
PIANO = {Piano.WITH: "with piano", Piano.WITHOUT: "without piano"}


def plain(number):
    """Return 7.5 as "7.5" and 5.0 as "5"; nothing for None."""
    return "" if number is None else f"{number.normalize():f}"


def rules(requirement: Requirement) -> tuple[str, ...]:
    """Return what its fields ask, a few words each: "2 to 3 pieces", "from memory"."""
    row = requirement
    said = (
        "" if row.round == row.Round.LIVE else row.get_round_display().lower(),
        _number(row),
        spoken("fits", row.fits),
        spoken("together", row.together),
        spoken("scales", row.scales),
        KEYS_AT.get(row.keys_at, "") if row.scales else "",
        f"{study_time(row.study_seconds)} to look at it" if row.study_seconds else "",
        f"at most {plain(row.minutes)} minutes" if row.minutes is not None else "",
        "" if "from memory" in row.scales else MEMORY.get(row.memory, ""),
        PIANO.get(row.piano, ""),
    )
    return tuple(filter(None, said))


def study_time(seconds: int) -> str:
    """Return "30 seconds", "1 minute", "1 minute 30 seconds"."""
    minutes, rest = divmod(seconds, 60)
    said = (_of(minutes, "minute"), _of(rest, "second"))
    return " ".join(filter(None, said))


def _of(count, what):
    return f"{count} {what}{'' if count == 1 else 's'}" if count else ""


def _number(row):
    if row.is_group:
        return f"{demand(row)} these"
    if not row.is_music or row.at_least == 1 and row.at_most in {None, 1}:
        return ""
    least, most = row.at_least, row.at_most
    if most is not None and most != least:
        return f"{least} to {most} pieces" if least else f"up to {_pieces(most)}"
    return _pieces(least)


def _pieces(count):
    return f"{count} piece{'' if count == 1 else 's'}"


def asked(requirement: Requirement) -> str:
    """Return its rules in one line, with what the institution says of it after them."""
    details = " ".join(requirement.details.split())
    return ". ".join(filter(None, ["; ".join(rules(requirement)), details]))


def missing(line: Line) -> str:
    """Return what is still to choose: "nothing chosen yet", "1 of 2 chosen"; "" if nothing is.

    Of a choice it says so once; an alternative speaks up only when it is begun.
    """
    if line.spare or not line.lacking or not (line.wanted or line.begun):
        return ""
    if not line.begun:
        return "nothing chosen yet"
    if not line.chosen:
        return "none complete yet"
    return f"{line.chosen} of {line.chosen + line.lacking} chosen"


def surplus(line: Line) -> str:
    """Return by how many pieces or alternatives too much is chosen, "" if it is not."""
    return f"{line.surplus} more than asked for" if line.surplus else ""
