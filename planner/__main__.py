"""Ask the engine from the shell.

    python -m planner                          list the questions
    python -m planner QUESTION problem.json    answer one ('-' reads the problem from stdin)
    python -m planner QUESTION --example       print a worked problem to begin from
    python -m planner --serve                  answer one question after another

Answers and examples are JSON. Anything wrong with the problem: a message on stderr, exit code 2.
With --serve each line of stdin is {"question": …, "problem": …}, and each line of stdout
{"answer": …} or {"error": "…"}, until the end of stdin.
"""

import importlib
import json
import os
import sys
import traceback
from pathlib import Path
from types import ModuleType

from planner import codec

QUESTIONS = (
    "deadlines",
    "readiness",
    "day",
    "travel",
    "repertoire",
    "dates",
    "together",
    "recordings",
    "practice",
    "pitch",
    "rubric",
)


def main(arguments: list[str] | None = None) -> int:
    """Run one command line; return the exit code."""
    words = sys.argv[1:] if arguments is None else arguments
    if words == ["--serve"]:
        return _serve()
    try:
        print(_run(words))
    except (ValueError, OverflowError, OSError) as error:
        print(f"planner: {_reason(error)}", file=sys.stderr)
        return 2
    return 0


def _run(words: list[str]) -> str:
    if not words or words[0] in ("-h", "--help"):
        return _listing()
    module = _asked(words[0])
    if words[1:] == ["--example"]:
        return _json(module.example())
    if len(words) != 2 or (words[1].startswith("-") and words[1] != "-"):
        raise ValueError(f"write: python -m planner {words[0]} problem.json, or --example")
    return _json(module.answer(codec.loads(module.Problem, _text(words[1]))))


def _serve() -> int:
    """Answer the questions of stdin, a line each, until it ends."""
    # What a solver prints must not get among the answers.
    sys.stdout.flush()
    with os.fdopen(os.dup(1), "w", encoding="utf-8") as answers:
        os.dup2(2, 1)
        for line in sys.stdin.buffer:
            answers.write(json.dumps(_reply(line)) + "\n")
            answers.flush()
    return 0


def _reply(line: bytes) -> dict[str, object]:
    try:
        request = json.loads(line)
        if not isinstance(request, dict) or request.keys() != {"question", "problem"}:
            raise ValueError('write {"question": …, "problem": …}')
        module = _asked(request["question"])
        answer = module.answer(codec.read(module.Problem, request["problem"]))
        return {"answer": codec.write(answer)}
    except (ValueError, OverflowError) as error:
        return {"error": _reason(error)}
    except Exception as error:  # one bad problem must not take the next ones along
        traceback.print_exc()
        return {"error": f"{type(error).__name__}: {error}"}


def _asked(name: object) -> ModuleType:
    if name not in QUESTIONS:
        raise ValueError(f'no question "{name}"; there are {", ".join(QUESTIONS)}')
    return _module(name)


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
