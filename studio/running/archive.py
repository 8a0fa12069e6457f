"""A backup as one file: a .zip of the copied database and a manifest that says what it is.

The copy is written first and read back for its manifest, the .zip beside its place and then moved
there; so a file of a backup's name is always a whole one. Only its owner may read it.
"""

import hashlib
import json
import os
import shutil
import tempfile
import time
import zipfile
from contextlib import contextmanager
from dataclasses import asdict, dataclass, fields
from pathlib import Path

PROGRAM = "Anacrusis"
FORMAT = 1
MANIFEST, DATABASE = "manifest.json", "database"
PLACE, KEPT_SECONDS = ".anacrusis-", 24 * 60 * 60
BLOCK = 1 << 20


class Unusable(Exception):
    """A backup that cannot be made or taken. Its text is for whoever asked, and says what to do."""


@dataclass(frozen=True)
class Manifest:
    """What a backup holds.

    engine: "sqlite" or "postgresql". migrations: all that were applied, as "app.name". rows: how
    many each table has. bytes, sha256: of the copied database.
    """

    version: str
    made_at: str
    engine: str
    migrations: list
    rows: dict
    bytes: int
    sha256: str


def digest(file):
    """Return (bytes, sha256) of an open binary file, read to its end."""
    found, size = hashlib.sha256(), 0
    while block := file.read(BLOCK):
        found.update(block)
        size += len(block)
    return size, found.hexdigest()


@contextmanager
def private(path):
    """Give a new file that only its owner may read, open for writing; whole on disk afterwards."""
    flags = os.O_WRONLY | os.O_CREAT | os.O_EXCL
    with os.fdopen(os.open(path, flags, 0o600), "wb") as file:
        yield file
        file.flush()
        os.fsync(file.fileno())


def write(path, copy, manifest, *, packed):
    """Write the database file `copy` and its manifest to `path`, which must not be there yet.

    It is written beside `copy`, which must lie on the same disk. packed: the copy is small already.
    """
    beside = copy.with_suffix(".zip")
    way = zipfile.ZIP_STORED if packed else zipfile.ZIP_DEFLATED
    told = {"program": PROGRAM, "format": FORMAT, **asdict(manifest)}
    with private(beside) as file, zipfile.ZipFile(file, "w", way, compresslevel=1) as pack:
        pack.writestr(MANIFEST, json.dumps(told, indent=1))
        pack.write(copy, DATABASE)
    refuse_taken(path)
    beside.rename(path)
    _settle(path.parent)


def refuse_taken(path):
    """Raise Unusable if there is something at `path`."""
    if path.exists():
        raise Unusable(f"{path} is there already. Nothing is overwritten: choose another name.")


@contextmanager
def workplace(folder):
    """Give a private folder in `folder` that is gone afterwards.

    What a run that was killed has left there goes too, a day later.
    """
    for left in folder.glob(f"{PLACE}*"):
        if time.time() - left.stat().st_mtime > KEPT_SECONDS:
            shutil.rmtree(left, ignore_errors=True)
    with tempfile.TemporaryDirectory(prefix=PLACE, dir=folder) as place:
        yield Path(place)


def _settle(folder):
    """Have a folder's new name on disk."""
    handle = os.open(folder, os.O_RDONLY)
    try:
        os.fsync(handle)
    finally:
        os.close(handle)


def read_manifest(path):
    """Return a backup's Manifest. Raises Unusable."""
    try:
        with zipfile.ZipFile(path) as pack:
            told = json.loads(pack.read(MANIFEST))
    except FileNotFoundError as error:
        raise Unusable(f"There is no {path}.") from error
    except (OSError, zipfile.BadZipFile, KeyError, ValueError) as error:
        raise Unusable(f"{path} is no backup of {PROGRAM}, or is damaged.") from error
    if told.get("program") != PROGRAM or told.get("format") != FORMAT:
        raise Unusable(f"{path} is no backup that this version of {PROGRAM} reads.")
    return Manifest(**{field.name: told[field.name] for field in fields(Manifest)})


def unpack(path, manifest, to):
    """Write the database of a backup to the new file `to`. Raises Unusable if it is damaged."""
    try:
        with zipfile.ZipFile(path) as pack, pack.open(DATABASE) as source, private(to) as file:
            shutil.copyfileobj(source, file, BLOCK)
    except (KeyError, zipfile.BadZipFile, OSError) as error:
        raise Unusable(f"{path} is damaged: its database cannot be read.") from error
    with Path(to).open("rb") as file:
        found = digest(file)
    if found != (manifest.bytes, manifest.sha256):
        raise Unusable(f"{path} is damaged: its database is not the one that was put in.")
