"""Where an uploaded workbook waits between its preview and its loading: a folder, for a day."""

import json
import secrets
import shutil
import time
from pathlib import Path

from django.conf import settings

FOLDER = settings.RUN_DIR / "uploads"
KEPT_SECONDS = 24 * 60 * 60
SESSION_KEY = "workbook"


def keep(request, files):
    """Keep `files`, [(name, bytes)], for the asker; their earlier upload goes."""
    drop(request)
    _sweep()
    token = secrets.token_urlsafe(24)
    folder = FOLDER / token
    folder.mkdir(parents=True, mode=0o700)
    for place, (_, content) in enumerate(files):
        (folder / str(place)).write_bytes(content)
    told = {"owner": _owner(request), "names": [name for name, _ in files]}
    (folder / "told.json").write_text(json.dumps(told))
    request.session[SESSION_KEY] = token


def kept(request):
    """Return the files that the asker uploaded, as [(name, bytes)]; None where there are none."""
    _sweep()
    folder = _folder(request)
    told = folder and json.loads((folder / "told.json").read_text())
    if not told or told["owner"] != _owner(request):
        return None
    return [(name, (folder / str(place)).read_bytes()) for place, name in enumerate(told["names"])]


def drop(request):
    """Remove the asker's upload."""
    if (folder := _folder(request)) is not None:
        shutil.rmtree(folder, ignore_errors=True)
    request.session.pop(SESSION_KEY, None)


def _owner(request):
    return [request.user.pk, request.who.studio_id]


def _folder(request):
    token = request.session.get(SESSION_KEY)
    folder = FOLDER / token if token else None
    return folder if folder and (folder / "told.json").exists() else None


def _sweep():
    """Remove what was left for more than a day."""
    for folder in Path(FOLDER).glob("*"):
        if folder.stat().st_mtime < time.time() - KEPT_SECONDS:
            shutil.rmtree(folder, ignore_errors=True)
