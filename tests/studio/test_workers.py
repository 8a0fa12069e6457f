"""Questions that need a solver are answered outside the web process, whatever happens there."""

import os
import signal
import subprocess
import sys
import threading
import time
from dataclasses import replace
from pathlib import Path

import pytest

from planner import repertoire
from studio import answers, workers
from studio.workers import Pool, Unsolved

# A stand-in that does what the question says, in the words of the real one.
STAND_IN = """
import json, os, sys, time
for line in sys.stdin:
    asked = json.loads(line)
    question, problem = asked["question"], asked["problem"]
    if question == "sleep":
        time.sleep(problem)
    if question == "die":
        os._exit(3)
    if question == "babble":
        print("solver 1.12", flush=True)
    if question == "complain":
        print("short of memory", file=sys.stderr, flush=True)
    reply = {"error": "no pieces"} if question == "refuse" else {"answer": [os.getpid(), problem]}
    print(json.dumps(reply), flush=True)
"""


@pytest.fixture
def begin():
    """Begin pools that are closed in the end; by default of one stand-in."""
    pools = []

    def new(workers=1, command=(sys.executable, "-c", STAND_IN)):
        pools.append(Pool(command, workers))
        return pools[-1]

    yield new
    for pool in pools:
        pool.close()


def pid(pool):
    """The process that answers next."""
    return pool.ask("pid", None, 10)[0]


def runs(number):
    """Whether the process is there and not merely waiting to be counted out."""
    try:
        return "\nState:\tZ" not in Path(f"/proc/{number}/status").read_text()
    except FileNotFoundError:
        return False


def test_a_worker_begins_with_the_first_question_and_is_kept(begin):
    pool = begin()
    assert pool.workers[0].process is None
    assert pid(pool) == pid(pool) != os.getpid()


def test_a_long_problem_goes_there_and_back_whole(begin):
    # More than a pipe holds.
    problem = ["é" * 100_000, {"deep": [1, None, True]}]
    assert begin().ask("echo", problem, 10)[1] == problem


def test_a_worker_that_was_killed_is_replaced(begin):
    pool = begin()
    first = pid(pool)
    os.kill(first, signal.SIGKILL)
    pool.workers[0].process.wait()
    assert pid(pool) not in {first, os.getpid()}


def test_a_worker_that_dies_over_a_question_says_so_and_is_replaced(begin):
    pool = begin()
    with pytest.raises(Unsolved, match="stopped"):
        pool.ask("die", None, 10)
    assert pid(pool)


def test_a_question_that_hangs_is_cut_off_and_its_worker_ended(begin):
    pool = begin()
    first = pid(pool)
    with pytest.raises(Unsolved, match="took too long"):
        pool.ask("sleep", 600, 0.2)
    assert not runs(first)
    assert pool.ask("echo", 7, 10)[1] == 7


def test_a_worker_that_reads_nothing_is_cut_off_too(begin):
    pool = begin(command=("/bin/sh", "-c", "sleep 600; :"))
    with pytest.raises(Unsolved, match="took too long"):
        pool.ask("echo", "long" * 100_000, 0.2)


def test_what_is_no_answer_is_not_taken_for_one_nor_is_what_follows_it(begin):
    pool = begin()
    with pytest.raises(Unsolved, match="stopped"):
        pool.ask("babble", None, 10)
    assert pool.ask("echo", 7, 10)[1] == 7


def test_an_answer_that_nobody_waits_for_any_more_is_not_given_to_the_next(begin):
    def interrupt(*_):
        raise KeyboardInterrupt

    pool = begin()
    pid(pool)
    usual = signal.signal(signal.SIGALRM, interrupt)
    signal.setitimer(signal.ITIMER_REAL, 0.1)
    with pytest.raises(KeyboardInterrupt):
        pool.ask("sleep", 0.5, 10)
    signal.signal(signal.SIGALRM, usual)
    assert pool.ask("echo", "second", 10)[1] == "second"


def test_what_the_engine_refuses_is_said(begin):
    with pytest.raises(Unsolved, match="no pieces"):
        begin().ask("refuse", None, 10)


def test_two_threads_are_answered_by_two_workers_at_once(begin):
    pool = begin(workers=2)
    assert len(asked_by_two_threads(pool)) == 2


def test_two_threads_share_one_worker_and_get_each_their_own_answer(begin):
    pool = begin()
    assert len(asked_by_two_threads(pool)) == 1


