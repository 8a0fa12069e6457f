"""How a recording has to be made, in words; the same on the set's page and beside the takes."""

from studio.accounts.words import counted
from studio.requirements.models import Piano, RecordingRules, Requirement, Said

Files = RecordingRules.Files
FILES = {Files.EACH: "one file for each piece", Files.ONE: "one file with all of them"}
SAID = (
    ("fixed_order", "in the order given", "in any order"),
    ("editing", "may be edited", "not edited"),
    ("video", "with a picture", "sound alone"),
    ("speaking", "speaking is allowed", "nobody speaks"),
    ("names", "names are allowed", "no names in sound, picture or the name of the file"),
)
UNSTATED = {
    "files": "one file or several",
    "fixed_order": "the order",
    "editing": "editing",
    "piano": "piano or not",
    "video": "with a picture or not",
    "speaking": "speaking",
    "names": "names",
}


def in_order(rows):
    """Return recording rules in the order in which a season asks for them: screening first."""
    return sorted(rows, key=lambda row: Requirement.Round.values.index(row.round))


def rules(row: RecordingRules) -> tuple[str, ...]:
    """Return what the institution says, a few words each: "not edited", "with piano"."""
    said = [FILES.get(row.files, "")]
    said += [{Said.YES: yes, Said.NO: no}.get(getattr(row, name), "") for name, yes, no in SAID]
    said += [
        "" if row.piano == Piano.UNSTATED else row.get_piano_display().lower(),
        f"camera: {row.camera}" if row.camera else "",
        f"at most {counted(row.max_age, 'month')} old" if row.max_age else "",
        f"at most {counted(row.max_minutes, 'minute')} in all" if row.max_minutes else "",
    ]
    return tuple(filter(None, said))


def unstated(row: RecordingRules) -> str:
    """Return what the institution does not say: "editing, names"; "" if it says all."""
    silent = [words for name, words in UNSTATED.items() if getattr(row, name) == Said.UNSTATED]
    silent += ["the camera"] if not row.camera and row.video != Said.NO else []
    silent += [] if row.max_age else ["how old it may be"]
    silent += [] if row.max_minutes else ["how long it may be"]
    return ", ".join(silent)


def others(row: RecordingRules) -> tuple[str, ...]:
    """Return the rules that stand as text, one a line: the program checks none of them."""
    return tuple(line.strip() for line in row.notes.splitlines() if line.strip())
