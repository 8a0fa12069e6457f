"""The log of a real site: one JSON object a line, about what happened and never about whom.

What others wrote into an exception or a message (a name, an address, a form's value) would stand
in the log for as long as logs are kept. So of an exception its type and the lines of code are told,
not its text; of a message from elsewhere only its pattern, not what was put into it.
"""

import json
import logging
import sys
import traceback
from contextvars import ContextVar
from datetime import UTC, datetime
from pathlib import Path

ROOT = Path(__file__).resolve().parents[2]
OURS = "studio."  # our own loggers: their messages hold keys and kinds, no values
TOLD = ("method", "route", "status", "ms", "studio")
request_id = ContextVar("request_id", default=None)


def frames(trace):
    """Return where an exception passed: our own lines, and the last of all."""
    passed = [(Path(frame.filename), frame.lineno) for frame in traceback.extract_tb(trace)]
    ours = [(file, line) for file, line in passed if _inside(file)]
    if passed and passed[-1] not in ours:
        ours.append(passed[-1])
    return [f"{_short(file)}:{line}" for file, line in ours]


def _inside(file):
    return file.is_relative_to(ROOT) and "site-packages" not in file.parts


def _short(file):
    return file.relative_to(ROOT) if _inside(file) else Path(*file.parts[-3:])


def chain(error):
    """Return an exception and those it came from, as [{"type", "at"}]."""
    told = []
    while error is not None and len(told) < 5:
        told.append({"type": type(error).__name__, "at": frames(error.__traceback__)})
        error = error.__cause__ or (None if error.__suppress_context__ else error.__context__)
    return told


def event(record):
    """Return what a record says, without what somebody outside may have put into it."""
    if record.name.startswith(OURS) or _numbers(record.args):
        return record.getMessage()
    # A pattern and what goes into it come apart; a text that came whole may hold anything.
    return str(record.msg) if record.args else f"{Path(record.pathname).name}:{record.lineno}"


def _numbers(args):
    return isinstance(args, tuple) and args and all(isinstance(arg, int | float) for arg in args)


class JsonFormatter(logging.Formatter):
    """One line of JSON for a record."""

    def format(self, record):
        """Return the line."""
        line = {
            "time": datetime.fromtimestamp(record.created, UTC).isoformat(timespec="milliseconds"),
            "level": record.levelname.lower(),
            "logger": record.name,
            "event": event(record),
        }
        if (request := request_id.get()) is not None:
            line["request"] = request
        line |= {name: getattr(record, name) for name in TOLD if hasattr(record, name)}
        if record.exc_info and record.exc_info[1]:
            line["error"] = chain(record.exc_info[1])
        return json.dumps(line, ensure_ascii=True, default=str)


def last_words(kind, error, trace):
    """Tell of an error that ends a command in the log's own way, and not with its text."""
    if issubclass(kind, KeyboardInterrupt):
        sys.__excepthook__(kind, error, trace)
        return
    logging.getLogger(OURS + "running").critical("ended by an error", exc_info=error)


def configuration():
    """Return LOGGING for a real site: all to stdout, nothing by e-mail."""
    return {
        "version": 1,
        "disable_existing_loggers": False,
        "formatters": {"json": {"()": "studio.running.logs.JsonFormatter"}},
        "handlers": {
            "out": {
                "class": "logging.StreamHandler",
                "stream": "ext://sys.stdout",
                "formatter": "json",
            }
        },
        "root": {"handlers": ["out"], "level": "WARNING"},
        "loggers": {
            "studio": {"level": "INFO"},
            # Django's own handlers would print tracebacks, and send them to ADMINS.
            "django": {"handlers": [], "level": "WARNING", "propagate": True},
            "django.server": {"handlers": [], "level": "WARNING", "propagate": True},
            # The line of the request says these already.
            "django.request": {"level": "ERROR"},
            "django.security.DisallowedHost": {"level": "CRITICAL"},
        },
    }
