"""Plain names for files: a number and the piece, and nobody's name."""

import re
from pathlib import PurePosixPath
from unicodedata import combining, normalize

LONGEST = 40  # letters of the piece's name


def plain_name(number: int, count: int, piece: str, file_name: str) -> str:
    """Return "01-concerto-in-e-flat.mp4": the suffix is that of `file_name`."""
    width = max(2, len(str(count)))
    folded = "".join(c for c in normalize("NFKD", piece) if not combining(c)).lower()
    words = re.sub(r"[^a-z0-9]+", "-", folded)[:LONGEST].strip("-") or "piece"
    return f"{number:0{width}}-{words}{_suffix(file_name)}"


def _suffix(file_name: str) -> str:
    suffix = PurePosixPath(file_name).suffix.lower()
    return suffix if re.fullmatch(r"\.[a-z0-9]{1,5}", suffix) else ""
