"""The engine as a worker: a question a line, an answer a line, and nothing else on stdout."""

import json
import subprocess
import sys
from dataclasses import replace

import pytest

from planner import codec, repertoire


@pytest.fixture(scope="module")
def serve():
    """Return what the worker writes to stdout and stderr for some lines."""

    def run(*lines):
        done = subprocess.run(
            [sys.executable, "-m", "planner", "--serve"],
            input=b"".join(line + b"\n" for line in lines),
            capture_output=True,
            check=True,
        )
        return [json.loads(line) for line in done.stdout.splitlines()], done.stderr.decode()

    return run


def _asks(question, problem):
    return json.dumps({"question": question, "problem": problem}).encode()


def test_every_question_is_answered_in_turn_by_one_process(serve):
    problem = codec.write(repertoire.example())
    replies, err = serve(
        _asks("repertoire", problem),
        _asks("travel", {"start": {}, "end": {}, "own_minutes": 50}),
        _asks("repertoire", problem),
    )
    assert [list(reply) for reply in replies] == [["answer"]] * 3
    assert replies[0] == replies[2]
    assert replies[1]["answer"]["minutes"] == 50
    answer = codec.read(repertoire.Answer, replies[0]["answer"])
    assert answer.plan == repertoire.answer(repertoire.example()).plan
    assert err == ""


@pytest.mark.parametrize(
    ("line", "message"),
    [
        (b"", "Expecting value"),
        (b"[]", "write {"),
        (b'{"question": "day"}', "write {"),
        (_asks("weather", {}), 'no question "weather"'),
        (_asks(["day"], {}), "no question"),
        (_asks("repertoire", {"pieces": []}), "auditions"),
        (_asks("repertoire", {"pieces": [], "auditions": [], "pinned": ["x"]}), 'no piece "x"'),
        (b"\xff", "not UTF-8"),
        (b"[" * 100_000, "RecursionError"),
    ],
)
def test_a_bad_line_gets_an_error_and_the_next_an_answer(line, message, serve):
    replies, _ = serve(line, _asks("travel", {"start": {}, "end": {}, "own_minutes": 50}))
    assert message in replies[0]["error"]
    assert replies[1]["answer"]["minutes"] == 50


def test_a_fault_of_our_own_is_answered_too(monkeypatch):
    from planner import __main__ as planner

    def fail(problem):
        raise repertoire.Unsound("a piece is prepared twice")

    monkeypatch.setattr(repertoire, "answer", fail)
    line = _asks("repertoire", codec.write(replace(repertoire.example(), marginals=False)))
    assert planner._reply(line) == {"error": "Unsound: a piece is prepared twice"}


def test_an_empty_stdin_ends_it(serve):
    assert serve() == ([], "")


NOISY = """
import os, sys
from planner import __main__, travel
quiet = travel.answer
def answer(problem):
    print("a line of the solver's")
    os.write(1, b"and one from below Python")
    return quiet(problem)
travel.answer = answer
sys.exit(__main__.main(["--serve"]))
"""


def test_what_a_solver_prints_does_not_get_among_the_answers():
    done = subprocess.run(
        [sys.executable, "-c", NOISY],
        input=_asks("travel", {"start": {}, "end": {}}),
        capture_output=True,
        check=True,
    )
    assert [list(json.loads(line)) for line in done.stdout.splitlines()] == [["answer"]]
    assert b"and one from below Python" in done.stderr


def test_the_solver_is_only_loaded_when_something_is_solved():
    program = "import sys; from planner import repertoire; sys.exit('ortools' in sys.modules)"
    assert subprocess.run([sys.executable, "-c", program], check=False).returncode == 0