def asked_by_two_threads(pool):
    """Ask from two threads at the same moment; return the processes that answered."""
    both, found = threading.Barrier(2), []

    def ask(number):
        both.wait()
        answer = pool.ask("sleep", 0.3, 10) if number else pool.ask("sleep", 0.31, 10)
        found.append((answer[0], answer[1] == (0.3 if number else 0.31)))

    threads = [threading.Thread(target=ask, args=[number]) for number in range(2)]
    for thread in threads:
        thread.start()
    for thread in threads:
        thread.join()
    assert [right for _, right in found] == [True, True]
    return {pid for pid, _ in found}


def test_who_waits_in_vain_for_a_worker_is_told(begin):
    pool = begin()
    pid(pool)
    thread = threading.Thread(target=pool.ask, args=["sleep", 1, 10])
    thread.start()
    while pool._idle.qsize():
        time.sleep(0.001)
    with pytest.raises(Unsolved, match="just now"):
        pool.ask("echo", 7, 0.05)
    thread.join()


def test_closing_ends_the_workers(begin):
    pool = begin()
    first = pid(pool)
    pool.close()
    assert not runs(first)


def test_workers_end_with_the_process_that_asked_them():
    script = (
        "import sys; from studio.workers import Pool\n"
        f"pool = Pool((sys.executable, '-c', {STAND_IN!r}))\n"
        "print(pool.ask('pid', None, 10)[0], flush=True)\n"
        "import os, signal; os.kill(os.getpid(), signal.SIGKILL)"
    )
    first = int(run(script))
    for _ in range(1000):
        if not runs(first):
            break
        time.sleep(0.01)
    assert not runs(first)


def test_a_forked_process_has_workers_of_its_own_and_leaves_its_parents_alone():
    # In a process of its own: the one that runs the tests has threads, and is never forked.
    script = (
        "import os, sys; from studio import workers\n"
        f"workers.POOL.__init__((sys.executable, '-c', {STAND_IN!r}))\n"
        "first = workers.POOL.ask('pid', None, 10)[0]\n"
        "child = os.fork()\n"
        "own = workers.POOL.ask('pid', None, 10)[0]\n"
        "if child:\n"
        "    os.waitpid(child, 0)\n"
        "    print(workers.POOL.ask('pid', None, 10)[0] == first == own)\n"
        "else:\n"
        "    print(own != first, flush=True)\n"
    )
    assert run(script).split() == ["True", "True"]


def test_what_a_worker_complains_of_is_not_lost():
    script = (
        "import sys; from studio.workers import Pool\n"
        f"pool = Pool((sys.executable, '-c', {STAND_IN!r}))\n"
        "pool.ask('complain', None, 10); pool.close()"
    )
    assert "short of memory" in run(script, stream="stderr")


def run(script, stream="stdout"):
    """Run a script in a process of its own; return what it writes."""
    environment = os.environ | {"DJANGO_SETTINGS_MODULE": "tests.settings"}
    done = subprocess.run(  # noqa: S603 - a script of ours
        [sys.executable, "-W", "error::ResourceWarning", "-c", script],
        env=environment,
        capture_output=True,
        text=True,
        timeout=60,
        check=False,
    )
    return getattr(done, stream)


def test_a_worker_sees_nothing_of_the_sites_secrets(begin, monkeypatch):
    monkeypatch.setenv("SECRET_KEY", "long and random")
    echo = (
        "import json, os, sys; sys.stdin.readline(); print(json.dumps({'answer': [*os.environ]}))"
    )
    seen = begin(command=(sys.executable, "-c", echo)).ask("environment", None, 10)
    assert "PATH" in seen
    assert "SECRET_KEY" not in seen


def test_the_engine_itself_answers_there_and_an_answer_is_kept():
    problem = replace(repertoire.example(), seconds=7.5)
    answer = answers.solve("repertoire", problem)
    assert answer == repertoire.answer(problem)
    assert answers.solve("repertoire", replace(problem)) is answer


def test_a_failure_is_not_kept(monkeypatch):
    problem = replace(repertoire.example(), seconds=7.25)
    refuse = 'input(); print(\'{"error": "short of memory."}\', flush=True); input()'
    pool = Pool((sys.executable, "-c", refuse))
    with monkeypatch.context() as patch:
        patch.setattr(workers, "POOL", pool)
        with pytest.raises(Unsolved, match=r"short of memory\.$"):
            answers.solve("repertoire", problem)
    pool.close()
    assert answers.solve("repertoire", problem).plan.complete


def test_what_makes_no_sense_is_refused_in_the_engines_words():
    problem = replace(repertoire.example(), pinned=("nothing",))
    with pytest.raises(Unsolved, match='no piece "nothing"'):
        answers.solve("repertoire", problem)
