import io
import json
import subprocess
import sys

import pytest

from planner.__main__ import QUESTIONS, main


@pytest.fixture
def ask(capsys):
    """Run one command line; return its exit code, stdout and stderr."""

    def run(*words):
        code = main(list(words))
        return code, *capsys.readouterr()

    return run


def test_no_arguments_list_every_question_in_the_teachers_words(ask):
    code, out, _ = ask()
    assert code == 0
    for name in QUESTIONS:
        assert any(line.startswith(f"{name} ") and len(line) > 30 for line in out.splitlines())


@pytest.mark.parametrize("question", QUESTIONS)
def test_every_example_can_be_answered(question, ask, tmp_path):
    _, example, _ = ask(question, "--example")
    path = tmp_path / "problem.json"
    path.write_text(example)
    code, out, err = ask(question, str(path))
    assert (code, err) == (0, "")
    assert isinstance(json.loads(out), dict)


def test_a_problem_is_read_from_stdin(ask, monkeypatch):
    problem = b'\xef\xbb\xbf{"start": {}, "end": {}, "own_minutes": 50}'
    monkeypatch.setattr("sys.stdin", io.TextIOWrapper(io.BytesIO(problem)))
    code, out, _ = ask("travel", "-")
    assert code == 0
    assert json.loads(out)["minutes"] == 50


@pytest.mark.parametrize(
    ("content", "message"),
    [
        (b'{"day": "2027-02-06", "call": "10.40"}', "call: write a time as 10:40"),
        (b'{"day": "2027-02-06", "place": {"zone": "Chicago"}}', 'place: "Chicago" is not a time'),
        (b'{"day": "0001-01-01"}', "give a year from 1900"),
        (
            b'{"day": "2027-02-06", "own_km": 9, "travel_model": {"road_factor": 1e308,'
            b'"stretches": [{"up_to_km": null, "km_per_hour": 1e-320}]}}',
            "out of range",
        ),
        (b"\xff\xfe", "not UTF-8"),
        (b"", "not JSON"),
    ],
)
def test_a_bad_problem_gets_a_message_and_code_2(content, message, ask, tmp_path):
    path = tmp_path / "problem.json"
    path.write_bytes(content)
    code, out, err = ask("day", str(path))
    assert (code, out) == (2, "")
    assert message in err


@pytest.mark.parametrize(
    ("words", "message"),
    [
        (["weather"], 'no question "weather"'),
        (["day"], "write: python -m planner day problem.json"),
        (["day", "--exmple"], "write: python -m planner day"),
        (["day", "nowhere.json"], "nowhere.json: No such file"),
        (["day", "."], "Is a directory"),
    ],
)
def test_a_bad_command_line_gets_a_message_and_code_2(words, message, ask):
    code, out, err = ask(*words)
    assert (code, out) == (2, "")
    assert message in err


def test_it_runs_as_a_module_without_a_traceback():
    run = [sys.executable, "-m", "planner", "day", "nowhere.json"]
    done = subprocess.run(run, capture_output=True, text=True, check=False)
    assert done.returncode == 2
    assert done.stderr.startswith("planner: nowhere.json")
    assert "Traceback" not in done.stderr
