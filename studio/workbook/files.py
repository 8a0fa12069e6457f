"""What a file is, told by its first bytes: an .xlsx, a zip of .csv, one .csv, or none of ours."""

import io
import re
import zipfile
from pathlib import PurePosixPath

from studio.workbook.grids import CannotRead, read_csv, read_xlsx

MEGABYTE = 1_000_000
MAX_UPLOAD = 10 * MEGABYTE
MAX_UNPACKED = 100 * MEGABYTE
MAX_RATIO = 200
MAX_MEMBERS = 500

ZIP = b"PK\x03\x04"
EMPTY_ZIP = b"PK\x05\x06"
OLE = b"\xd0\xcf\x11\xe0\xa1\xb1\x1a\xe1"
ENCRYPTED = "EncryptedPackage".encode("utf-16-le")
SAVE_AS = "Save it as .xlsx in your spreadsheet program and load that."
FOREIGN = (
    (b"%PDF", "a PDF"),
    (b"\x89PNG", "a picture"),
    (b"\xff\xd8\xff", "a picture"),
    (b"GIF8", "a picture"),
    (b"{\\rtf", "a text document"),
    (b"\x1f\x8b", "a packed file"),
    (b"Rar!", "a packed file"),
    (b"7z\xbc\xaf", "a packed file"),
)
PAGE = re.compile(rb"\s*<(?:!doctype html|html|table|\?xml)", re.IGNORECASE)
# Programs that keep documents in zips give themselves away by a member's name.
FOREIGN_MEMBERS = (
    ("xl/workbook.bin", "a binary workbook (.xlsb)"),
    ("word/document.xml", "a text document (.docx)"),
    ("ppt/presentation.xml", "a presentation (.pptx)"),
    ("Index/Document.iwa", "a spreadsheet of another kind (.numbers)"),
    ("content.xml", "an OpenDocument file (.ods)"),
)
FORMULA = re.compile(rb"<(?:\w+:)?f[ >/]")


def read_files(files):
    """Return the grids of `files`, a list of (name, bytes); raise CannotRead."""
    grids = [grid for name, content in files for grid in _read(name, content)]
    if not grids:
        raise CannotRead("There is no sheet in it.")
    return grids


def too_large(size):
    """Say that an upload of `size` bytes is over the limit."""
    return (
        f"The upload is {size / MEGABYTE:.0f} MB; the limit is {MAX_UPLOAD // MEGABYTE} MB. "
        "A season of forty students takes less than one: remove pictures and other sheets."
    )


def _read(name, content):
    if len(content) > MAX_UPLOAD:
        raise CannotRead(f"{name}: {too_large(len(content))}")
    if not content:
        raise CannotRead(f"{name} is empty.")
    if content.startswith(OLE):
        _refuse_ole(name, content)
    for start, what in FOREIGN:
        if content.startswith(start):
            raise CannotRead(f"{name} is {what}, not a spreadsheet.")
    if content.startswith((ZIP, EMPTY_ZIP)):
        return _read_zip(name, content)
    if PAGE.match(content):
        raise CannotRead(f"{name} is a web page, whatever it is called. {SAVE_AS}")
    return [read_csv(name, content)]


def _refuse_ole(name, content):
    if ENCRYPTED in content:
        raise CannotRead(f"{name} is protected by a password. Save it without one and load that.")
    raise CannotRead(f"{name} is an old workbook (.xls). {SAVE_AS}")


def _read_zip(name, content):
    try:
        archive = zipfile.ZipFile(io.BytesIO(content))
    except (zipfile.BadZipFile, ValueError, OSError) as error:
        raise CannotRead(f"{name} is damaged and cannot be opened. {SAVE_AS}") from error
    with archive:
        _check_sizes(name, archive, len(content))
        members = set(archive.namelist())
        if "xl/workbook.xml" in members:
            return read_xlsx(name, content, formulas=_look_into(name, archive))
        for member, what in FOREIGN_MEMBERS:
            if member in members:
                raise CannotRead(f"{name} is {what}. {SAVE_AS}")
        return _read_csvs(name, archive)


def _check_sizes(name, archive, packed):
    """Refuse a zip that would unpack to far more than it holds, before unpacking anything."""
    infos = archive.infolist()
    unpacked = sum(info.file_size for info in infos)
    if len(infos) > MAX_MEMBERS or unpacked > MAX_UNPACKED:
        raise CannotRead(
            f"{name} unpacks to {len(infos)} files of {unpacked / MEGABYTE:.0f} MB together; "
            f"the limit is {MAX_MEMBERS} files of {MAX_UNPACKED // MEGABYTE} MB."
        )
    if unpacked > MEGABYTE and unpacked > packed * MAX_RATIO:
        raise CannotRead(
            f"{name} unpacks to {unpacked // max(packed, 1)} times its size, as no season does."
        )
    if any(info.flag_bits & 1 for info in infos):
        raise CannotRead(f"{name} is protected by a password. Save it without one and load that.")


def _look_into(name, archive):
    """Refuse XML that declares entities; return whether any sheet holds a formula."""
    formulas = False
    for info in archive.infolist():
        if info.filename.endswith((".xml", ".rels")):
            text = _unpack(name, archive, info)
            if b"<!DOCTYPE" in text or b"<!ENTITY" in text or b"\x00" in text[:200]:
                raise CannotRead(f"{name} declares things no workbook needs, and is not opened.")
            formulas = formulas or (
                info.filename.startswith("xl/worksheets/") and bool(FORMULA.search(text))
            )
    return formulas


def _unpack(name, archive, info):
    try:
        return archive.read(info)
    except Exception as error:  # damaged zips raise half a dozen kinds of error
        raise CannotRead(f"{name} is damaged: {info.filename} cannot be unpacked.") from error


def _read_csvs(name, archive):
    """Read the .csv files of a zip, whatever folder they lie in."""
    grids = []
    for info in archive.infolist():
        path = PurePosixPath(info.filename.replace("\\", "/"))
        hidden = path.name.startswith(".") or "__MACOSX" in path.parts
        if path.suffix.lower() in (".csv", ".tsv", ".txt") and not hidden:
            content = _unpack(name, archive, info)
            if content.strip():
                grids.append(read_csv(path.name, content))
    if not grids:
        raise CannotRead(f"{name} is a zip without .csv files in it.")
    return grids
