"""Ask the engine from the shell.

    python -m planner                          list the questions
    python -m planner QUESTION problem.json    answer one ('-' reads the problem from stdin)
    python -m planner QUESTION --example       print a worked problem to begin from

Answers and examples are JSON. Anything wrong with the problem: a message on stderr, exit code 2.
"""

import importlib
import json
import sys
from pathlib import Path
from types import ModuleType

from planner import codec

QUESTIONS = ("deadlines", "readiness", "day", "travel")


def main(arguments: list[str] | None = None) -> int:
    """Run one command line; return the exit code."""
    words = sys.argv[1:] if arguments is None else arguments
    try:
        print(_run(words))
    except (ValueError, OverflowError, OSError) as error:
        print(f"planner: {_reason(error)}", file=sys.stderr)
        return 2
    return 0


def _run(words: list[str]) -> str:
    if not words or words[0] in ("-h", "--help"):
        return _listing()
    if words[0] not in QUESTIONS:
        raise ValueError(f'no question "{words[0]}"; there are {", ".join(QUESTIONS)}')
    module = _module(words[0])
    if words[1:] == ["--example"]:
        return _json(module.example())
    if len(words) != 2 or (words[1].startswith("-") and words[1] != "-"):
        raise ValueError(f"write: python -m planner {words[0]} problem.json, or --example")
    return _json(module.answer(codec.loads(module.Problem, _text(words[1]))))


def _listing() -> str:
    lines = [f"{name:<12}{_module(name).QUESTION}" for name in QUESTIONS]
    return f"{__doc__.strip()}\n\n" + "\n".join(lines)


def _module(name: str) -> ModuleType:
    return importlib.import_module(f"planner.{name}")


def _text(path: str) -> str:
    raw = sys.stdin.buffer.read() if path == "-" else Path(path).read_bytes()
    return raw.decode("utf-8-sig")


def _json(value: object) -> str:
    return json.dumps(codec.write(value), indent=2)


def _reason(error: Exception) -> str:
    if isinstance(error, UnicodeDecodeError):
        return "the problem is not UTF-8 text"
    if isinstance(error, OSError):
        return f"{error.filename or 'the problem'}: {error.strerror or error}"
    if isinstance(error, OverflowError):
        return f"a number or date is out of range ({error})"
    return str(error)


if __name__ == "__main__":
    sys.exit(main())
