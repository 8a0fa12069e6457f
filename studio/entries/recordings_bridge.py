"""A recording in rows as planner's problem: rules in, takes in the order asked for."""

from pathlib import PurePosixPath

from planner import recordings as planner
from planner.deadlines.wording import dated
from studio.requirements.models import Said

YES_OR_NO = {Said.YES: True, Said.NO: False}
FORBIDDEN = {Said.NO: False}  # what is allowed need not be looked for
PIANO = {"with piano": "with", "without piano": "without"}
SEEN = {
    "camera_seen": ("camera", "video"),
    "silence_seen": ("speaking",),
    "names_seen": ("names",),
}
SOUND = frozenset({".aac", ".aif", ".aiff", ".flac", ".m4a", ".mp3", ".ogg", ".opus", ".wav"})
PICTURE = frozenset({".avi", ".m4v", ".mkv", ".mov", ".mp4", ".mpg", ".webm", ".wmv"})


def problem(recording):
    """Return the planner.recordings.Problem of a Recording that has rules.

    Keys are str(piece.pk) and str(take.pk). A take without pieces is left out: it is told apart.
    """
    pieces = tuple(planner.Piece(str(each.piece.pk), each.piece.title) for each in recording.pieces)
    order = [piece.key for piece in pieces]
    return planner.Problem(
        today=recording.today,
        rules=rules(recording, pieces),
        takes=tuple(take(line, order, recording.today) for line in recording.takes if line.keys),
    )


def rules(recording, pieces):
    """Return the planner.recordings.Rules. Other rules stand as text and are not checked."""
    row = recording.rules
    return planner.Rules(
        name=f"the {recording.place} {recording.name.lower()}",
        pieces=pieces,
        files=row.files,
        fixed_order=True if row.fixed_order == Said.YES else None,
        unedited=True if row.editing == Said.NO else None,
        piano=PIANO.get(row.piano, "not stated"),
        camera=row.camera,
        speaking=FORBIDDEN.get(row.speaking),
        names=FORBIDDEN.get(row.names),
        max_age_months=row.max_age,
        max_minutes=row.max_minutes,
        video=YES_OR_NO.get(row.video),
        due=recording.due,
    )


def take(line, order, today):
    """Return the planner.recordings.Take; which piece comes first on it is somebody's to hear."""
    row = line.take
    place = {key: number for number, key in enumerate(order)}
    keys = sorted(map(str, line.keys), key=lambda key: place.get(key, len(place)))
    return planner.Take(
        key=str(row.pk),
        name=f"take of {dated(row.made_on, today, full=False)}",
        pieces=tuple(keys),
        made_on=row.made_on,
        with_piano=YES_OR_NO.get(row.piano),
        edited=YES_OR_NO.get(row.edited),
        minutes=None if row.minutes is None else float(row.minutes),
        video=pictured(row.file),
        file_name=row.file,
        seen=tuple(what for name, seen in SEEN.items() if getattr(row, name) for what in seen),
        chosen=row.chosen,
    )


def pictured(file):
    """Return whether a file has a picture, by the ending of its name; None where that is silent."""
    ending = PurePosixPath(file.partition("?")[0]).suffix.lower()
    return True if ending in PICTURE else False if ending in SOUND else None
